import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { curveAt } from '../../src/trade/curve.js';
import {
  densityAt20,
  type Frost,
  frostPoint,
  GLYCOLS,
  type Glycol,
  litresOf,
  MOST_VOLUME_PERCENT,
  type Strength,
  strengthFor,
} from '../../src/trade/glycol.js';
import { cite, input, type Row, rowsOf, tolerance, value } from '../reference/rows.js';

const glycolOf = (row: Row): Glycol => (row.inputs.glycol === 'propylene' ? 'propylene' : 'ethylene');
const strengthOf = (
  row: Row,
  by: Strength['by'] = 'mass_pct' in row.inputs ? 'mass' : 'volume',
): Strength => ({
  by,
  percent: input(row, by === 'volume' ? 'vol_pct' : 'mass_pct'),
});
const frost = (glycol: Glycol, strength: Strength): Frost => {
  const found = frostPoint(glycol, strength);
  if (!found.ok) throw new Error(`${glycol} ${strength.percent}: ${found.because}`);
  return found;
};
const density = (row: Row): number => {
  const found = densityAt20(glycolOf(row), strengthOf(row));
  if (!found.ok) throw new Error(found.because);
  return found.kgPerM3;
};
const titled = (rows: readonly Row[]) =>
  rows.map(
    (row) => [`${strengthOf(row).percent} ${strengthOf(row).by} % ${row.inputs.glycol}`, row] as const,
  );

const rows = rowsOf('coolant', 'freezing_point');
const own = rows.filter((row) => row.source.startsWith('ASHRAE'));
const other = rows.filter((row) => !own.includes(row) && strengthOf(row).percent <= 60);

