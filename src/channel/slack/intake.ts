import type { Clock } from '../../desk/clock.js';
import type { Body } from '../../job/input.js';
import { hearAtChannelLevel } from './channel-level.js';
import type { Charts } from './charts.js';
import type { DeskView } from './desk-view.js';
import type { Give } from './give.js';
import { goneBy } from './gone.js';
import type { Hands } from './hands.js';
import type { Identity } from './identity.js';
import type { Ledger } from './ledger.js';
import { gateWordsOf, isSaying, marksOf, textBody, wordsOf } from './message.js';
import { EVENT, MESSAGE_EVENT, type MessageEvent } from './payload.js';
import type { People } from './people.js';
import { isImage, keepPhoto, NoPhoto, type PhotoParts } from './photo.js';
import { instantOf } from './place.js';
import type { ReadMessage } from './reading.js';
import { type Rooms, VIA } from './rooms.js';
import type { Said } from './said.js';
import { wantedBy, whereSaid } from './where.js';
import type { Whisper } from './whisper.js';

export type IntakeParts = {
  readonly desk: DeskView;
  readonly clock: Clock;
  readonly identity: Identity;
  readonly ledger: Ledger;
  readonly rooms: () => Rooms;
  readonly people: People;
  readonly photos: PhotoParts;
  readonly whisper: Whisper;
  readonly charts: Charts;
  /** Since when nothing can have been missed. What was said before may have been said to nobody. */
  readonly coveredSince: () => number;
  readonly isShared: (channel: string) => boolean;
  readonly hands: Hands;
  readonly give: Give;
  readonly homeOpened: (user: string) => void;
  /** Called when the platform lets us in no more, with its word for why. */
  readonly gone: (says: string) => void;
  readonly report: (words: string) => void;
};

/** The whole message asks for the charts of the job. */
const CHARTS = /^\s*charts?[.!?]?\s*$/i;
const NONE: ReadonlySet<string> = new Set();

/**
 * What people do on the platform, as inputs. Every method settles once all that it makes is on disk, and throws when
 * that cannot be: then nothing may be acknowledged, and the platform sends it again.
 */
export class Intake {
  constructor(private readonly parts: IntakeParts) {}

  /** An event as it was delivered. */
  async event(body: unknown): Promise<void> {
    const read = EVENT.safeParse(body);
    if (!read.success) return;
    const { event, is_ext_shared_channel } = read.data;
    if (event.type === 'app_home_opened' && typeof event.user === 'string')
      return this.parts.homeOpened(event.user);
    const gone = goneBy(event);
    if (gone !== null) return this.parts.gone(gone);
    if (event.type === 'reaction_added') return this.parts.hands.reaction(event);
    if (event.type !== 'message' && event.type !== 'app_mention') return;
    const message = MESSAGE_EVENT.safeParse(event);
    if (!message.success) return;
    if (is_ext_shared_channel === true) return this.refuseShared(message.data.channel);
    await this.message(message.data.channel, message.data);
  }

  /** A message, from an event or read again after an outage. */
  async message(channel: string, message: ReadMessage & Partial<MessageEvent>, again = false): Promise<void> {
    if (this.parts.isShared(channel)) return this.refuseShared(channel);
    const edit = message.subtype === 'message_changed' ? (message.message ?? null) : null;
    if (edit !== null && message.previous_message?.text === edit.text) return;
    const of = edit ?? message;
    const self = await this.parts.identity.ask();
    if (again && of.bot_id === self.bot) return this.parts.hands.stood(channel, of);
    if (!isSaying(of) || of.bot_id === self.bot || of.user === self.user) return;
    const user = of.user ?? of.bot_id ?? '';
    if (user === '') return;
    const thread = of.thread_ts != null && of.thread_ts !== of.ts ? of.thread_ts : null;
    const said = {
      key: `${VIA}:${channel}:${of.ts}${edit === null ? '' : `:edit:${edit.edited?.ts ?? message.ts}`}`,
      stamp: message.ts,
      channel,
      thread,
      user,
      who: this.parts.people.who(user, of.user_team != null && of.user_team !== self.team),
      marks: marksOf(of, edit !== null),
      toUs: (of.text ?? '').includes(`<@${self.user}>`),
      late: again || instantOf(message.ts) < this.parts.coveredSince(),
    };
    const text = wordsOf(of.text ?? '', self.user, this.gateWords(said));
    const bodies = edit === null ? await this.photosOf(of, said, text) : [];
    if (bodies.length === 0) return this.hear({ ...said, body: textBody(text) });
    for (const { file, body } of bodies) await this.hear({ ...said, key: `${said.key}:${file}`, body });
  }

