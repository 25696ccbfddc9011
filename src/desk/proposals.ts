import type { Place } from '../job/input.js';
import type { Part } from '../journal/shop-journal.js';
import type { RegisterChange } from '../shop/change.js';
import type { OfficeAnswer } from './office-answer.js';
import type { ShopEvent } from './shop-answer.js';

/** A change that was echoed to somebody and waits for a yes. */
export type Proposal = {
  readonly words: string;
  readonly changes: readonly RegisterChange[];
  /** When it was echoed, ms since 1970. */
  readonly at: number;
  /** The channel it was asked in, and where the echo stands there; null while that is not known. */
  readonly via: string;
  readonly place: Place | null;
};

/** So long a yes is taken for the change that was echoed; common practice, no source. */
export const YES_MS = 10 * 60_000;

/** What waits for a yes, one thing of each person: the last that was echoed to them. */
export class Proposals {
  private readonly byPerson = new Map<string, Proposal>();

  of(person: string): Proposal | null {
    return this.byPerson.get(person) ?? null;
  }

  /** Takes up what a line of the shop journal says. */
  take(person: string, via: string, at: number, answer: OfficeAnswer): void {
    if (answer.is === 'proposed') {
      const { words, changes } = answer;
      this.byPerson.set(person, { words, changes, at, via, place: null });
    } else if (answer.is === 'changed' || answer.is === 'dropped') this.byPerson.delete(person);
  }

  /** Notes where the echo of this instant stands. */
  stands(person: string, at: number, place: Place): void {
    const known = this.byPerson.get(person);
    if (known?.at === at) this.byPerson.set(person, { ...known, place });
  }

  /** After a start. */
  recover(recent: readonly Part<ShopEvent>[]): void {
    for (const { journal } of recent.toReversed()) {
      const places = new Map(journal.told.map((one) => [one.line, one.place]));
      for (const { seq, by, via, at, events } of journal.lines) {
        for (const event of events) {
          if (event.type !== 'office' || event.answer === null) continue;
          this.take(by, via, at, event.answer);
          const place = places.get(seq);
          if (place !== undefined) this.stands(by, at, place);
        }
      }
    }
  }
}
