import type { Gear } from '../job/world.js';
import { ln, wrap } from '../talk/line.js';
import { dueName, dueRule } from '../talk/phrase.js';
import type { Line, Post } from '../talk/post.js';
import { daysBetween } from '../trade/dates.js';
import { fewLines } from './few.js';
import { gearDue, gearDueText } from './gear-due.js';

/** One thing that a car has due, as the register keeps it. */
export type DueItem = {
  readonly job: string;
  readonly registration: string;
  readonly what: string;
  /** `YYYY-MM-DD`; null where only a distance rules. */
  readonly on: string | null;
  readonly atKm: number | null;
  readonly rule: string;
  /** When it was filed, ms since 1970. */
  readonly filedAt?: number | undefined;
};

export type DueFigures = {
  /** Today in the workshop's zone, `YYYY-MM-DD`. */
  readonly today: string;
  /** Due up to the end of this month, earliest first. */
  readonly items: readonly DueItem[];
  /** Ruled by distance alone. */
  readonly undated: readonly DueItem[];
  /** Kilometres of a car as the register has them; null where it does not. */
  readonly odometerOf: (registration: string) => number | null;
  readonly gear: Iterable<Gear>;
};

/** The last day of a date's month. */
export function monthEnd(date: string): string {
  const [year = 0, month = 0] = date.split('-').map(Number);
  const next = month === 12 ? `${year + 1}-01-01` : `${year}-${String(month + 1).padStart(2, '0')}-01`;
  return `${date.slice(0, 8)}${String(Number(date.slice(8)) + daysBetween(date, next) - 1).padStart(2, '0')}`;
}

/** Cars and gear overdue and due this month, overdue first. */
export function dueListPost(figures: DueFigures): Post {
  const { today, items, undated, odometerOf, gear } = figures;
  const overdue = items.filter(({ on }) => on !== null && on < today);
  const coming = items.filter(({ on }) => on !== null && on >= today && on <= monthEnd(today));
  const far = undated.filter(
    ({ registration, atKm }) => atKm !== null && (odometerOf(registration) ?? 0) >= atKm,
  );
  const pieces = gearDue(gear, today, daysBetween(today, monthEnd(today)));
  const late = pieces.filter(({ daysLeft }) => daysLeft < 0);
  const soon = pieces.filter(({ daysLeft }) => daysLeft >= 0);
  const over = overdue.length + far.length + late.length;
  const month = coming.length + soon.length;
  const count =
    over + month === 0
      ? 'nothing overdue, nothing due this month'
      : `${over} overdue, ${month} due this month`;
  const lines = [
    ln`Due, as of ${today}: ${count}.`,
    ...fewLines(ln`Cars overdue:`, overdue.map(itemLine), 8),
    ...fewLines(
      ln`Cars over their distance:`,
      far.map((item) => ln`${itemLine(item)} It stands at ${odometerOf(item.registration) ?? 0} km.`),
      8,
    ),
    ...fewLines(
      ln`Gear out of date:`,
      late.map((one) => ln`- ${gearDueText(one)}.`),
      8,
    ),
    ...fewLines(ln`Cars this month:`, coming.map(itemLine), 12),
    ...fewLines(
      ln`Gear this month:`,
      soon.map((one) => ln`- ${gearDueText(one)}.`),
      8,
    ),
  ];
  return {
    to: 'foreman',
    kind: 'told',
    lines: lines.flatMap((line) => wrap(line)),
    buttons: [],
    visit: null,
  };
}

function itemLine(item: DueItem): Line {
  return ln`- ${item.registration}: ${dueName(item.what)} ${whenDue(item)} (${dueRule(item.rule)}).`;
}

/** `2026-03-14 or 96200 km, whichever first`. */
export function whenDue({ on, atKm }: DueItem): string {
  const km = atKm === null ? null : `${Math.round(atKm)} km`;
  if (on === null) return km === null ? 'day not known' : `at ${km}`;
  return km === null ? on : `${on} or ${km}, whichever first`;
}
