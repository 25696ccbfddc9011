import type { Clock } from '../../desk/clock.js';
import { type Channel, type OutPost, Undelivered } from '../../desk/port.js';
import type { Place } from '../../job/input.js';
import type { Job } from '../../job/job.js';
import { type Drawn, drawPost } from './blocks.js';
import type { Identity } from './identity.js';
import type { Ledger } from './ledger.js';
import { Pace } from './pace.js';
import { placeOf, type Stamp } from './place.js';
import { type Rooms, VIA } from './rooms.js';
import { REMEDIES, Sending } from './sending.js';
import { findPost, metadataOf } from './standing.js';
import { escaped } from './text.js';
import { type Web, WebFault } from './web.js';

/** Where a message goes: a channel, and the thread in it, or none at channel level. */
export type Target = { readonly channel: string; readonly thread: string | null };

export type ChannelParts = {
  readonly web: Web;
  readonly clock: Clock;
  readonly identity: Identity;
  readonly ledger: Ledger;
  readonly rooms: () => Rooms;
  readonly zone: () => string;
  readonly labelOf: (bay: string) => string;
  /** The job of a bay, as far as it is known. */
  readonly jobOf: (bay: string) => Job | null;
  /** Mentions of those whom an alert calls, in the platform's form. */
  readonly callsWhom: () => string;
  readonly delivered: (out: OutPost, to: Target, ts: Stamp, drawn: Drawn) => void;
  readonly report: (words: string) => void;
  /** Called with the platform's word for every refusal. */
  readonly refused: (says: string) => void;
};

const REFUSED_WAIT_MS = 30_000;

/** The platform as the desk sees it. Nothing is sent twice by itself: what is not known is asked for. */
export class SlackChannel implements Channel {
  readonly name = VIA;
  private readonly pace: Pace;
  private readonly tried = new Map<string, number>();
  private readonly openedAt: number;
  private readonly sending: Sending;

  constructor(private readonly parts: ChannelParts) {
    this.pace = new Pace(() => parts.clock.now());
    this.openedAt = parts.clock.now();
    this.sending = new Sending(parts.web, parts.report);
  }

  async deliver(out: OutPost): Promise<Place> {
    const { zone, jobOf, callsWhom, delivered } = this.parts;
    try {
      const to = await this.targetOf(out);
      const calls = out.post.kind === 'alert' && out.post.to !== 'bay' ? callsWhom() : '';
      const drawn = drawPost(out.post, {
        zone: zone(),
        again: out.again,
        job: out.job ?? '',
        person: jobOf(out.bay)?.holder ?? '',
        ...(calls === '' ? {} : { before: calls }),
      });
      const urgent = out.post.kind === 'card' || out.post.kind === 'alert';
      const ts = await this.post(to, drawn, { keys: [out.key, ...(out.also ?? [])], urgent });
      this.tried.delete(out.key);
      delivered(out, to, ts, drawn);
      return placeOf(ts);
    } catch (error) {
      if (error instanceof WebFault)
        throw new Undelivered(error.code === 'unknown' ? 'unknown' : 'not-sent', error);
      throw error;
    }
  }

  async find(out: OutPost): Promise<Place | null | 'cannot-ask'> {
    if (!this.pace.mayAsk()) throw new Undelivered('unknown');
    const { ledger } = this.parts;
    try {
      let to = this.knownTarget(out);
      if (to === null && out.job !== null) {
        const root = await this.findRoot(out.job, out.bay);
        // Its thread was never opened, so it is not there.
        if (root === null) return null;
        if (root === 'cannot-ask') return 'cannot-ask';
        to = { channel: ledger.threadOf(out.job)?.channel ?? '', thread: root };
      }
      if (to === null) return 'cannot-ask';
      const found = await this.look(to, out.key);
      if (found === null || found === 'cannot-ask') return found;
      this.tried.delete(out.key);
      return placeOf(found);
    } catch (error) {
      if (!(error instanceof WebFault)) throw error;
      if (error.code === 'limited') this.pace.askLimited(error.retryMs);
      else this.felt(error, '');
      throw new Undelivered('unknown', error);
    }
  }

  /** The thread of a job, its head post made where it has none. */
  private async targetOf(out: OutPost): Promise<Target> {
    const known = this.knownTarget(out);
    if (known !== null) return known;
    const { job, bay } = out;
    // Without a channel of the foreman's what is told to the foreman alone stands on the page, and nothing is wrong.
    if (job === null && out.post.to !== 'bay') throw new WebFault('not-sent', 'no_channel');
    if (job === null) throw this.nowhere(bay);
    const channel = this.parts.rooms().channelOf(bay);
    if (channel === null) throw this.nowhere(bay);
    const root = this.tried.has(headKey(job)) ? await this.findRoot(job, bay) : null;
    if (root !== null && root !== 'cannot-ask') return { channel, thread: root };
    const ts = await this.post({ channel, thread: null }, this.head(job, bay, root === 'cannot-ask'), {
      keys: [headKey(job)],
      urgent: true,
    });
    await this.parts.ledger.note({ is: 'thread', job, bay, channel, root: ts });
    return { channel, thread: ts };
  }

