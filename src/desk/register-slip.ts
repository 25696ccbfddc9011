import { DateTime } from 'luxon';
import { type Json, type RegisterChange, valueAt, type Way } from '../shop/change.js';
import type { DocumentName } from '../shop/documents.js';
import type { Register } from '../shop/register.js';
import type { Slip } from '../talk/register-talk.js';
import { addDays, daysInMonth, isIsoDate } from '../trade/dates.js';
import type { FlowSource } from './flow-source.js';

/** What follows from a change, said beside it. */
export type Consequence =
  | { readonly is: 'good-until'; readonly day: string }
  | { readonly is: 'past'; readonly day: string }
  | { readonly is: 'lower' };

/** What words would change, all of it in one document. */
export type Wanted = {
  readonly changes: readonly RegisterChange[];
  readonly consequence?: Consequence;
};

/** What a change of the register is heard from. */
export type ChangeAsked = {
  /** The whole message, and what follows its first word. */
  readonly text: string;
  readonly rest: string;
  readonly register: Register;
  /** `YYYY-MM-DD` in the workshop's zone. */
  readonly today: string;
  readonly now: number;
  /** Name of who says it: it stands beside a value. */
  readonly name: string;
  readonly flows: FlowSource;
};

export const isSlip = (heard: Wanted | Slip): heard is Slip => 'no' in heard;

/** A change at a way of a document, from what stands there now. */
export function change(register: Register, file: DocumentName, at: Way, after: Json): Wanted | Slip {
  return changes(register, file, [[at, after]]);
}

/** Several changes of one document; those that change nothing are left out. */
export function changes(
  register: Register,
  file: DocumentName,
  wanted: readonly (readonly [Way, Json])[],
): Wanted | Slip {
  const found = wanted.flatMap(([at, after]): RegisterChange[] => {
    const before = valueIn(register, file, at);
    return JSON.stringify(before) === JSON.stringify(after) ? [] : [{ file, at, before, after }];
  });
  return found.length === 0 ? { no: 'same' } : { changes: found };
}

/** What a document says at a way; null for nothing. */
export function valueIn(register: Register, file: DocumentName, at: Way): Json {
  return valueAt(register.written[file] as Json, at);
}

/** With what follows from it. */
export function following(heard: Wanted | Slip, consequence: Consequence | null): Wanted | Slip {
  return isSlip(heard) || consequence === null ? heard : { ...heard, consequence };
}

/** No type guard: what is no day is a text still. */
const isDay = (text: string): boolean => isIsoDate(text);

const WEEKDAYS = ['monday', 'tuesday', 'wednesday', 'thursday', 'friday', 'saturday', 'sunday'];

/** A day as people say it: `2026-11-20`, `today`, `friday` (the next one), `2027-02` (its last day); null for none. */
export function dayOf(said: string, today: string): string | null {
  const text = said.trim().toLowerCase();
  if (isDay(text)) return text;
  if (text === 'today') return today;
  if (text === 'yesterday') return addDays(today, -1);
  if (text === 'tomorrow') return addDays(today, 1);
  const month = /^(\d{4})-(0[1-9]|1[0-2])$/.exec(text);
  if (month !== null) {
    const last = `${text}-${daysInMonth(Number(month[1]), Number(month[2]))}`;
    return isDay(last) ? last : null;
  }
  const weekday = WEEKDAYS.findIndex((day) => text.length >= 3 && day.startsWith(text));
  if (weekday < 0) return null;
  const ahead = (weekday + 8 - DateTime.fromISO(today, { zone: 'utc' }).weekday) % 7;
  return addDays(today, ahead === 0 ? 7 : ahead);
}

/**
 * A day and time as people say it, `friday 18:00`, `18:00` (today), `2026-11-27 18:00`; a bare day is its end when
 * `ends` is set, else its beginning. As `YYYY-MM-DD HH:MM`; null for none.
 */
export function momentOf(said: string, today: string, ends: boolean): string | null {
  const found = /^(.*?)\s*(?:\bat\s+)?(\d{1,2}:\d{2})?$/i.exec(said.trim());
  const [, dayWords = '', clock] = found ?? [];
  const day = dayWords === '' ? (clock === undefined ? null : today) : dayOf(dayWords, today);
  if (day === null) return null;
  if (clock === undefined) return `${day} ${ends ? '23:59' : '00:00'}`;
  const padded = clock.padStart(5, '0');
  return /^(?:[01]\d|2[0-3]):[0-5]\d$/.test(padded) ? `${day} ${padded}` : null;
}

/** Ids are compared as they are typed: case, blanks and hyphens do not count. */
export const folded = (id: string): string => id.toUpperCase().replace(/[\s-]/g, '');

/** The id of a list that a word means; null for none. */
export function idOf(said: string, ids: Iterable<string>): string | null {
  for (const id of ids) if (folded(id) === folded(said)) return id;
  return null;
}
