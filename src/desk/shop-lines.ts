import type { Input, Place } from '../job/input.js';
import type { NewLine } from '../journal/line.js';
import { KEYS_MS } from '../journal/recent.js';
import type { MonthOpened, ShopJournal } from '../journal/shop-journal.js';
import { OFFICE } from '../talk/office-words.js';
import type { Post } from '../talk/post.js';
import { UNTOLD_LINES } from './between.js';
import type { KnownKeys } from './known-keys.js';
import { monthOf } from './month.js';
import { lineOf } from './new-line.js';
import type { Outbox } from './outbox.js';
import type { Parts } from './parts.js';
import { NotTaken } from './port.js';
import type { DayPosted, DayVoided, ShopEvent } from './shop-answer.js';
import type { Unkept } from './unkept.js';

/** Where a line of the shop journal stands. */
export type At = { readonly part: string; readonly seq: number };

/** What follows once a line is kept. */
type Then = {
  /** Instant of the line, ms since 1970. */
  readonly now?: number;
  readonly done?: (at: At) => Promise<void>;
  readonly stands?: (place: Place) => void;
};

/** Words that belong to no job: kept in the shop journal, answered after that, and told again after a crash. */
export class ShopLines {
  constructor(
    private readonly parts: Pick<Parts, 'shop' | 'clock'>,
    private readonly journal: ShopJournal<ShopEvent>,
    private readonly outbox: Outbox,
    private readonly known: KnownKeys,
    private readonly unkept: Unkept,
    /** What an event is told as, as things stand now. */
    private readonly postsOf: (event: ShopEvent) => readonly Post[] | Promise<readonly Post[]>,
  ) {}

  /** The lines of the newest months, as they were found at the start. */
  get recent(): ShopJournal<ShopEvent>['recent'] {
    return this.journal.recent;
  }

  /** A line that nobody's words made, and what it is told as; once for each key. */
  async announce(key: string, event: ShopEvent): Promise<void> {
    if (this.known.has(key)) return;
    const now = this.parts.clock.now();
    const line = { at: now, saidAt: now, by: 'clock', name: 'clock', via: 'clock', key, words: '' };
    const at = await this.append(now, { ...line, events: [event] });
    await this.tell(event, key, at);
  }

  /**
   * To disk, then done, then said. `stands` hears where a post stands as soon as that is known.
   *
   * @throws {NotTaken} when the disk does not take it; `instead` is said then, and nothing else happens.
   */
  async answer(
    input: Input,
    event: ShopEvent,
    instead: readonly Post[],
    { now = this.parts.clock.now(), done, stands }: Then = {},
  ): Promise<void> {
    let at: At;
    try {
      at = await this.append(now, lineOf<ShopEvent>(input, now, [event]));
    } catch (error) {
      for (const post of instead) await this.unkept.say(input.bay, input.key, post);
      throw error;
    }
    await done?.(at);
    await this.tell(event, input.key, at, stands);
  }

  /**
   * What the hour brings: to disk, then said. `kept` is called as soon as it is on disk.
   *
   * @throws {NotTaken} when the disk does not take it; nothing is said then.
   */
  async note(event: DayPosted | DayVoided, kept: () => void): Promise<void> {
    const now = this.parts.clock.now();
    const key = `${event.type}:${event.post}:${event.date}:${now}`;
    const line = { at: now, saidAt: now, by: 'clock', name: 'clock', via: 'clock', key, words: '' };
    const at = await this.append(now, { ...line, events: [event] });
    kept();
    await this.tell(event, key, at);
  }

  /** After a start: answers that may not have been told are told, as far as the channel can be asked once. */
  async tellAgain(): Promise<void> {
    const now = this.parts.clock.now();
    for (const { part, journal } of this.journal.recent.toReversed()) {
      const known = new Set(journal.told.map((one) => `${one.line}:${one.thread}`));
      for (const line of journal.lines.slice(-UNTOLD_LINES)) {
        if (line.at <= now - KEYS_MS) continue;
        for (const event of line.events) {
          if (isOpening(event)) continue;
          for (const post of await this.postsOf(event)) {
            if (known.has(`${line.seq}:${post.to}`)) continue;
            await this.send(bayOf(event), line.key, post, { part, seq: line.seq }, true);
          }
        }
      }
    }
  }

  /** @throws {NotTaken} */
  private async append(now: number, line: NewLine<ShopEvent>): Promise<At> {
    const month = monthOf(this.parts.shop.register().shop.zone, now);
    const at = await this.journal.append(month, line).catch((error) => {
      throw new NotTaken(error);
    });
    this.known.keep(line.key, now);
    return at;
  }

  private async tell(event: ShopEvent, key: string, at: At, stands?: Then['stands']): Promise<void> {
    for (const post of await this.postsOf(event)) await this.send(bayOf(event), key, post, at, false, stands);
  }

  private async send(
    bay: string,
    key: string,
    post: Post,
    { part, seq }: At,
    unknown = false,
    stands?: Then['stands'],
  ): Promise<void> {
    const out = { key: `shop:${key}:${post.to}`, bay, job: null, post, again: false };
    const told = (place: string) => {
      stands?.(place);
      return this.journal.tell(part, { line: seq, thread: post.to, place }).catch(() => undefined);
    };
    await this.outbox.send(out, told, unknown);
  }
}

function bayOf(event: ShopEvent): string {
  return event.type === 'said' ? event.bay : OFFICE;
}

function isOpening(event: ShopEvent | MonthOpened): event is MonthOpened {
  return event.type === 'month-opened';
}
