import fc from 'fast-check';
import { DateTime } from 'luxon';
import { describe, expect, test } from 'vitest';
import { shopDay } from '../../src/shop/hours.js';
import { DAY_MS, REFERENCE_AIR } from '../../src/trade/cure.js';
import {
  addDays,
  addMonths,
  BadDateError,
  compareDates,
  daysBetween,
  earlierDate,
  isIsoDate,
} from '../../src/trade/dates.js';
import { releaseAt } from '../../src/trade/release.js';
import { cite, rowsOf } from '../reference/rows.js';

const utc = (date: string) => DateTime.fromISO(date, { zone: 'utc' });
const anyDate = fc
  .integer({ min: -200_000, max: 200_000 })
  .map((days) => DateTime.utc(2000, 1, 1).plus({ days }).toFormat('yyyy-MM-dd'));

describe('reference rows', () => {
  const added = rowsOf('dates', 'date_plus_duration', 'luxon_manual_example', 'issue_thread_statement');
  test.each(
    added.map(
      (row) => [`${row.inputs.date} + ${JSON.stringify(row.inputs.add)} is ${row.value}`, row] as const,
    ),
  )('%s', (_title, row) => {
    const add = row.inputs.add as { years?: number; months?: number; weeks?: number; days?: number };
    const moved = addMonths(String(row.inputs.date), (add.years ?? 0) * 12 + (add.months ?? 0));
    expect(addDays(moved, (add.weeks ?? 0) * 7 + (add.days ?? 0)), cite(row)).toBe(row.value);
  });

  test.each(rowsOf('dates', 'chained_vs_single'))(
    'adding in two steps drifts, in one step not: $id',
    (row) => {
      const date = String(row.inputs.date);
      expect(addMonths(addMonths(date, 12), 6), cite(row)).toBe(row.value);
      expect(addMonths(date, 18), cite(row)).toBe('2025-08-29');
    },
  );

  test.each(rowsOf('dates', 'native_Date_setMonth'))(
    'the end of the month does not roll over: $id',
    (row) => {
      expect(addMonths(String(row.inputs.date), 1), cite(row)).not.toBe(row.value);
      expect(addMonths(String(row.inputs.date), 1)).toBe('2025-02-28');
    },
  );
});

describe('where the clocks change', () => {
  const CLOSED = {
    closed: [],
    hours: { monday: [], tuesday: [], wednesday: [], thursday: [], friday: [], saturday: [], sunday: [] },
  };
  const zoned = rowsOf('dates', 'zoned_plus_duration');
  const at = (local: unknown, zone: unknown) => DateTime.fromISO(String(local), { zone: String(zone) });
  type Add = {
    readonly years?: number;
    readonly months?: number;
    readonly days?: number;
    readonly hours?: number;
  };

  const calendar = zoned.filter((row) => !('hours' in (row.inputs.add as Add)));
  test.each(calendar)('a date moves by calendar, whatever the clock does: $id', (row) => {
    const { years = 0, months = 0, days = 0 } = row.inputs.add as Add;
    const local = String(row.inputs.local);
    const date = addDays(addMonths(local.slice(0, 10), 12 * years + months), days);
    expect(date, cite(row)).toBe(String(row.value).slice(0, 10));
    const moved = at(row.inputs.local, row.inputs.zone).plus({ years, months, days });
    expect(moved.toISO({ suppressSeconds: true, suppressMilliseconds: true }), cite(row)).toBe(row.value);
  });

  const hours = zoned.filter((row) => !calendar.includes(row));
  test.each(hours)('a cure of 24 h lasts 24 h by a stopwatch: $id', (row) => {
    expect((row.inputs.add as Add).hours).toBe(24);
    const startMs = at(row.inputs.local, row.inputs.zone).toMillis();
    const log = [{ ...REFERENCE_AIR, atMs: startMs - 60_000 }];
    const cured = releaseAt({ depthMm24h: 3, depthMm: 3, startMs, log, announcedMs: null });
    if (!cured.ok) throw new Error(cured.because);
    const local = DateTime.fromMillis(cured.atMs, { zone: String(row.inputs.zone) });
    expect(local.toISO({ suppressSeconds: true, suppressMilliseconds: true }), cite(row)).toBe(row.value);
  });

  test.each(rowsOf('dates', 'elapsed_hours_between_wall_times'))(
    'the workshop’s day is measured by its own length: $value h from $inputs.from ($id)',
    (row) => {
      const zone = String(row.inputs.zone);
      const [from, to] = [at(row.inputs.from, zone), at(row.inputs.to, zone)];
      expect(to.diff(from, 'hours').hours, cite(row)).toBe(row.value);
      // The change lies in the night between: that day of the workshop has the missing or the second hour.
      const day = shopDay({ zone, ...CLOSED }, to.toMillis());
      expect((day.until - day.from) / (DAY_MS / 24)).toBe(row.value);
    },
  );

  test.each(rowsOf('dates', 'today_depends_on_zone'))(
    'today is the day of the workshop’s zone: $id',
    (row) => {
      const instant = DateTime.fromISO(String(row.inputs.instant)).toMillis();
      for (const [zone, date] of Object.entries(row.value as Readonly<Record<string, string>>))
        expect(shopDay({ zone, ...CLOSED }, instant).date, cite(row)).toBe(date);
    },
  );

  test.each(rowsOf('dates', 'date_difference'))('a year, a month and three days, not four: $id', (row) => {
    const [from, to] = [String(row.inputs.from), String(row.inputs.to)];
    expect(row.value).toBe('P1Y1M3D');
    expect(daysBetween(addMonths(from, 13), to), cite(row)).toBe(3);
  });
});

