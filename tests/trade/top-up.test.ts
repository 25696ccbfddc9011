import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { frostPoint, GLYCOLS, type Glycol, MOST_VOLUME_PERCENT } from '../../src/trade/glycol.js';
import { afterReplacing, drainFor, mixed, topUpFor } from '../../src/trade/top-up.js';
import { cite, input, type Row, rowsOf, tolerance, value } from '../reference/rows.js';

const litres = (row: Row, name: string) => input(row, name) * 1000;
const near = (actual: number, row: Row) =>
  expect(Math.abs(actual - value(row)), `${actual}: ${cite(row)}`).toBeLessThanOrEqual(tolerance(row));

describe('reference rows', () => {
  test.each(rowsOf('coolant', 'concentration_after_one_replacement', 'concentration_after_n_flushes'))(
    'replacing brings $inputs.c0_vol_pct volume % to $value ($id, $basis)',
    (row) => {
      const found = afterReplacing({
        systemMl: litres(row, 'total_L'),
        percent: input(row, 'c0_vol_pct'),
        addPercent: input(row, 'add_vol_pct'),
        drainedMl: litres(row, 'drained_L'),
        rounds: 'n' in row.inputs ? input(row, 'n') : 1,
      });
      near(found.ok ? found.percent : Number.NaN, row);
    },
  );
  test.each(rowsOf('coolant', 'volume_to_drain_and_replace'))(
    '$value l to drain for $inputs.target_vol_pct volume % ($id, $basis)',
    (row) => {
      const found = drainFor({
        systemMl: litres(row, 'total_L'),
        percent: input(row, 'c0_vol_pct'),
        addPercent: input(row, 'add_vol_pct'),
        targetPercent: input(row, 'target_vol_pct'),
      });
      near(found.ok ? found.drainMl / 1000 : Number.NaN, row);
    },
  );
  test.each(rowsOf('coolant', 'unreachable_target'))('$value ($id, $basis)', (row) => {
    const found = drainFor({
      systemMl: 10_000,
      percent: input(row, 'c0_vol_pct'),
      addPercent: input(row, 'add_vol_pct'),
      targetPercent: input(row, 'target_vol_pct'),
    });
    expect(found, cite(row)).toMatchObject({ ok: false, because: 'unreachable', value: 55, limit: 50 });
  });
  test.each(rowsOf('coolant', 'mixing_contraction'))(
    'taking volumes as additive errs by 1 to 2 % ($id, $basis)',
    (row) => {
      const mass =
        input(row, 'EG_L') * input(row, 'rho_EG') + input(row, 'water_L') * input(row, 'rho_water');
      near(1 - mass / input(row, 'rho_mix'), row);
    },
  );
});