describe('frost point', () => {
  test('the reference was read: 30 rows of the table in use, 33 of three others', () => {
    expect([own.length, other.length]).toEqual([30, 33]);
  });

  test.each(titled(own))('%s is the printed one, by volume and by mass', (_title, row) => {
    for (const by of ['volume', 'mass'] as const) {
      const found = frost(glycolOf(row), strengthOf(row, by));
      expect(Math.abs(found.celsius - value(row)), cite(row)).toBeLessThanOrEqual(tolerance(row));
      expect(found.volumePercent, cite(row)).toBeCloseTo(input(row, 'vol_pct'), 6);
      expect(found.massPercent, cite(row)).toBeCloseTo(input(row, 'mass_pct'), 6);
    }
  });

  test.each(titled(rowsOf('coolant', 'freezing_point_interpolated')))(
    '%s, between rows, is the one of the finer table',
    (_title, row) => {
      const found = frost(glycolOf(row), strengthOf(row));
      expect(Math.abs(found.celsius - value(row)), cite(row)).toBeLessThanOrEqual(tolerance(row));
    },
  );

  /** Ours minus theirs in K; below 0 ours promises more frost protection than they do. */
  const deviations = (belongs: (row: Row) => boolean) =>
    other.filter(belongs).map((row) => frost(glycolOf(row), strengthOf(row)).celsius - value(row));
  const lange = (row: Row) => row.source.startsWith('Lange');
  const melinder = (row: Row) => row.source.startsWith('Melinder');
  test.each<[string, (row: Row) => boolean, number, number, number]>([
    [
      'Melinder (read): ethylene, ours is the careful one',
      (row) => melinder(row) && glycolOf(row) === 'ethylene',
      11,
      0.05,
      2.23,
    ],
    ['Melinder (read): propylene', (row) => melinder(row) && glycolOf(row) === 'propylene', 9, -0.53, 0.38],
    [
      'Lange (read): propylene from 30 volume %',
      (row) => lange(row) && strengthOf(row).percent >= 30,
      5,
      -0.9,
      -0.31,
    ],
    ['Lange (read): thin propylene', (row) => lange(row) && strengthOf(row).percent < 30, 5, -1.39, -0.55],
    ['a calculator’s handbook table (read): ethylene', (row) => /calculator/.test(row.source), 3, 0.9, 2.9],
  ])('against %s: %s', (_source, belongs, count, least, most) => {
    const found = deviations(belongs);
    expect(found.length).toBe(count);
    expect(Math.min(...found)).toBeCloseTo(least, 1);
    expect(Math.max(...found)).toBeCloseTo(most, 1);
  });

  test('CLT-074: past 60 mass % more glycol protects less, so it is refused', () => {
    const pure = rows.find((row) => row.id === 'CLT-074');
    if (pure === undefined) throw new Error('no CLT-074');
    expect(value(pure), cite(pure)).toBeGreaterThan(frost('ethylene', { by: 'mass', percent: 60 }).celsius);
    expect(frostPoint('ethylene', strengthOf(pure))).toMatchObject({ because: 'too-strong', limit: 60 });
  });

  test.each<[Glycol, Strength, string, number]>([
    ['ethylene', { by: 'mass', percent: 60.1 }, 'too-strong', 60],
    ['ethylene', { by: 'volume', percent: 57.9 }, 'too-strong', 57.8],
    ['propylene', { by: 'volume', percent: 60.1 }, 'too-strong', 60],
    ['propylene', { by: 'volume', percent: -1 }, 'not-a-strength', 0],
    ['ethylene', { by: 'mass', percent: Number.NaN }, 'not-a-strength', 0],
  ])('%s at %o is refused', (glycol, strength, because, limit) => {
    expect(frostPoint(glycol, strength)).toMatchObject({ ok: false, because, limit });
  });

  test('the same number by mass and by volume is not the same frost point', () => {
    const [volume, mass] = (['volume', 'mass'] as const).map(
      (by) => frost('ethylene', { by, percent: 50 }).celsius,
    );
    expect([volume?.toFixed(0), mass?.toFixed(0)]).toEqual(['-37', '-34']);
  });

  test('more glycol within the table never freezes earlier, and the way back finds the strength', () => {
    for (const glycol of GLYCOLS) {
      const most = MOST_VOLUME_PERCENT[glycol];
      fc.assert(
        fc.property(
          fc.double({ min: 0.1, max: most, noNaN: true }),
          fc.double({ min: 0, max: 1, noNaN: true }),
          (percent, part) => {
            const here = frost(glycol, { by: 'volume', percent });
            expect(frost(glycol, { by: 'volume', percent: percent * part }).celsius).toBeGreaterThanOrEqual(
              here.celsius,
            );
            const back = strengthFor(glycol, here.celsius);
            expect(back.ok && Math.abs(back.volumePercent - percent)).toBeLessThan(1e-6);
            expect(frost(glycol, { by: 'mass', percent: here.massPercent }).celsius).toBeCloseTo(
              here.celsius,
              6,
            );
          },
        ),
        { numRuns: 500 },
      );
    }
  });

  test('a frost point above nought or beyond the table has no strength', () => {
    expect(strengthFor('ethylene', 1)).toMatchObject({ because: 'above-freezing' });
    expect(strengthFor('ethylene', -48.4)).toMatchObject({ because: 'below-the-table', limit: -48.3 });
    expect(strengthFor('propylene', Number.NaN)).toMatchObject({ because: 'above-freezing' });
    expect(strengthFor('propylene', 0)).toMatchObject({ volumePercent: 0, massPercent: 0 });
  });
});

