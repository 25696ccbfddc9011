import { IANAZone } from 'luxon';
import * as z from 'zod';
import { convert } from '../units/quantity.js';
import { say } from './fault.js';
import { APPLIED, DAY, ID, quantity, TEXT, VALUES } from './field.js';

/** The shop's own document: who it is, when it works, whom to call, its own figures. */

const CLOCK = z
  .string()
  .regex(/^(?:[01]\d|2[0-3]):[0-5]\d$/, say('it is no time of day', 'Write it like "07:30".'));

/** A shift that ends at or before its start ends on the next day. */
const SHIFT = z.strictObject({ from: CLOCK, to: CLOCK });

export const WEEKDAYS = [
  'monday',
  'tuesday',
  'wednesday',
  'thursday',
  'friday',
  'saturday',
  'sunday',
] as const;
export type Weekday = (typeof WEEKDAYS)[number];
export type Shift = z.output<typeof SHIFT>;
export type Hours = Readonly<Record<Weekday, readonly Shift[]>>;

const SHIFTS = z.array(SHIFT);

const HOURS = z
  .strictObject({
    monday: SHIFTS,
    tuesday: SHIFTS,
    wednesday: SHIFTS,
    thursday: SHIFTS,
    friday: SHIFTS,
    saturday: SHIFTS,
    sunday: SHIFTS,
  })
  .superRefine((hours, context) => {
    const overlap = overlapIn(hours);
    if (overlap === null) return;
    const message = say(
      `two shifts overlap on ${overlap}`,
      'End one where the next begins: one shift runs at a time.',
    );
    context.addIssue({ code: 'custom', path: [overlap], message });
  });

const LOCAL = z
  .string()
  .regex(/^\d{4}-\d\d-\d\d \d\d:\d\d$/, say('it is no day and time', 'Write it like "2026-03-02 07:30".'));

/** A span as text, in minutes; above zero, at most a day. */
const MINUTES = quantity('time').transform((span, context) => {
  const { value } = convert(span, 'min');
  if (value > 0 && value <= 1440) return value;
  context.addIssue({
    code: 'custom',
    message: say('it is no span between 0 and a day', 'Write it like "15 min".'),
  });
  return z.NEVER;
});

/** Common practice, no source, all four; the workshop's own figures win. */
const SETTINGS = z.strictObject({
  pause: MINUTES.default(15),
  visit: MINUTES.default(15),
  'dead-test': MINUTES.default(10),
  'check-in-grace': MINUTES.default(5),
});

export const SHOP = z.strictObject({
  applied: APPLIED,
  name: TEXT,
  /** Begins every job number. */
  site: z.string().regex(/^[A-Z0-9]{2,8}$/, say('it is no site code', 'Use 2 to 8 capitals or digits.')),
  zone: z
    .string()
    .refine((zone) => IANAZone.isValidZone(zone), say('it is no time zone', 'Write one like "Etc/UTC".')),
  hours: HOURS,
  /** Days without shifts. */
  closed: z.array(DAY).default([]),
  emergency: z
    .array(z.strictObject({ label: TEXT, number: TEXT }))
    .min(1, say('no emergency number', 'Add the one that is called first; the stop card shows it.')),
  /** Who stands in for the foreman, and when, in the workshop's own time. */
  deputies: z.array(z.strictObject({ person: ID, from: LOCAL, until: LOCAL })).default([]),
  settings: SETTINGS.prefault({}),
  values: VALUES,
  note: z.string().optional(),
});

const DAY_MINUTES = 24 * 60;
const WEEK_MINUTES = 7 * DAY_MINUTES;

const minutesOf = (clock: string) => Number(clock.slice(0, 2)) * 60 + Number(clock.slice(3));

/** The first weekday on which a shift begins before the one before it has ended. */
function overlapIn(hours: Hours): Weekday | null {
  const spans = WEEKDAYS.flatMap((weekday, day) =>
    hours[weekday].map(({ from, to }) => {
      const start = day * DAY_MINUTES + minutesOf(from);
      const length = minutesOf(to) - minutesOf(from);
      return { weekday, start, end: start + (length > 0 ? length : length + DAY_MINUTES) };
    }),
  ).toSorted((a, b) => a.start - b.start);
  const first = spans[0];
  if (first === undefined) return null;
  const round = [...spans, { ...first, start: first.start + WEEK_MINUTES }];
  let end = Number.NEGATIVE_INFINITY;
  for (const span of round) {
    if (span.start < end) return span.weekday;
    end = span.end;
  }
  return null;
}