  /** Words of a slash command for one bay. */
  async words(
    of: { readonly channel: string; readonly user: string; readonly trigger: string },
    bay: string,
    text: string,
  ): Promise<void> {
    const stamp = String(this.parts.clock.now() / 1000);
    const { channel, user } = of;
    const who = this.parts.people.who(user, false);
    const key = `${VIA}:${channel}:command:${of.trigger}`;
    await this.parts.give(
      { key, stamp, channel, thread: null, user, who, marks: {}, body: textBody(text), late: true },
      bay,
    );
  }

  /** Brings words to the lane that they are for. */
  private async hear(said: Said): Promise<void> {
    const where = whereSaid(said, this.parts.ledger, this.parts.rooms());
    if (where === null) return;
    if (where.is === 'lane') return this.parts.give(said, where.bay);
    if (where.is === 'job') {
      if (said.body.is === 'text' && CHARTS.test(said.body.text)) return this.showCharts(said, where.job);
      const over = this.parts.desk.jobOf(where.bay)?.id !== where.job;
      if (!over || (said.body.is === 'text' && wantedBy(said.body.text) === 'stop'))
        return this.parts.give(said, where.bay);
      return this.hint(said, `${where.job} has ended. A new job has a thread of its own.`);
    }
    await hearAtChannelLevel(said, where.bays, {
      jobOf: (bay) => this.parts.desk.jobOf(bay),
      now: this.parts.clock.now(),
      give: (of, bay) => this.parts.give(of, bay),
      hint: (of, words) => this.hint(of, words),
    });
  }

  /** Asks nothing of the job and changes nothing in it, so it goes into no journal. */
  private async showCharts(said: Said, job: string): Promise<void> {
    const { charts, report } = this.parts;
    const { channel, thread } = said;
    if (thread === null || said.late) return;
    // Nobody who waits for an acknowledgement waits for a drawing.
    void charts
      .show(job, { channel, thread })
      .then(({ able, pictures }) => {
        if (pictures.length === 0) this.hint(said, 'There is nothing to draw yet.');
        else if (!able) for (const { title, alt } of pictures) this.hint(said, `${title}. ${alt}`);
      })
      .catch((error) => report(`The charts of ${job} could not be drawn: ${String(error)}`));
  }

  private hint({ channel, thread, user, late }: Said, words: string): void {
    if (!late) this.parts.whisper({ channel, thread, user }, words);
  }

  private refuseShared(channel: string): void {
    this.parts.report(
      `${channel} is shared with another workspace. Nothing said there is taken; use a channel of your own.`,
    );
  }

  private gateWords(said: Pick<Said, 'channel' | 'thread'>): ReadonlySet<string> {
    const where = whereSaid(said, this.parts.ledger, this.parts.rooms());
    const flow = where?.is === 'job' ? this.parts.desk.flowOf(where.bay) : null;
    return flow === null ? NONE : gateWordsOf(flow);
  }

  /** A body for each picture; the words go with the first. */
  private async photosOf(
    message: ReadMessage,
    said: Omit<Said, 'body'>,
    text: string,
  ): Promise<readonly { readonly file: string; readonly body: Body }[]> {
    const found: { readonly file: string; readonly body: Body }[] = [];
    const images = (message.files ?? []).filter(isImage);
    if (images.length === 0 || whereSaid(said, this.parts.ledger, this.parts.rooms())?.is !== 'job')
      return found;
    for (const file of images) {
      try {
        const sha256 = await keepPhoto(this.parts.photos, file);
        const { id, name } = file;
        const words = found.length === 0 ? text : '';
        // Its id goes into the key: the journal has it beside who, when and the hash.
        found.push({ file: id, body: { is: 'photo', sha256, name: name ?? id, text: words } });
      } catch (error) {
        if (!(error instanceof NoPhoto)) throw error;
        this.parts.report(`A photo could not be kept: ${error.message}.`);
        this.parts.whisper(said, `Your photo could not be kept: ${error.message}.`);
      }
    }
    return found;
  }
}
