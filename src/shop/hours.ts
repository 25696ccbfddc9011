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

/** From the first shift of a working day to the end of its last, which may fall on the next day. */
export type WorkDay = {
  /** `YYYY-MM-DD`: the day on which its first shift begins. */
  readonly date: string;
  readonly opensAt: number;
  readonly closesAt: number;
};

/** A date as a day of work, instants in ms since 1970; null where no shift begins on it. */
export function workDay(opening: Opening, date: string): WorkDay | null {
  let days = workDays.get(opening);
  if (days === undefined || days.size > MOST_DAYS) {
    days = new Map();
    workDays.set(opening, days);
  }
  let day = days.get(date);
  if (day === undefined) {
    day = madeDay(opening, date);
    days.set(date, day);
  }
  return day;
}

// Asked for every second, and working with zones is slow.
const workDays = new WeakMap<Opening, Map<string, WorkDay | null>>();
const MOST_DAYS = 200;

function madeDay(opening: Opening, date: string): WorkDay | null {
  const shifts = shiftsOf(opening, DateTime.fromISO(date, { zone: opening.zone }));
  const [first] = shifts;
  if (first === undefined) return null;
  const starts = shifts.map(({ startsAt }) => startsAt);
  const ends = shifts.map(({ endsAt }) => endsAt);
  return { date, opensAt: Math.min(...starts), closesAt: Math.max(...ends) };
}

/** The date of an instant in the workshop's zone, `YYYY-MM-DD`. */
export function dateAt(zone: string, at: number): string {
  return dateOf(DateTime.fromMillis(at, { zone }));
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