describe('top-up', () => {
  const demo = {
    systemMl: 10_000,
    inside: { ml: 8_000, glycol: 'ethylene', volumePercent: 45 },
    atHand: { glycol: 'ethylene', volumePercent: 95 },
    targetCelsius: -37,
  } as const;

  test('two litres short: so much concentrate, so much water, or a premix of that strength', () => {
    const found = topUpFor(demo);
    if (!found.ok) throw new Error(found.because);
    expect(found).toMatchObject({ how: 'top-up', drainMl: 0 });
    expect(found.addMl + found.waterMl).toBeCloseTo(2000, 6);
    // 50 volume % of 10 l are 5.0 l of glycol, 3.6 l are in.
    expect(found.percent).toBeCloseTo(found.targetPercent, 6);
    expect(found.targetPercent).toBeCloseTo(50.0, 1);
    expect((found.addMl * 0.95) / 1000).toBeCloseTo(found.targetPercent / 10 - 3.6, 6);
    expect(found.premixPercent).toBeCloseTo((found.addMl * 95) / 2000, 6);
  });

  test('premix as strong as what is in cannot strengthen it', () => {
    expect(topUpFor({ ...demo, atHand: { glycol: 'ethylene', volumePercent: 50 } })).toMatchObject({
      ok: false,
      because: 'unreachable',
      what: 'atHand',
    });
  });

  test('a full circuit too weak is drained and filled by the published formula', () => {
    const full = topUpFor({ ...demo, inside: { ...demo.inside, ml: 10_000 } });
    if (!full.ok) throw new Error(full.because);
    const drain = drainFor({
      systemMl: 10_000,
      percent: 45,
      addPercent: 95,
      targetPercent: full.targetPercent,
    });
    expect(full).toMatchObject({ how: 'drain-and-fill', waterMl: 0, premixPercent: 95 });
    expect(drain.ok && full.drainMl - drain.drainMl).toBeCloseTo(0, 6);
    expect(full.addMl).toBeCloseTo(full.drainMl, 9);
  });

  test('a circuit too weak for the room that is left is drained first', () => {
    const found = topUpFor({ ...demo, inside: { ...demo.inside, ml: 9_800, volumePercent: 30 } });
    if (!found.ok) throw new Error(found.because);
    expect(found.how).toBe('drain-and-fill');
    expect(found.addMl).toBeCloseTo(found.drainMl + 200, 6);
    expect(found.percent).toBeCloseTo(found.targetPercent, 6);
  });

  test('a full circuit strong enough wants nothing, a strong one with room wants water only', () => {
    const strong = { ...demo.inside, volumePercent: 55 };
    expect(topUpFor({ ...demo, inside: { ...strong, ml: 10_000 } })).toMatchObject({
      how: 'full',
      addMl: 0,
      waterMl: 0,
      premixPercent: null,
      percent: 55,
    });
    expect(topUpFor({ ...demo, targetCelsius: -20, inside: strong })).toMatchObject({
      how: 'top-up',
      addMl: 0,
      waterMl: 2000,
      premixPercent: 0,
      percent: 44,
    });
  });

  test.each<[string, object, string]>([
    ['the other glycol at hand', { atHand: { glycol: 'propylene', volumePercent: 95 } }, 'mixed-glycols'],
    ['water that is 10 % glycol', { atHand: { glycol: 'water', volumePercent: 10 } }, 'not-a-strength'],
    ['water for a weak circuit', { atHand: { glycol: 'water', volumePercent: 0 } }, 'unreachable'],
    ['more in than the circuit holds', { inside: { ...demo.inside, ml: 10_001 } }, 'bad-amount'],
    ['a circuit of no volume', { systemMl: 0 }, 'not-positive'],
    ['a strength of 101 %', { inside: { ...demo.inside, volumePercent: 101 } }, 'not-a-strength'],
    ['a winter colder than the table', { targetCelsius: -49 }, 'below-the-table'],
    ['a target above freezing', { targetCelsius: 5 }, 'above-freezing'],
    [
      'a circuit so strong that it stays above 60 mass %',
      { inside: { ...demo.inside, ml: 9_900, volumePercent: 70 } },
      'too-strong',
    ],
  ])('%s is refused', (_, change, because) => {
    expect(topUpFor({ ...demo, ...change })).toMatchObject({ ok: false, because });
  });

  test('what is poured always fits, never mixes below the target, and never drains what need not be', () => {
    const percent = fc.integer({ min: 0, max: 100 });
    fc.assert(
      fc.property(
        fc.constantFrom<Glycol>(...GLYCOLS),
        fc.integer({ min: 0, max: 12_000 }),
        percent,
        percent,
        fc.integer({ min: -48, max: 0 }),
        (glycol, ml, volumePercent, hand, targetCelsius) => {
          const inside = { ml, glycol, volumePercent };
          const atHand = { glycol, volumePercent: hand };
          const found = topUpFor({ systemMl: 12_000, inside, atHand, targetCelsius });
          if (!found.ok) return;
          expect(found.percent).toBeGreaterThanOrEqual(found.targetPercent - 1e-6);
          expect(found.percent).toBeLessThanOrEqual(MOST_VOLUME_PERCENT[glycol]);
          const frost = frostPoint(glycol, { by: 'volume', percent: found.percent });
          expect(frost.ok && frost.celsius).toBeLessThanOrEqual(targetCelsius + 1e-5);
          expect(ml - found.drainMl + found.addMl + found.waterMl).toBeCloseTo(12_000, 5);
          for (const one of [found.drainMl, found.addMl, found.waterMl])
            expect(one).toBeGreaterThanOrEqual(0);
          if (found.how === 'drain-and-fill') {
            // Filling the room with what is at hand alone had not been enough.
            const alone = volumePercent * ml + hand * (12_000 - ml);
            expect(alone / 12_000).toBeLessThan(found.targetPercent);
          } else expect(found.drainMl).toBe(0);
        },
      ),
      { numRuns: 2000 },
    );
  });
});

describe('pouring together', () => {
  test('a litre of concentrate and a litre of water', () => {
    const parts = [
      { glycol: 'ethylene', volumePercent: 96, ml: 1000 },
      { glycol: 'water', volumePercent: 0, ml: 1000 },
    ] as const;
    expect(mixed(parts)).toEqual({ ok: true, coolant: { glycol: 'ethylene', volumePercent: 48 }, ml: 2000 });
  });
  test('both glycols, nothing at all, and no amount are refused', () => {
    const some = { glycol: 'ethylene', volumePercent: 50, ml: 1000 } as const;
    expect(mixed([some, { ...some, glycol: 'propylene' }])).toMatchObject({
      because: 'mixed-glycols',
      value: 'ethylene and propylene',
    });
    expect(mixed([])).toMatchObject({ because: 'not-positive' });
    expect(mixed([{ ...some, ml: Number.NaN }])).toMatchObject({ because: 'not-positive', what: 'ml' });
  });
  test.each<[object, string]>([
    [{ drainedMl: 11_000 }, 'bad-amount'],
    [{ rounds: 0 }, 'bad-amount'],
    [{ rounds: 1.5 }, 'bad-amount'],
    [{ percent: 101 }, 'not-a-strength'],
    [{ systemMl: Number.NaN }, 'not-positive'],
  ])('replacing with %o is refused as %s', (change, because) => {
    const asked = { systemMl: 10_000, percent: 50, addPercent: 0, drainedMl: 6000 };
    expect(afterReplacing({ ...asked, ...change })).toMatchObject({ ok: false, because });
  });
  test('a circuit at its target drains nothing, whatever is at hand', () => {
    const at = { systemMl: 10_000, percent: 50, targetPercent: 50 };
    expect(drainFor({ ...at, addPercent: 50 })).toEqual({ ok: true, drainMl: 0 });
    expect(drainFor({ ...at, addPercent: 0 })).toEqual({ ok: true, drainMl: 0 });
    expect(drainFor({ ...at, percent: 40, addPercent: 40 })).toMatchObject({ because: 'unreachable' });
  });
});