describe('density at 20 °C', () => {
  const known = rowsOf('coolant', 'density_20C');
  const byVolume = known.filter((row) => 'vol_pct' in row.inputs);
  test.each(titled(byVolume))('%s is the printed one', (_title, row) => {
    expect(Math.abs(density(row) - value(row)), cite(row)).toBeLessThanOrEqual(tolerance(row));
  });
  test('by mass % it strays from Melinder by at most 0.52 % up to 56 mass % (read)', () => {
    const found = known
      .filter((row) => row.source.startsWith('Melinder'))
      .map((row) => (density(row) / value(row) - 1) * 100);
    expect(found.length).toBe(11);
    expect(Math.max(...found.map(Math.abs))).toBeCloseTo(0.52, 2);
  });
  test('CLT-075: pure glycol is outside the table', () => {
    const pure = known.find((row) => row.id === 'CLT-075');
    if (pure === undefined) throw new Error('no CLT-075');
    expect(value(pure)).toBeGreaterThan(1086.27);
    expect(densityAt20('ethylene', strengthOf(pure))).toMatchObject({ because: 'too-strong', limit: 60 });
  });
  test('CLT-099: a supplier’s table headed by mass holds the figures by volume: do not use', () => {
    const [row] = rowsOf('coolant', 'density_table_mislabelled');
    if (row === undefined) throw new Error('no CLT-099');
    for (const [at, printed] of (row.value as readonly number[]).entries()) {
      const percent = 10 * (at + 1);
      const by = (kind: Strength['by']) => {
        const found = densityAt20('ethylene', { by: kind, percent });
        return found.ok ? Math.abs(found.kgPerM3 - printed) : Number.POSITIVE_INFINITY;
      };
      expect(by('volume'), cite(row)).toBeLessThan(1);
      expect(by('mass'), cite(row)).toBeGreaterThan(1.5);
    }
  });
  test.each(rowsOf('coolant', 'coolant_lost_mass_based'))(
    '$inputs.captured_kg kg weighed are $value l ($id)',
    (row) => {
      const found = litresOf(input(row, 'captured_kg'), 'ethylene', { by: 'volume', percent: 50 });
      expect(found.ok && Math.abs(found.litres - value(row)), cite(row)).toBeLessThanOrEqual(tolerance(row));
    },
  );
  test('water has its own density, and nothing weighs nothing', () => {
    expect(densityAt20('propylene', { by: 'volume', percent: 0 })).toEqual({ ok: true, kgPerM3: 998.2 });
    expect(litresOf(0, 'ethylene', { by: 'volume', percent: 50 })).toMatchObject({ because: 'not-positive' });
    expect(densityAt20('ethylene', { by: 'volume', percent: 61 })).toMatchObject({ because: 'too-strong' });
    expect(densityAt20('ethylene', { by: 'mass', percent: Number.NaN })).toMatchObject({
      because: 'not-a-strength',
    });
  });
});

describe('a curve through a table', () => {
  test('rows on a line give the line, a row gives itself, outside there is nothing', () => {
    const line = [0, 1, 4, 5].map((x) => ({ x, y: 3 - 2 * x }));
    for (const x of [0, 0.3, 1, 2.7, 4.9, 5]) expect(curveAt(line, x)).toBeCloseTo(3 - 2 * x, 12);
    expect([curveAt(line, -0.1), curveAt(line, 5.1)]).toEqual([null, null]);
  });
  test('a parabola is met within 0.04, and two rows are a straight line', () => {
    const parabola = [0, 1, 2, 3, 4, 5, 6].map((x) => ({ x, y: -(x ** 2) / 2 - x }));
    for (let x = 1; x <= 5; x += 0.1)
      expect(Math.abs((curveAt(parabola, x) ?? 9) + x ** 2 / 2 + x)).toBeLessThan(0.04);
    expect(
      curveAt(
        [
          { x: 0, y: 0 },
          { x: 2, y: 4 },
        ],
        0.5,
      ),
    ).toBe(1);
  });
  test('it does not swing past rows that are level', () => {
    const step = [0, 0, 0, 1, 1, 1].map((y, x) => ({ x, y }));
    for (let x = 0; x <= 5; x += 0.05) {
      const y = curveAt(step, x) ?? -1;
      expect(y).toBeGreaterThanOrEqual(0);
      expect(y).toBeLessThanOrEqual(1);
    }
  });
});
