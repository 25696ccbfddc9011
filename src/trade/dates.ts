/**
 * Calendar arithmetic on ISO dates ('YYYY-MM-DD', proleptic Gregorian, years 0001 to 9999). No clock, no zone:
 * an instant becomes a workshop date elsewhere.
 *
 * Months are added in ONE step from the original date and the day is clamped to the end of the month
 * (31 January + 1 month = 28 or 29 February). Source of the rule: Temporal.PlainDate.add with overflow
 * 'constrain'; ISO 8601 defines no arithmetic for months. Adding in several steps drifts (29 February + 1 year
 * + 6 months ends on the 28th), so callers add to the original date, never to an earlier result.
 */

/** 'YYYY-MM-DD'. Checked with `isIsoDate` where the text comes in. */
export type IsoDate = string;

/** A slip of the programmer: text that is no date reached the arithmetic, or a result left years 1 to 9999. */
export class BadDateError extends Error {
  readonly code = 'bad-date';
  constructor(readonly text: string) {
    super(`Not a date of the form YYYY-MM-DD: ${text}. Check it with isIsoDate where it comes in.`);
  }
}

type Civil = { readonly year: number; readonly month: number; readonly day: number };

const isLeap = (year: number): boolean => (year % 4 === 0 && year % 100 !== 0) || year % 400 === 0;

/** Days in a month of a year; month 1 to 12. */
export function daysInMonth(year: number, month: number): number {
  if (month === 2) return isLeap(year) ? 29 : 28;
  return month === 4 || month === 6 || month === 9 || month === 11 ? 30 : 31;
}

// The same few dates of certificates and gear are judged with every message.
const read = new Map<string, Civil | null>();
const MOST_READ = 512;

function civil(text: string): Civil | null {
  const before = read.get(text);
  if (before !== undefined) return before;
  const date = readCivil(text);
  if (read.size >= MOST_READ) read.clear();
  read.set(text, date);
  return date;
}

function readCivil(text: string): Civil | null {
  const found = /^(\d{4})-(\d{2})-(\d{2})$/.exec(text);
  if (found === null) return null;
  const [year, month, day] = [Number(found[1]), Number(found[2]), Number(found[3])];
  const exists = year >= 1 && month >= 1 && month <= 12 && day >= 1 && day <= daysInMonth(year, month);
  return exists ? { year, month, day } : null;
}

function known(text: IsoDate): Civil {
  const date = civil(text);
  if (date === null) throw new BadDateError(text);
  return date;
}

function print({ year, month, day }: Civil): IsoDate {
  const text = `${String(year).padStart(4, '0')}-${String(month).padStart(2, '0')}-${String(day).padStart(2, '0')}`;
  if (year < 1 || year > 9999) throw new BadDateError(text);
  return text;
}

const whole = (count: number): number => {
  if (!Number.isInteger(count)) throw new RangeError(`Whole months or days only, not ${count}.`);
  return count;
};

/**
 * True when the text is a day that exists, written YYYY-MM-DD ('2025-02-29' does not), in the years 1970 to 2199:
 * any other year on a label or a certificate is a slip of the pen ('0205-11-25').
 */
export function isIsoDate(text: string): text is IsoDate {
  const date = civil(text);
  return date !== null && date.year >= 1970 && date.year <= 2199;
}

// The year is counted from March so that the leap day comes last; 400 years have 146,097 days.
function dayNumber({ year, month, day }: Civil): number {
  const y = month <= 2 ? year - 1 : year;
  const era = Math.floor(y / 400);
  const yearOfEra = y - era * 400;
  const dayOfYear = Math.floor((153 * ((month + 9) % 12) + 2) / 5) + day - 1;
  return era * 146097 + yearOfEra * 365 + Math.floor(yearOfEra / 4) - Math.floor(yearOfEra / 100) + dayOfYear;
}

function fromDayNumber(number: number): Civil {
  const era = Math.floor(number / 146097);
  const dayOfEra = number - era * 146097;
  const yearOfEra = Math.floor(
    (dayOfEra - Math.floor(dayOfEra / 1460) + Math.floor(dayOfEra / 36524) - Math.floor(dayOfEra / 146096)) /
      365,
  );
  const dayOfYear = dayOfEra - (365 * yearOfEra + Math.floor(yearOfEra / 4) - Math.floor(yearOfEra / 100));
  const fromMarch = Math.floor((5 * dayOfYear + 2) / 153);
  const month = fromMarch < 10 ? fromMarch + 3 : fromMarch - 9;
  const year = yearOfEra + era * 400 + (month <= 2 ? 1 : 0);
  return { year, month, day: dayOfYear - Math.floor((153 * fromMarch + 2) / 5) + 1 };
}

/**
 * The same day number `months` calendar months on (or back, when negative), clamped to the end of the month.
 * Throws BadDateError for text that is no date, RangeError for a fraction of a month.
 */
export function addMonths(date: IsoDate, months: number): IsoDate {
  const { year, month, day } = known(date);
  const index = year * 12 + (month - 1) + whole(months);
  const [toYear, toMonth] = [Math.floor(index / 12), (((index % 12) + 12) % 12) + 1];
  return print({ year: toYear, month: toMonth, day: Math.min(day, daysInMonth(toYear, toMonth)) });
}

/** The date `days` days on (or back). Throws like `addMonths`. */
export const addDays = (date: IsoDate, days: number): IsoDate =>
  print(fromDayNumber(dayNumber(known(date)) + whole(days)));

/** Whole days from the first date to the second; negative when the second is earlier. */
export const daysBetween = (from: IsoDate, to: IsoDate): number =>
  dayNumber(known(to)) - dayNumber(known(from));

/** Below zero when `a` is the earlier date, above when it is the later, zero on the same day. */
export const compareDates = (a: IsoDate, b: IsoDate): number => daysBetween(b, a);

/** The earlier of two dates. */
export const earlierDate = (a: IsoDate, b: IsoDate): IsoDate => (compareDates(a, b) <= 0 ? a : b);