  /** Where a post goes as far as nothing has to be made or asked for it. */
  private knownTarget({ key, job, bay, post }: OutPost): Target | null {
    const rooms = this.parts.rooms();
    const room = post.to === 'foreman' ? rooms.foreman : post.to === 'shop' ? rooms.shop : null;
    if (room !== null) return { channel: room, thread: null };
    const thread = job === null ? null : this.parts.ledger.threadOf(job);
    if (thread !== null) return { channel: thread.channel, thread: thread.root };
    if (job !== null) return null;
    // An answer to words without a job stands where they were said.
    const said = new RegExp(`^(?:shop|unkept):${VIA}:([A-Z0-9]+):`).exec(key)?.[1];
    const running = this.parts.jobOf(bay);
    const home = running === null ? null : this.parts.ledger.threadOf(running.id);
    if (home !== null) return { channel: home.channel, thread: home.root };
    const channel = said ?? rooms.channelOf(bay);
    return channel === null ? null : { channel, thread: null };
  }

  private nowhere(bay: string): WebFault {
    this.parts.report(
      `Bay ${bay} has no channel. Write "accounts": { "${VIA}": "C…" } beside it in bays.json.`,
    );
    return new WebFault('not-sent', 'no_channel');
  }

  private head(job: string, bay: string, again: boolean): Drawn {
    const { jobOf, labelOf, zone } = this.parts;
    const of = jobOf(bay);
    const known = of?.id === job ? of : null;
    const what = known === null ? job : `${known.car.registration}, ${known.flow}, job ${known.number}`;
    const who = known === null ? '' : ` ${known.names[known.holder] ?? known.holder} has it.`;
    const lines = [[`${labelOf(bay)}: ${what}.${who}`], ['It is answered in this thread.']];
    const post = { to: 'bay', kind: 'told', lines, buttons: [], visit: null } as const;
    return drawPost(post, { zone: zone(), again, job, person: '' });
  }

  private async findRoot(job: string, bay: string): Promise<Stamp | null | 'cannot-ask'> {
    const channel = this.parts.rooms().channelOf(bay);
    if (channel === null) return null;
    const root = await this.look({ channel, thread: null }, headKey(job));
    if (root !== null && root !== 'cannot-ask')
      await this.parts.ledger.note({ is: 'thread', job, bay, channel, root });
    return root;
  }

  private async look({ channel, thread }: Target, key: string): Promise<Stamp | null | 'cannot-ask'> {
    const { web, identity, clock } = this.parts;
    const { bot } = await identity.ask();
    const triedAt = this.tried.get(key) ?? this.openedAt;
    const found = await findPost(web, bot, { channel, root: thread }, { key, triedAt, now: clock.now() });
    this.pace.worked();
    return found;
  }

  /** @throws {WebFault} */
  private async post(
    { channel, thread }: Target,
    drawn: Drawn,
    { keys: [key = '', ...also], urgent }: { readonly keys: readonly string[]; readonly urgent: boolean },
  ): Promise<Stamp> {
    if (!this.pace.take(channel, urgent)) throw new WebFault('not-sent', 'paced');
    this.tried.set(key, this.parts.clock.now());
    const args = {
      channel,
      ...(thread === null ? {} : { thread_ts: thread }),
      text: drawn.text,
      blocks: drawn.blocks,
      unfurl_links: false,
      unfurl_media: false,
      metadata: metadataOf(key, also),
    };
    try {
      const ts = await this.sending.send(args);
      this.pace.worked();
      return ts;
    } catch (error) {
      if (error instanceof WebFault) {
        if (error.code !== 'unknown') this.tried.delete(key);
        this.felt(error, channel);
      }
      throw error;
    }
  }

  private felt(error: WebFault, channel: string): void {
    if (error.says === 'paced' || error.says === 'not shown yet' || error.says === 'no_channel') return;
    if (error.code === 'limited') this.pace.limited(channel, error.retryMs);
    else if (error.code === 'refused') {
      this.parts.refused(error.says);
      this.pace.limited(channel, REFUSED_WAIT_MS);
      this.parts.report(
        `Slack refuses posts in ${channel}: ${escaped(error.says)}. ${REMEDIES[error.says] ?? ''}`.trim(),
      );
    } else this.pace.failed();
  }
}

const headKey = (job: string) => `${job}:head`;
