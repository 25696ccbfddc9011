import fc from 'fast-check';
import { DateTime } from 'luxon';
import { describe, expect, test } from 'vitest';
import { fuseDue, serviceDue } from '../../src/trade/due.js';

describe('whichever comes first', () => {
  const base = { doneOn: '2025-01-31', odometerKm: 50_000, kmPerYear: 15_000 };
  test.each([
    [
      'months when the car is driven little',
      { months: 24, distanceKm: 60_000 },
      15_000,
      '2027-01-31',
      'months',
    ],
    [
      'distance when the car is driven much',
      { months: 24, distanceKm: 60_000 },
      60_000,
      '2026-01-31',
      'distance',
    ],
    ['months on a tie', { months: 12, distanceKm: 15_000 }, 15_000, '2026-01-31', 'months'],
    [
      'distance alone, dated by the use',
      { months: null, distanceKm: 30_000 },
      15_000,
      '2027-01-31',
      'distance',
    ],
    [
      'months when the distance would take beyond the calendar',
      { months: 24, distanceKm: 60_000 },
      0.001,
      '2027-01-31',
      'months',
    ],
  ])('%s', (_title, rule, kmPerYear, dueOn, ruledBy) => {
    expect(serviceDue({ ...base, kmPerYear, rule })).toEqual({
      ok: true,
      dueOn,
      dueAtKm: 50_000 + rule.distanceKm,
      ruledBy,
      distanceNotDated: false,
    });
  });
  test('half a day of driving less does not push the date on: days are rounded down', () => {
    expect(
      serviceDue({ ...base, rule: { months: null, distanceKm: 100 }, kmPerYear: 36_525 / 1.6 }),
    ).toMatchObject({
      dueOn: '2025-02-01',
    });
  });
  test('a new car at zero kilometres has an odometer', () => {
    expect(serviceDue({ ...base, odometerKm: 0, rule: { months: null, distanceKm: 15_000 } })).toMatchObject({
      dueAtKm: 15_000,
    });
  });
  test('months are clamped from the day of the work', () => {
    expect(serviceDue({ ...base, rule: { months: 1, distanceKm: null } })).toEqual({
      ok: true,
      dueOn: '2025-02-28',
      dueAtKm: null,
      ruledBy: 'months',
      distanceNotDated: false,
    });
  });
  test('with the use of the car unknown the distance is named, not dated', () => {
    expect(serviceDue({ ...base, kmPerYear: null, rule: { months: 24, distanceKm: 60_000 } })).toEqual({
      ok: true,
      dueOn: '2027-01-31',
      dueAtKm: 110_000,
      ruledBy: 'months',
      distanceNotDated: true,
    });
    expect(
      serviceDue({ ...base, kmPerYear: null, rule: { months: null, distanceKm: 60_000 } }),
    ).toMatchObject({
      dueOn: null,
      dueAtKm: 110_000,
      ruledBy: 'distance',
      distanceNotDated: true,
    });
  });
  test.each([
    [{ rule: { months: null, distanceKm: null } }, 'no-rule'],
    [{ rule: { months: 0, distanceKm: null } }, 'bad-interval'],
    [{ rule: { months: 24, distanceKm: 60_000 }, odometerKm: null }, 'no-odometer'],
    [{ rule: { months: 24, distanceKm: 60_000 }, odometerKm: -1 }, 'no-odometer'],
    [{ rule: { months: 24, distanceKm: 60_000 }, odometerKm: Number.NaN }, 'no-odometer'],
    [{ rule: { months: 601, distanceKm: null } }, 'bad-interval'],
    [{ rule: { months: 24, distanceKm: 0 } }, 'not-positive'],
    [{ rule: { months: 24, distanceKm: 100 }, kmPerYear: 0 }, 'not-positive'],
    [{ rule: { months: null, distanceKm: 60_000 }, kmPerYear: 0.001 }, 'beyond-calendar'],
    [{ rule: { months: 24, distanceKm: null }, doneOn: '2025-02-30' }, 'bad-date'],
  ])('%o is refused as %s', (change, because) => {
    expect(serviceDue({ ...base, ...change })).toMatchObject({ ok: false, because });
  });
});

