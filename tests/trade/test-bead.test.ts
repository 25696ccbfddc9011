import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { cureDepthMm, DAY_MS, REFERENCE_AIR } from '../../src/trade/cure.js';
import { judgeTestBead } from '../../src/trade/test-bead.js';
import { cite, input, rowsOf, tolerance, value } from '../reference/rows.js';

const day = (days: number) => [{ ...REFERENCE_AIR, durationMs: days * DAY_MS }];

test.each(rowsOf('sealant_cure', 'k_from_measured'))(
  '$inputs.depth_mm mm in $inputs.t_days days are $value mm in the first ($id, $basis)',
  (row) => {
    const found = judgeTestBead({
      sheetMm24h: 3,
      curedMm: input(row, 'depth_mm'),
      heightMm: 12,
      air: day(input(row, 't_days')),
    });
    expect(found.ok && Math.abs(found.measuredMm24h - value(row)), cite(row)).toBeLessThanOrEqual(
      tolerance(row),
    );
    expect(found).toMatchObject({ outcome: 'slower-than-the-sheet' });
  },
);

describe('a test bead', () => {
  const asked = { sheetMm24h: 2.5, curedMm: 2.5, heightMm: 6, air: day(1) };
  test('as deep as the sheet says changes nothing', () => {
    expect(judgeTestBead(asked)).toMatchObject({ outcome: 'as-the-sheet-says', usableMm24h: 2.5 });
  });
  test('deeper than the sheet makes no release earlier', () => {
    expect(judgeTestBead({ ...asked, curedMm: 4 })).toMatchObject({
      outcome: 'as-the-sheet-says',
      measuredMm24h: 4,
      usableMm24h: 2.5,
    });
  });
  test('shallower makes all of them later', () => {
    expect(judgeTestBead({ ...asked, curedMm: 2 })).toMatchObject({
      outcome: 'slower-than-the-sheet',
      usableMm24h: 2,
    });
  });
  test('worked back from what the model gives, it is what the model was given', () => {
    fc.assert(
      fc.property(
        fc.double({ min: 1, max: 4, noNaN: true }),
        fc.double({ min: 0.05, max: 3, noNaN: true }),
        fc.double({ min: 5, max: 40, noNaN: true }),
        fc.double({ min: 20, max: 90, noNaN: true }),
        (k, days, celsius, percentRh) => {
          const air = [{ celsius, percentRh, durationMs: days * DAY_MS }, ...day(days)];
          const curedMm = Number(cureDepthMm(k, air));
          const found = judgeTestBead({ ...asked, curedMm, heightMm: curedMm + 1, air });
          expect(found.ok && found.measuredMm24h).toBeCloseTo(k, 9);
        },
      ),
    );
  });
  test.each<[string, object, string]>([
    ['one cured through says only "at least"', { curedMm: 6 }, 'cured-through'],
    ['none measured', { curedMm: 0 }, 'not-positive'],
    ['no time passed', { air: day(0) }, 'not-positive'],
    ['no log at all', { air: [] }, 'not-positive'],
    ['air too cold for the model', { air: [{ celsius: 2, percentRh: 50, durationMs: DAY_MS }] }, 'too-cold'],
    ['a month', { air: day(30) }, 'beyond-21-days'],
  ])('%s is refused', (_, change, because) => {
    expect(judgeTestBead({ ...asked, ...change })).toMatchObject({ ok: false, because });
  });
});
