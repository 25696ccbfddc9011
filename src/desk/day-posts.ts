import type { MonthOpened, ShopJournal } from '../journal/shop-journal.js';
import type { Opening } from '../shop/hours.js';
import { type DoneDay, dayPostsDue, nextDayPost } from './day-due.js';
import type { Parts } from './parts.js';
import type { ShopEvent } from './shop-answer.js';
import type { ShopLines } from './shop-lines.js';

/** So many days that are done are remembered: more than any clock is ever put back. */
const MOST_DONE = 120;

/**
 * The posts of every working day, at closing and at opening time. What was made is an event of the shop journal, on disk
 * before it is posted and told again after a crash like all its lines: it comes once a day, whatever the clock, the power
 * and the channel do.
 */
export class DayPosts {
  private done: DoneDay[] = [];
  private turn: Promise<unknown> = Promise.resolve();

  /** Hours before this, and before the first post of all, are nobody's. */
  private since = Number.POSITIVE_INFINITY;

  /** Until when nothing is due, as it was last worked out: asked for with every message, and zones are slow. */
  private calm: { readonly shop: Opening; readonly from: number; readonly until: number } | null = null;

  constructor(
    private readonly parts: Pick<Parts, 'shop' | 'clock'>,
    private readonly journal: ShopJournal<ShopEvent>,
    private readonly lines: Pick<ShopLines, 'note'>,
  ) {}

  /** After a start: which posts were made. `since`: when this program was last there, ms since 1970. */
  async resume(since: number): Promise<void> {
    this.since = since;
    for (const { journal } of this.journal.recent.toReversed()) this.remember(journal.lines);
    // A month that has just begun knows nothing of the days before it.
    for (const part of this.journal.older) {
      if (this.done.length > 0) break;
      this.remember((await this.journal.read(part))?.lines ?? []);
    }
  }

  /**
   * Makes what is due.
   *
   * @throws {NotTaken} where the journal does not take it: it is tried again.
   */
  tick(): Promise<void> {
    const run = this.turn.then(() => this.makeDue());
    this.turn = run.catch(() => undefined);
    return run;
  }

  /** When the next hour comes at which a post is due; now while one is due already. */
  nextWake(): number | null {
    const { shop } = this.parts.shop.register();
    const now = this.parts.clock.now();
    if (this.isCalm(shop, now)) return this.calm?.until ?? null;
    if (dayPostsDue(now, shop, this.done, this.since).posts.length > 0) return now;
    const next = nextDayPost(now, shop);
    this.calm = next === null ? null : { shop, from: now, until: next };
    return next;
  }

  private isCalm(shop: Opening, now: number): boolean {
    return this.calm !== null && this.calm.shop === shop && this.calm.from <= now && now < this.calm.until;
  }

  private async makeDue(): Promise<void> {
    const { shop } = this.parts.shop.register();
    const now = this.parts.clock.now();
    if (this.isCalm(shop, now)) return;
    const due = dayPostsDue(now, shop, this.done, this.since);
    for (const { post, date } of due.void) {
      await this.lines.note({ type: 'day-post-void', post, date }, () => this.forget({ post, date }));
    }
    for (const one of due.posts) {
      await this.lines.note({ type: 'day-post', ...one }, () => this.keep(one));
    }
  }

  private remember(lines: readonly { readonly events: readonly (ShopEvent | MonthOpened)[] }[]): void {
    for (const event of lines.flatMap(({ events }) => events)) {
      if (event.type === 'day-post') this.keep(event);
      if (event.type === 'day-post-void') this.forget(event);
    }
  }

  private forget({ post, date }: DoneDay): void {
    this.done = this.done.filter((one) => one.post !== post || one.date !== date);
  }

  private keep({ post, date }: DoneDay): void {
    this.done = [...this.done, { post, date }].slice(-MOST_DONE);
  }
}
