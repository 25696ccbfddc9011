import { DateTime } from 'luxon';
import { type Hours, WEEKDAYS } from './settings.js';

/** When a shop works, as its document says it. */
export type Opening = { readonly zone: string; readonly hours: Hours; readonly closed: readonly string[] };

/** A day of the workshop: midnight to midnight in its zone, 23 or 25 hours when the clocks change. */
export type ShopDay = {
  /** `YYYY-MM-DD`. */
  readonly date: string;
  readonly from: number;
  readonly until: number;
  /** Shifts that run on it, those begun the evening before included. Instants, in order. */
  readonly shifts: readonly { readonly startsAt: number; readonly endsAt: number }[];
};

/** The workshop's day at an instant, ms since 1970. */
export function shopDay(opening: Opening, now: number): ShopDay {
  const start = DateTime.fromMillis(now, { zone: opening.zone }).startOf('day');
  const shifts = [...shiftsOf(opening, start.minus({ days: 1 })), ...shiftsOf(opening, start)];
  const from = start.toMillis();
  return {
    date: dateOf(start),
    from,
    until: start.plus({ days: 1 }).startOf('day').toMillis(),
    shifts: shifts.filter(({ endsAt }) => endsAt > from),
  };
}

/** End of the shift that runs at an instant of the day; null between shifts. A shift has ended at its end. */
export function shiftEnd(day: ShopDay, now: number): number | null {
  return day.shifts.find(({ startsAt, endsAt }) => startsAt <= now && now < endsAt)?.endsAt ?? null;
}

/** The month of an instant in a zone, `YYYY-MM`. */
export function monthOf(zone: string, at: number): string {
  return DateTime.fromMillis(at, { zone }).toFormat('yyyy-MM');
}

/** The instant of a local `YYYY-MM-DD HH:MM`; one that the clocks skip is taken as the hour after. */
export function instantOf(zone: string, local: string): number {
  return DateTime.fromFormat(local, 'yyyy-MM-dd HH:mm', { zone }).toMillis();
}

function shiftsOf({ hours, closed }: Opening, day: DateTime): ShopDay['shifts'] {
  const weekday = WEEKDAYS[day.weekday - 1];
  if (weekday === undefined || closed.includes(dateOf(day))) return [];
  return hours[weekday].map(({ from, to }) => {
    const startsAt = clockOn(day, from);
    const sameDay = clockOn(day, to);
    return { startsAt, endsAt: sameDay > startsAt ? sameDay : clockOn(day.plus({ days: 1 }), to) };
  });
}

/** Wall-clock time, never so many hours after midnight: those differ on the days the clocks change. */
function clockOn(day: DateTime, clock: string): number {
  return day.set({ hour: Number(clock.slice(0, 2)), minute: Number(clock.slice(3)) }).toMillis();
}

function dateOf(day: DateTime): string {
  return day.toFormat('yyyy-MM-dd');
}
