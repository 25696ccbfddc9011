import { lastGoodDay } from '../job/fit.js';
import type { Gear, Person } from '../job/world.js';
import { ln } from '../talk/line.js';
import { gearPiece } from '../talk/phrase.js';
import type { Line } from '../talk/post.js';
import { daysBetween } from '../trade/dates.js';

/** A piece of gear and the last day on which it may be used. */
export type GearDue = {
  readonly id: string;
  readonly kind: Gear['kind'];
  readonly label: string;
  /** `YYYY-MM-DD`: the last good day. */
  readonly until: string;
  /** Days from today to that day; below 0 it is out of date. */
  readonly daysLeft: number;
};

/**
 * Gear in use by its last good day, soonest first, up to so many days ahead; out of date included. What was taken out of
 * use is nobody's to test before it is put right, and is left out.
 */
export function gearDue(gear: Iterable<Gear>, today: string, days: number): readonly GearDue[] {
  return [...gear]
    .filter(({ out }) => out === null)
    .map((piece): GearDue => {
      const { id, kind, label } = piece;
      const until = lastGoodDay(piece);
      return { id, kind, label, until, daysLeft: daysBetween(today, until) };
    })
    .filter(({ daysLeft }) => daysLeft <= days)
    .toSorted((a, b) => a.daysLeft - b.daysLeft || (a.id < b.id ? -1 : 1));
}

/** `gloves G1 2026-06-07 (in 5 days)`. */
export function gearDueText(due: GearDue): Line {
  const left =
    due.daysLeft < 0
      ? 'out of date'
      : due.daysLeft === 0
        ? 'last day'
        : due.daysLeft === 1
          ? 'in 1 day'
          : `in ${due.daysLeft} days`;
  return ln`${gearPiece(due)} ${due.until} (${left})`;
}

/** Gear that no gate takes today, with the reason. */
export function unusableGear(gear: Iterable<Gear>, today: string): readonly Line[] {
  return [...gear].flatMap((piece): Line[] => {
    const name = gearPiece(piece);
    if (piece.out !== null) return [ln`${name} (${piece.out})`];
    if (piece.tested > today) return [ln`${name} (tested ${piece.tested}? that day is to come)`];
    const until = lastGoodDay(piece);
    if (until < today) return [ln`${name} (out of date, last day ${until})`];
    const { cycles } = piece;
    return cycles !== null && cycles.done >= cycles.most
      ? [ln`${name} (${cycles.done} of ${cycles.most} cycles used)`]
      : [];
  });
}

/** People who work on cars and have no level in date today, or whose last one ends today. */
export function unfitPeople(
  people: Iterable<Person>,
  today: string,
): { readonly none: readonly Line[]; readonly lastDay: readonly Line[] } {
  const workers = [...people].filter(({ roles }) => roles.some((role) => role !== 'desk'));
  const bestUntil = ({ levels }: Person) =>
    levels.reduce<string | null>((best, { until }) => (best === null || until > best ? until : best), null);
  return {
    none: workers.flatMap((person): Line[] => {
      const until = bestUntil(person);
      if (until !== null && until >= today) return [];
      return [ln`${person.name} (${until === null ? 'no level' : `level ended ${until}`})`];
    }),
    lastDay: workers.filter((person) => bestUntil(person) === today).map(({ name }) => ln`${name}`),
  };
}
