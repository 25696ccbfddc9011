import type { Place } from '../job/input.js';
import { inOne } from '../talk/late.js';
import { Late, PATIENCE, type Patience, within } from './patience.js';
import { type Channel, type OutPost, Undelivered } from './port.js';

type Waiting = {
  out: OutPost;
  /** It may have arrived: the channel is asked before it is sent again. */
  unknown: boolean;
  /** How often the channel broke on it in a way that it may not. */
  broke: number;
  /** Since when it waits, ms since 1970. */
  readonly since: number;
  /** Called once it is known to stand, with its place; one for each post that was taken along. */
  readonly told: ((place: Place) => Promise<void>)[];
};

/** What waited for so long is told together: nobody reads twenty old posts one by one. */
const LATE_MS = 60_000;

/** A post that breaks the channel this often is left out: a stop card may be waiting behind it. */
const MOST_BROKEN = 3;

/**
 * Posts on their way out, in order for each thread; a card goes before what still waits. A post goes out once as far
 * as the channel can be asked; where it cannot, prompts and alerts go again, marked, and the rest at most once. What
 * cannot be delivered waits; what has waited long is told in one post, without the questions that are over by then.
 */
export class Outbox {
  private readonly threads = new Map<string, Waiting[]>();
  private readonly running = new Map<string, Promise<void>>();

  /** Threads in which the channel kept silent when it was last tried. */
  private readonly silent = new Set<string>();

  /** `report` is told of a post that had to be left out, in words for the console. */
  constructor(
    private readonly channel: Channel,
    private readonly now: () => number,
    private readonly report: (words: string) => void = () => undefined,
    private readonly patience: Patience = PATIENCE,
  ) {}

  /** Queues a post and delivers what can be delivered of its thread. */
  async send(out: OutPost, told: (place: Place) => Promise<void>, unknown = false): Promise<void> {
    const thread = threadOf(out);
    const queue = this.threads.get(thread);
    const waiting: Waiting = { out, unknown, told: [told], broke: 0, since: this.now() };
    if (queue === undefined) this.threads.set(thread, [waiting]);
    else queue.splice(isCard(waiting) ? queue.filter(isCard).length : queue.length, 0, waiting);
    await this.flush(thread);
  }

  /** Whether anything of this thread still waits. */
  waits(thread: string): boolean {
    return (this.threads.get(thread)?.length ?? 0) > 0;
  }

  /** Whether a post of this job still waits, in any thread. */
  waitsFor(job: string): boolean {
    return [...this.threads.values()].some((queue) => queue.some(({ out }) => out.job === job));
  }

  /** Tries what waits in a thread once more. */
  async flush(thread: string): Promise<void> {
    const before = this.running.get(thread);
    const next = () => this.deliverAll(thread);
    // A run that failed says nothing about the next one.
    const run = before === undefined ? next() : before.then(next, next);
    this.running.set(thread, run);
    try {
      await run;
    } finally {
      if (this.running.get(thread) === run) this.running.delete(thread);
    }
  }

  /**
   * Tries everything that waits. Where the channel keeps silent the round ends, so that time is not kept waiting once
   * for every thread; that thread is the last one of the next round.
   */
  async flushAll(): Promise<void> {
    for (const [thread, queue] of [...this.threads]) {
      if (queue.length === 0) continue;
      await this.flush(thread);
      if (!this.silent.has(thread)) continue;
      this.threads.delete(thread);
      this.threads.set(thread, queue);
      return;
    }
  }

  private async deliverAll(thread: string): Promise<void> {
    const queue = this.threads.get(thread) ?? [];
    for (let next = queue[0]; next !== undefined; next = queue[0]) {
      const settled = await this.settle(next, queue);
      if (settled === 'later') return;
      queue.splice(queue.indexOf(next), 1);
      if (settled !== 'dropped') for (const told of next.told) await told(settled);
    }
  }

  private async settle(waiting: Waiting, queue: Waiting[]): Promise<Place | 'later' | 'dropped'> {
    const thread = threadOf(waiting.out);
    this.silent.delete(thread);
    try {
      if (waiting.unknown) {
        const found = await within(this.channel.find(waiting.out), this.patience);
        if (found === 'cannot-ask') {
          if (!saidAgain(waiting.out)) return 'dropped';
          waiting.out = { ...waiting.out, again: true };
        } else if (found !== null) return found;
        waiting.unknown = false;
      }
      if (this.now() - waiting.since >= LATE_MS) await this.takeAlong(waiting, queue);
      return await within(this.channel.deliver(waiting.out), this.patience);
    } catch (error) {
      if (!(error instanceof Undelivered)) return this.broken(waiting, error);
      if (error.cause instanceof Late) this.silent.add(thread);
      if (error.code === 'unknown') waiting.unknown = true;
      return 'later';
    }
  }

  /** Makes one post of this one and those that wait behind it, as far as they can be told together. */
  private async takeAlong(waiting: Waiting, queue: Waiting[]): Promise<void> {
    for (;;) {
      const next = queue[queue.indexOf(waiting) + 1];
      if (next === undefined || next.out.job !== waiting.out.job || waiting.out.again) return;
      const post = inOne(waiting.out.post, next.out.post);
      if (post === null) return;
      if (next.unknown) {
        if ((await within(this.channel.find(next.out), this.patience)) !== null) return;
        next.unknown = false;
      }
      const { key, also = [] } = waiting.out;
      waiting.out = { ...next.out, post, also: [...also, key] };
      waiting.told.push(...next.told);
      queue.splice(queue.indexOf(next), 1);
    }
  }

  /** A slip of the channel's own. The line is on disk already, so the input may not fail by it. */
  private broken(waiting: Waiting, error: unknown): 'later' | 'dropped' {
    waiting.broke++;
    waiting.unknown = true;
    if (waiting.broke < MOST_BROKEN) return 'later';
    this.report(`${this.channel.name} broke on post ${waiting.out.key}, which is left out: ${String(error)}`);
    return 'dropped';
  }
}

/** The thread of a post: each bay has its own, the foreman and the shop one each. */
export function threadOf({ bay, post }: OutPost): string {
  return post.to === 'bay' ? `bay:${bay}` : post.to;
}

/** First actions in a danger wait behind nothing that was not sent yet. */
function isCard({ out }: Waiting): boolean {
  return out.post.kind === 'card';
}

function saidAgain({ post }: OutPost): boolean {
  return post.kind !== 'told';
}
