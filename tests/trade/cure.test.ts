import { createRequire } from 'node:module';
import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import {
  CURE_AIR,
  cureDepthMm,
  curePathMm,
  cureRate,
  DAY_MS,
  msToDepth,
  REFERENCE_AIR,
} from '../../src/trade/cure.js';
import { cite, input, type Row, rowsOf, tolerance, value } from '../reference/rows.js';

const air = (row: Row) => ({ celsius: input(row, 't_C'), percentRh: input(row, 'rh_pct') });
const near = (actual: unknown, row: Row) =>
  expect(Math.abs(Number(actual) - value(row)), `${actual}: ${cite(row)}`).toBeLessThanOrEqual(
    tolerance(row),
  );
const rows = (...quantities: string[]) =>
  rowsOf('sealant_cure', ...quantities).map((row) => [cite(row), row] as const);
const segment = (row: Row) => ({ ...air(row), durationMs: input(row, 't_days') * DAY_MS });

describe('reference rows', () => {
  test.each(rows('model_depth'))('depth after a time, %s', (_title, row) =>
    near(cureDepthMm(input(row, 'k'), [segment(row)]), row),
  );
  test.each(rows('model_rate_factor'))('depth against that at 23 C and 50 %%, %s', (_title, row) => {
    // The rows were computed with the WMO Magnus pressure; ours differs by less than their tolerance.
    near(Math.sqrt(Number(cureRate(air(row)))), row);
  });
  // The slowest row (163 h) moves by 0.17 h with the better vapour pressure; the rest keep their own tolerance.
  test.each(rows('model_time_to_depth'))('hours to a depth, %s', (_title, row) => {
    const hours = Number(msToDepth(input(row, 'k'), input(row, 'depth_mm'), air(row))) / 3_600_000;
    near(hours, { ...row, tolerance: Math.max(tolerance(row), value(row) * 0.003) });
  });
  test.each(rows('model_depth_two_sided'))('two open edges meet in the middle, %s', (_title, row) => {
    const path = Number(curePathMm(input(row, 'bead_mm'), 2));
    near(Number(msToDepth(input(row, 'k'), path, air(row))) / 3_600_000, row);
  });
  test.each(rows('model_depth_varying_conditions'))('squares add over changing air, %s', (_title, row) => {
    const segments = (row.inputs.segments as [number, number, number][]).map(
      ([days, celsius, percentRh]) => ({
        celsius,
        percentRh,
        durationMs: days * DAY_MS,
      }),
    );
    near(cureDepthMm(input(row, 'k'), segments), row);
  });
  test.each(rows('linear_extrapolation_trap'))('a week is not seven times a day, %s', (_title, row) => {
    const week = { ...REFERENCE_AIR, durationMs: input(row, 't_days') * DAY_MS };
    const { linear_mm, sqrt_mm } = row.value as { linear_mm: number; sqrt_mm: number };
    near(cureDepthMm(input(row, 'rate_mm_per_24h'), [week]), { ...row, value: sqrt_mm });
    expect(linear_mm / sqrt_mm).toBeGreaterThan(2.6);
  });
  test.each(rows('k_from_measured'))('the depth in 24 h that a measured depth implies, %s', (_title, row) => {
    const week = { ...REFERENCE_AIR, durationMs: input(row, 't_days') * DAY_MS };
    expect(Number(cureDepthMm(value(row), [week])), cite(row)).toBeCloseTo(input(row, 'depth_mm'), 2);
  });
  test.each(rows('measured_depth'))('the one measured depth follows from that pace, %s', (_title, row) => {
    near(cureDepthMm(2.835, [{ ...REFERENCE_AIR, durationMs: input(row, 't_days') * DAY_MS }]), row);
  });
  test.each(rows('full_cure_10mm_bead'))('10 mm takes more than a week, %s', (_title, row) => {
    expect(Number(msToDepth(2.835, input(row, 'thickness_mm'), REFERENCE_AIR))).toBeGreaterThan(7 * DAY_MS);
  });
});

const anyAir = fc.record({
  celsius: fc.double({ min: 5, max: 40, noNaN: true }),
  percentRh: fc.double({ min: 20, max: 90, noNaN: true }),
});

describe('claims of others', () => {
  const k = (row: Row) => row.value as readonly [number, number];
  const measured = Number(value(rowsOf('sealant_cure', 'k_from_measured')[0] as Row));
  test.each(rows('depth_in_24h_typical'))(
    'the one measured depth lies in the usual band, %s',
    (_title, row) => {
      const [least, most] = k(row);
      expect(measured).toBeGreaterThanOrEqual(least);
      expect(measured).toBeLessThanOrEqual(most);
    },
  );
  test.each(rows('depth_in_24h_claimed'))('twice the measured pace: do not use, %s', (_title, row) => {
    expect(k(row)[1] / measured).toBeGreaterThan(2);
  });
  test.each(rows('full_cure_time_typical_bead'))(
    'a bead of 6 mm is not through in three days: do not use, %s',
    (_title, row) => {
      const [thin, thick] = row.inputs.bead_mm as readonly [number, number];
      const hours = (mm: number) => Number(msToDepth(2.5, mm, REFERENCE_AIR)) / 3_600_000;
      expect(hours(thick)).toBeGreaterThan(1.9 * k(row)[1]);
      expect(hours(thin)).toBeGreaterThan(k(row)[0]);
    },
  );
});