describe('the fitted fuse decides what is next due', () => {
  const days = { fittedOn: '2025-11-25', manufacturedOn: '2025-08-31' };
  test('own cell, life from manufacture', () => {
    expect(fuseDue({ ...days, fitted: { type: 'own-cell', months: 96, from: 'manufacture' } })).toEqual({
      ok: true,
      due: 'replace',
      dueOn: '2033-08-31',
      ruledBy: 'own-cell-from-manufacture',
      spentWhenFitted: false,
    });
  });
  test('own cell, life from fitting', () => {
    expect(fuseDue({ ...days, fitted: { type: 'own-cell', months: 96, from: 'fitting' } })).toMatchObject({
      dueOn: '2033-11-25',
      ruledBy: 'own-cell-from-fitting',
    });
  });
  test('loop-fed without an interval is due for nothing', () => {
    expect(fuseDue({ ...days, fitted: { type: 'loop-fed', inspectMonths: null } })).toEqual({
      ok: true,
      due: 'nothing',
      ruledBy: 'loop-fed-no-interval',
    });
  });
  test('loop-fed with an inspection is due for the inspection, from the day of fitting', () => {
    expect(
      fuseDue({ ...days, manufacturedOn: null, fitted: { type: 'loop-fed', inspectMonths: 24 } }),
    ).toMatchObject({
      due: 'inspect',
      spentWhenFitted: false,
      dueOn: '2027-11-25',
      ruledBy: 'loop-fed-inspection',
    });
  });
  test('a fuse made on the day it was fitted is taken, and fifty years are the longest life', () => {
    const fitted = { type: 'own-cell', months: 600, from: 'manufacture' } as const;
    expect(fuseDue({ fitted, fittedOn: '2025-11-25', manufacturedOn: '2025-11-25' })).toMatchObject({
      dueOn: '2075-11-25',
    });
  });
  test('old stock whose life is over on the day of fitting is called spent', () => {
    const fitted = { type: 'own-cell', months: 96, from: 'manufacture' } as const;
    expect(fuseDue({ fitted, fittedOn: '2025-11-25', manufacturedOn: '2017-11-25' })).toMatchObject({
      spentWhenFitted: true,
    });
    expect(fuseDue({ fitted, fittedOn: '2025-11-25', manufacturedOn: '2017-11-26' })).toMatchObject({
      spentWhenFitted: false,
    });
  });
  test.each([
    [{ manufacturedOn: null }, 'no-manufacture-date'],
    [{ manufacturedOn: '2025-11-26' }, 'made-after-fitting'],
    [{ manufacturedOn: '2025-02-30' }, 'bad-date'],
    [{ fittedOn: '25.11.2025' }, 'bad-date'],
    [{ fitted: { type: 'own-cell', months: 0, from: 'manufacture' } as const }, 'bad-interval'],
    [{ fitted: { type: 'loop-fed', inspectMonths: 2.5 } as const }, 'bad-interval'],
  ])('%o is refused as %s', (change, because) => {
    const fitted = { type: 'own-cell', months: 96, from: 'manufacture' } as const;
    expect(fuseDue({ ...days, fitted, ...change })).toMatchObject({ ok: false, because });
  });
});

describe('against luxon', () => {
  const days = fc.integer({ min: 0, max: 20_000 });
  const date = (at: number) => DateTime.utc(2000, 1, 1).plus({ days: at });

  test('months and distance come to the earlier of its two dates', () => {
    fc.assert(
      fc.property(
        days,
        fc.integer({ min: 1, max: 120 }),
        fc.integer({ min: 1000, max: 100_000 }),
        fc.integer({ min: 3000, max: 60_000 }),
        (at, months, distanceKm, kmPerYear) => {
          const found = serviceDue({
            rule: { months, distanceKm },
            doneOn: date(at).toFormat('yyyy-MM-dd'),
            odometerKm: 1000,
            kmPerYear,
          });
          const byMonths = date(at).plus({ months });
          const byDistance = date(at).plus({ days: Math.floor((distanceKm / kmPerYear) * 365.25) });
          expect(found).toMatchObject({ dueOn: DateTime.min(byMonths, byDistance).toFormat('yyyy-MM-dd') });
        },
      ),
    );
  });

  test('the life of a fuse ends on its date, from manufacture or from fitting', () => {
    fc.assert(
      fc.property(
        days,
        fc.integer({ min: 0, max: 900 }),
        fc.integer({ min: 1, max: 240 }),
        (made, shelf, months) => {
          const [manufacturedOn, fittedOn] = [
            date(made).toFormat('yyyy-MM-dd'),
            date(made + shelf).toFormat('yyyy-MM-dd'),
          ];
          for (const from of ['manufacture', 'fitting'] as const) {
            const found = fuseDue({ fitted: { type: 'own-cell', months, from }, fittedOn, manufacturedOn });
            const start = from === 'manufacture' ? date(made) : date(made + shelf);
            expect(found).toMatchObject({ dueOn: start.plus({ months }).toFormat('yyyy-MM-dd') });
          }
        },
      ),
    );
  });
});
