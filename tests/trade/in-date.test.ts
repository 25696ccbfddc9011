import fc from 'fast-check';
import { DateTime } from 'luxon';
import { describe, expect, test } from 'vitest';
import { judgeInDate, judgeUseBy, usable } from '../../src/trade/in-date.js';
import { cite, rowsOf } from '../reference/rows.js';

const words = (daysLeft: number) => {
  const days = `${Math.abs(daysLeft)} day${Math.abs(daysLeft) === 1 ? '' : 's'}`;
  return daysLeft > 0 ? `due in ${days}` : daysLeft === 0 ? 'due today' : `overdue by ${days}`;
};

test.each(rowsOf('dates', 'due_status'))('on $inputs.today a thing due $inputs.due is: $value', (row) => {
  const judged = judgeUseBy({ useBy: String(row.inputs.due), on: String(row.inputs.today) });
  expect(judged.ok && words(judged.daysLeft), cite(row)).toBe(row.value);
});

describe('a tester with a twelve-month calibration', () => {
  test.each([
    ['2025-03-14', 'in-date', 1, true],
    ['2025-03-15', 'due', 0, true],
    ['2025-03-16', 'overdue', -1, false],
    ['2024-03-15', 'in-date', 365, true],
  ])('tested 15 March 2024 is on %s %s', (on, state, daysLeft, mayBeUsed) => {
    const judged = judgeInDate({ testedOn: '2024-03-15', intervalMonths: 12, on });
    expect(judged).toEqual({ ok: true, state, dueOn: '2025-03-15', daysLeft });
    expect(judged.ok && usable(judged)).toBe(mayBeUsed);
  });
  test('tested on the last of August with six months is due on the last of February', () => {
    expect(judgeInDate({ testedOn: '2025-08-31', intervalMonths: 6, on: '2026-01-01' })).toMatchObject({
      dueOn: '2026-02-28',
      daysLeft: 58,
    });
  });
  test.each([
    [1, '2025-07-01'],
    [240, '2045-06-01'],
  ])('an interval of %d months is taken', (intervalMonths, dueOn) => {
    expect(judgeInDate({ testedOn: '2025-06-01', intervalMonths, on: '2025-06-01' })).toMatchObject({
      dueOn,
    });
  });
  test.each([
    [{ testedOn: '2025-06-01', intervalMonths: 12, on: '2025-05-31' }, 'tested-after-today'],
    [{ testedOn: '2025-06-31', intervalMonths: 12, on: '2025-07-31' }, 'bad-date'],
    [{ testedOn: '2025-06-01', intervalMonths: 12, on: 'today' }, 'bad-date'],
    [{ testedOn: '2025-06-01', intervalMonths: 0, on: '2025-07-31' }, 'bad-interval'],
    [{ testedOn: '2025-06-01', intervalMonths: 1.5, on: '2025-07-31' }, 'bad-interval'],
    [{ testedOn: '2025-06-01', intervalMonths: 241, on: '2025-07-31' }, 'bad-interval'],
  ])('%o is refused as %s', (asked, because) => {
    expect(judgeInDate(asked)).toMatchObject({ ok: false, because });
  });
});

describe('sealant with a use-by date', () => {
  test.each([
    ['2025-11-29', true],
    ['2025-11-30', true],
    ['2025-12-01', false],
  ])('use by 30 November: on %s it may be used: %s', (on, mayBeUsed) => {
    const judged = judgeUseBy({ useBy: '2025-11-30', on });
    expect(judged.ok && usable(judged)).toBe(mayBeUsed);
  });
  test('a use-by date that does not exist is refused', () => {
    expect(judgeUseBy({ useBy: '2025-11-31', on: '2025-11-01' })).toMatchObject({
      because: 'bad-date',
      what: 'useBy',
    });
    expect(judgeUseBy({ useBy: '2025-11-30', on: '1.11.2025' })).toMatchObject({
      because: 'bad-date',
      what: 'on',
    });
  });
});

test('against luxon: due date, days left and state of any test date and interval', () => {
  const date = (days: number) => DateTime.utc(2000, 1, 1).plus({ days });
  fc.assert(
    fc.property(
      fc.integer({ min: 0, max: 20_000 }),
      fc.integer({ min: 1, max: 240 }),
      fc.integer({ min: 0, max: 9000 }),
      (tested, intervalMonths, later) => {
        const on = date(tested + later);
        const due = date(tested).plus({ months: intervalMonths });
        const daysLeft = due.diff(on, 'days').days;
        expect(
          judgeInDate({
            testedOn: date(tested).toFormat('yyyy-MM-dd'),
            intervalMonths,
            on: on.toFormat('yyyy-MM-dd'),
          }),
        ).toEqual({
          ok: true,
          dueOn: due.toFormat('yyyy-MM-dd'),
          daysLeft,
          state: daysLeft > 0 ? 'in-date' : daysLeft === 0 ? 'due' : 'overdue',
        });
      },
    ),
  );
});
