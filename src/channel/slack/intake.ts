import type { Clock } from '../../desk/clock.js';
import type { Body, Input } from '../../job/input.js';
import type { Drawn } from './blocks.js';
import { readButton } from './button.js';
import { hearAtChannelLevel } from './channel-level.js';
import type { DeskView } from './desk-view.js';
import type { Identity } from './identity.js';
import type { Ledger } from './ledger.js';
import { gateWordsOf, isSaying, marksOf, textBody, wordsOf } from './message.js';
import { Order } from './order.js';
import { EVENT, MESSAGE_EVENT, type MessageEvent, REACTION, type Tap } from './payload.js';
import type { People } from './people.js';
import { isImage, keepPhoto, NoPhoto, type PhotoParts } from './photo.js';
import { instantOf, placeOf } from './place.js';
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
  /** Since when nothing can have been missed. What was said before may have been said to nobody. */
  readonly coveredSince: () => number;
  readonly isShared: (channel: string) => boolean;
  /** Takes the buttons of a stale post away. */
  readonly redraw: (channel: string, ts: string, drawn: Drawn) => void;
  readonly homeOpened: (user: string) => void;
  readonly report: (words: string) => void;
};

const NONE: ReadonlySet<string> = new Set();

/**
 * What people do on the platform, as inputs. Every method settles once all that it makes is on disk, and throws when
 * that cannot be: then nothing may be acknowledged, and the platform sends it again.
 */
export class Intake {
  private readonly order: Order;

  constructor(private readonly parts: IntakeParts) {
    this.order = new Order(parts.desk);
  }

  /** An event as it was delivered. */
  async event(body: unknown): Promise<void> {
    const read = EVENT.safeParse(body);
    if (!read.success) return;
    const { event, is_ext_shared_channel } = read.data;
    if (event.type === 'app_home_opened' && typeof event.user === 'string')
      return this.parts.homeOpened(event.user);
    if (event.type === 'reaction_added') return this.reaction(event);
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
    for (const [at, body] of bodies.entries())
      await this.hear({ ...said, key: at === 0 ? said.key : `${said.key}:${at}`, body });
  }

  /** A tap on a button of ours. */
  async tap({ user, container, actions, message }: Tap): Promise<void> {
    const action = actions[0];
    const carried = readButton(action?.value ?? '');
    const { channel_id: channel, message_ts } = container;
    const thread = carried === null ? null : this.parts.ledger.threadOf(carried.job);
    if (action === undefined || carried === null || thread === null) return;
    const self = await this.parts.identity.ask();
    const stamp = action.action_ts ?? message_ts;
    const to = { channel, thread: thread.channel === channel ? thread.root : null, user: user.id };
    const job = this.parts.desk.jobOf(thread.bay);
    if (job?.id !== carried.job) this.parts.whisper(to, 'That job has ended; nothing was changed.');
    else {
      const body: Body = { is: 'tap', says: carried.says, visit: carried.visit };
      const key = `${VIA}:${channel}:tap:${user.id}:${message_ts}:${action.action_id}:${stamp}`;
      const who = this.parts.people.who(user.id, user.team_id != null && user.team_id !== self.team);
      await this.give(
        { key, stamp, channel, thread: to.thread, user: user.id, who, marks: {}, body, late: false },
        thread.bay,
      );
    }
    const now = this.parts.desk.jobOf(thread.bay);
    const stands =
      now?.id === carried.job && now.asked?.what !== undefined && String(now.asked.visit) === carried.visit;
    const drawn = { text: message?.text ?? '', blocks: (message?.blocks ?? []) as Drawn['blocks'] };
    if (!stands && drawn.blocks.length > 0) this.parts.redraw(channel, message_ts, drawn);
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
    await this.give(
      { key, stamp, channel, thread: null, user, who, marks: {}, body: textBody(text), late: true },
      bay,
    );
  }

  private async reaction(event: unknown): Promise<void> {
    const read = REACTION.safeParse(event);
    const channel = read.data?.item.channel ?? '';
    const on = read.data?.item.ts ?? '';
    if (!read.success || channel === '' || on === '' || this.parts.isShared(channel)) return;
    const { user, reaction, event_ts } = read.data;
    const bay = this.bayOfPost(channel, placeOf(on));
    if (bay === null) return;
    const [name = reaction] = reaction.split('::');
    const key = `${VIA}:${channel}:reaction:${user}:${on}:${name}:${event_ts}`;
    const body: Body = { is: 'reaction', name, on: placeOf(on) };
    const late = instantOf(event_ts) < this.parts.coveredSince();
    const who = this.parts.people.who(user, false);
    await this.give({ key, stamp: event_ts, channel, thread: null, user, who, marks: {}, body, late }, bay);
  }

  private bayOfPost(channel: string, place: string): string | null {
    for (const { id } of this.parts.desk.bays()) {
      const job = this.parts.desk.jobOf(id);
      if (job === null || this.parts.ledger.threadOf(job.id)?.channel !== channel) continue;
      if (Object.values(job.places).includes(place)) return id;
    }
    return null;
  }

  /** Brings words to the lane that they are for. */
  private async hear(said: Said): Promise<void> {
    const where = whereSaid(said, this.parts.ledger, this.parts.rooms());
    if (where === null) return;
    if (where.is === 'lane') return this.give(said, where.bay);
    if (where.is === 'job') {
      const over = this.parts.desk.jobOf(where.bay)?.id !== where.job;
      if (!over || (said.body.is === 'text' && wantedBy(said.body.text) === 'stop'))
        return this.give(said, where.bay);
      return this.hint(said, `${where.job} has ended. A new job has a thread of its own.`);
    }
    await hearAtChannelLevel(said, where.bays, {
      jobOf: (bay) => this.parts.desk.jobOf(bay),
      now: this.parts.clock.now(),
      give: (of, bay) => this.give(of, bay),
      hint: (of, words) => this.hint(of, words),
    });
  }

  private async give(said: Said, bay: string): Promise<void> {
    const { key, stamp, who, marks, body, late } = said;
    const job = this.parts.desk.jobOf(bay);
    const here = job === null || this.parts.ledger.threadOf(job.id) !== null;
    const input: Input = {
      key,
      bay,
      by: who.by,
      name: who.name,
      via: VIA,
      saidAt: instantOf(stamp),
      // Words older than the outage pass no gate, nor do words said here of a job that lives elsewhere. Everything else
      // had seen what stood there when it was said: an answer may not fall on a question that came later.
      seen: !here || (late && this.gateAsked(bay)) ? null : placeOf(stamp),
      marks,
      body,
    };
    await this.order.add(input, placeOf(stamp));
  }

  private gateAsked(bay: string): boolean {
    const step = this.parts.desk.jobOf(bay)?.asked?.step;
    return this.parts.desk.flowOf(bay)?.steps.some(({ id, kind }) => id === step && kind === 'gate') ?? false;
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
  ): Promise<readonly Body[]> {
    const found: Body[] = [];
    const images = (message.files ?? []).filter(isImage);
    if (images.length === 0 || whereSaid(said, this.parts.ledger, this.parts.rooms())?.is !== 'job')
      return found;
    for (const file of images) {
      try {
        const sha256 = await keepPhoto(this.parts.photos, file);
        found.push({ is: 'photo', sha256, name: file.name ?? file.id, text: found.length === 0 ? text : '' });
      } catch (error) {
        if (!(error instanceof NoPhoto)) throw error;
        this.parts.report(`A photo could not be kept: ${error.message}.`);
        this.parts.whisper(said, `Your photo could not be kept: ${error.message}.`);
      }
    }
    return found;
  }
}