describe('against luxon', () => {
  test('months on or back land on the same day as luxon', () => {
    fc.assert(
      fc.property(anyDate, fc.integer({ min: -1200, max: 1200 }), (date, months) => {
        expect(addMonths(date, months)).toBe(utc(date).plus({ months }).toISODate());
      }),
      { numRuns: 5000 },
    );
  });
  test('days on or back land on the same day as luxon', () => {
    fc.assert(
      fc.property(anyDate, fc.integer({ min: -100_000, max: 100_000 }), (date, days) => {
        expect(addDays(date, days)).toBe(utc(date).plus({ days }).toISODate());
      }),
      { numRuns: 5000 },
    );
  });
  test('days between two dates are those of luxon', () => {
    fc.assert(
      fc.property(anyDate, anyDate, (a, b) => {
        expect(daysBetween(a, b)).toBe(utc(b).diff(utc(a), 'days').days);
        expect(Math.sign(compareDates(a, b))).toBe(Math.sign(utc(a).toMillis() - utc(b).toMillis()));
      }),
      { numRuns: 5000 },
    );
  });
  test('a day exists exactly when luxon says so', () => {
    const part = (most: number, width: number, least = 0) =>
      fc.integer({ min: least, max: most }).map((n) => String(n).padStart(width, '0'));
    fc.assert(
      fc.property(part(2250, 4, 1900), part(14, 2), part(33, 2), (year, month, day) => {
        const text = `${year}-${month}-${day}`;
        expect(isIsoDate(text), text).toBe(year >= '1970' && year <= '2199' && utc(text).isValid);
      }),
      { numRuns: 5000 },
    );
  });
});

test('day by day through the leap century 2000 and the common century 2100 no day is skipped or doubled', () => {
  for (const [first, count] of [
    ['1999-12-01', 500],
    ['2099-12-01', 500],
    ['1600-02-01', 60],
  ] as const)
    for (let day = 0; day < count; day += 1)
      expect(addDays(first, day)).toBe(utc(first).plus({ days: day }).toISODate());
});
test('the first and the last day of the calendar can be reached', () => {
  expect(addDays('0001-01-02', -1)).toBe('0001-01-01');
  expect(addMonths('9999-11-30', 1)).toBe('9999-12-30');
});

describe('what is no date', () => {
  test.each([
    '2025-02-29',
    '2025-2-1',
    '25-02-01',
    '2025-13-01',
    '2025-00-10',
    '2025-04-31',
    ' 2025-04-30',
    '2025-04-30T10:00',
    '0000-01-01',
    '',
    '２０２５-04-30',
  ])('"%s" is no date, and the arithmetic says so', (text) => {
    expect(isIsoDate(text)).toBe(false);
    expect(() => addMonths(text, 1)).toThrow(BadDateError);
    expect(() => daysBetween('2025-01-01', text)).toThrow(BadDateError);
  });
  test.each(['0205-11-25', '1969-12-31', '2200-01-01', '9999-12-31'])(
    'the year of "%s" is a slip of the pen',
    (text) => {
      expect(isIsoDate(text)).toBe(false);
    },
  );
  test('half a month or half a day is refused', () => {
    expect(() => addMonths('2025-01-31', 0.5)).toThrow(RangeError);
    expect(() => addDays('2025-01-31', Number.NaN)).toThrow(RangeError);
  });
  test('a result beyond the year 9999 is refused', () => {
    expect(() => addDays('9999-12-31', 1)).toThrow(BadDateError);
    expect(() => addMonths('0001-01-01', -1)).toThrow(BadDateError);
  });
  test('the earlier of two dates comes first by calendar, not by spelling of the day', () => {
    expect(earlierDate('2025-12-01', '2025-02-28')).toBe('2025-02-28');
    expect(earlierDate('2025-02-28', '2025-12-01')).toBe('2025-02-28');
  });
});