describe('against psychrolib', () => {
  type Psychrolib = {
    readonly SI: unknown;
    SetUnitSystem(system: unknown): void;
    GetVapPresFromRelHum(celsius: number, fraction: number): number;
  };
  const psychrolib: Psychrolib = createRequire(import.meta.url)('psychrolib');
  psychrolib.SetUnitSystem(psychrolib.SI);
  /** Vapour density up to a factor that cancels. */
  const density = (celsius: number, percentRh: number) =>
    psychrolib.GetVapPresFromRelHum(celsius, percentRh / 100) / (celsius + 273.15);

  test('the pace of cure is the ratio of its vapour densities within 0.03 %', () => {
    fc.assert(
      fc.property(anyAir, ({ celsius, percentRh }) => {
        const theirs = density(celsius, percentRh) / density(23, 50);
        expect(Math.abs(Number(cureRate({ celsius, percentRh })) / theirs - 1)).toBeLessThan(0.0003);
      }),
    );
  });
});

describe('the model', () => {
  test('depth after the time to a depth is that depth', () => {
    fc.assert(
      fc.property(
        fc.double({ min: 2, max: 6, noNaN: true }),
        fc.double({ min: 0.1, max: 4, noNaN: true }),
        anyAir,
        (k, depth, where) => {
          const ms = msToDepth(k, depth, where);
          fc.pre(typeof ms === 'number');
          expect(Number(cureDepthMm(k, [{ ...where, durationMs: Number(ms) }]))).toBeCloseTo(depth, 4);
        },
      ),
    );
  });
  test('a time to a depth is rounded up, never down', () => {
    expect(msToDepth(7, 3, REFERENCE_AIR)).toBe(Math.floor((DAY_MS * 9) / 49) + 1);
  });
  test('a bead just laid has cured nowhere', () => {
    expect(cureDepthMm(3, [{ ...REFERENCE_AIR, durationMs: 0 }])).toBe(0);
  });
  test('moister air and warmer air are never slower', () => {
    fc.assert(
      fc.property(
        anyAir,
        fc.double({ min: 0, max: 35, noNaN: true }),
        fc.double({ min: 0, max: 70, noNaN: true }),
        (where, warmer, moister) => {
          const better = {
            celsius: Math.min(40, where.celsius + warmer),
            percentRh: Math.min(90, where.percentRh + moister),
          };
          // The factor is the last binary digits, which a change of 1e-13 K cannot move the right way.
          expect(Number(cureRate(better))).toBeGreaterThanOrEqual(Number(cureRate(where)) * (1 - 1e-12));
        },
      ),
    );
  });
  test('at 8 C in dry winter air a day at the reference becomes three and a half', () => {
    expect(Number(msToDepth(3, 3, { celsius: 8, percentRh: 35 })) / DAY_MS).toBeCloseTo(3.55, 1);
  });
  test('under a cover the path is the width from one open edge, half of it from two', () => {
    expect([curePathMm(8, 1), curePathMm(8, 2)]).toEqual([8, 4]);
    expect(curePathMm(0, 1)).toMatchObject({ because: 'not-positive' });
  });
});

describe('outside its range it refuses', () => {
  test.each([
    [{ celsius: 4.9, percentRh: 50 }, 'too-cold', CURE_AIR.leastCelsius],
    [{ celsius: Number.NaN, percentRh: 50 }, 'too-cold', CURE_AIR.leastCelsius],
    [{ celsius: 40.1, percentRh: 50 }, 'too-warm', CURE_AIR.mostCelsius],
    [{ celsius: 23, percentRh: 19.9 }, 'too-dry', CURE_AIR.leastRh],
    [{ celsius: 23, percentRh: 90.1 }, 'too-moist', CURE_AIR.mostRh],
  ])('%o is %s', (where, because, limit) => {
    expect(msToDepth(3, 3, where)).toMatchObject({ ok: false, because, limit });
    expect(cureDepthMm(3, [{ ...where, durationMs: 1 }])).toMatchObject({ ok: false, because });
  });
  test.each([
    [5, 20],
    [40, 90],
    [5, 90],
    [40, 20],
  ])('%d C and %d %% are still inside', (celsius, percentRh) => {
    expect(cureRate({ celsius, percentRh })).toBeGreaterThan(0);
  });
  test.each([
    [msToDepth(3, 10.1, REFERENCE_AIR), 'too-deep'],
    [msToDepth(2, 9.5, REFERENCE_AIR), 'beyond-21-days'],
    [msToDepth(0, 3, REFERENCE_AIR), 'not-positive'],
    [msToDepth(3, -1, REFERENCE_AIR), 'not-positive'],
    [cureDepthMm(3, [{ ...REFERENCE_AIR, durationMs: 22 * DAY_MS }]), 'beyond-21-days'],
    [cureDepthMm(3, [{ ...REFERENCE_AIR, durationMs: -1 }]), 'not-positive'],
    [cureDepthMm(-3, []), 'not-positive'],
  ])('case %#: %o', (refused, because) => {
    expect(refused).toMatchObject({ ok: false, because });
  });
});
