import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { balanceOnLift, carOf, type Pads } from '../../src/trade/lift.js';
import { cornerLoads, tableUse } from '../../src/trade/lift-table.js';
import rows from '../reference/lift_stability.json' with { type: 'json' };

type Case = Readonly<Record<'M_kg' | 'x_m' | 'm_kg' | 'xm_m' | 'xf_m' | 'xr_m', number>>;
const COMPUTED = ['cg_after_removal', 'arm_pair_loads_before', 'arm_pair_loads_after', 'margin_to_tipping'];
/** Ten rows are rules in words or examination intervals: nothing to compute. */
const beams = rows.filter((row) => COMPUTED.includes(row.quantity));
const rowOf = (id: string) => {
  const row = rows.find((candidate) => candidate.id === id);
  if (!row) throw new Error(`no row ${id}`);
  return row;
};

const pads = (frontM: number, rearM: number): Pads => ({
  frontM,
  rearM,
  halfTrackM: null,
  padRatingKg: 1500,
  liftRatingKg: 3500,
});

const standing = (inputs: Case) =>
  balanceOnLift({
    car: { massKg: inputs.M_kg, xM: inputs.x_m },
    pads: pads(inputs.xf_m, inputs.xr_m),
    parts: [{ massKg: inputs.m_kg, xM: inputs.xm_m }],
    leastMarginM: 0,
  });

test('the reference was read: 30 rows, 17 of them beams', () => {
  expect([rows.length, beams.length]).toEqual([30, 17]);
});

describe('published cases', () => {
  test.each(beams)('$id: $quantity, $inputs.case ($source; $basis)', (row) => {
    const found = standing(row.inputs as unknown as Case);
    if (!('standings' in found)) throw new Error(found.because);
    const [before, after] = found.standings;
    if (!after) throw new Error('nothing removed');
    const within = (a: number, b: number) => expect(Math.abs(a - b)).toBeLessThanOrEqual(row.tolerance ?? 0);
    if (row.quantity === 'cg_after_removal') return within(after.xM, Number(row.value));
    if (row.quantity === 'margin_to_tipping') return within(after.marginM * 1000, Number(row.value));
    const { front_kg, rear_kg } = row.value as { front_kg: number; rear_kg: number };
    const at = row.quantity === 'arm_pair_loads_before' ? before : after;
    within(at.frontKg, front_kg);
    within(at.rearKg, rear_kg);
  });

  test('LFT-025: the rear leaves its pads, so the part stays on (computed)', () => {
    expect(standing(rowOf('LFT-025').inputs as unknown as Case)).toMatchObject({
      ok: false,
      because: 'tips-forward',
      after: 1,
      value: -40,
      limit: 0,
    });
  });

  test('LFT-032: a pack 40 mm off the middle moves the car 11.852 mm the other way (computed)', () => {
    const { M_kg, y_m, m_kg, ym_m } = rowOf('LFT-032').inputs as Record<
      'M_kg' | 'y_m' | 'm_kg' | 'ym_m',
      number
    >;
    const found = balanceOnLift({
      car: { massKg: M_kg, xM: 1.45, yM: y_m },
      pads: pads(0.8, 2.2),
      parts: [{ massKg: m_kg, xM: 1.5, yM: ym_m }],
      leastMarginM: 0.1,
    });
    expect(found.ok && Math.abs(found.shiftM.y * 1000 - Number(rowOf('LFT-032').value))).toBeLessThanOrEqual(
      0.01,
    );
  });

  test('LFT-033, LFT-034: table and corners (load over rating; bilinear share; computed)', () => {
    expect(tableUse({ loadKg: 480, ratingKg: 750 })).toEqual({
      ok: true,
      share: rowOf('LFT-033').value,
      near: false,
    });
    const corners = cornerLoads({ loadKg: 480, halfLengthM: 0.9, halfWidthM: 0.55, exM: 0.12, eyM: 0.05 });
    if (!corners.ok) throw new Error(corners.because);
    (rowOf('LFT-034').value as number[]).forEach((kg, i) => {
      expect(Math.abs((corners.kg[i] ?? 0) - kg)).toBeLessThanOrEqual(0.01);
    });
  });
});

describe('balance', () => {
  const asked = {
    car: { massKg: 2000, xM: 1.5 },
    pads: pads(1, 2),
    parts: [{ massKg: 400, xM: 1.5 }],
    leastMarginM: 0.2,
  };

  test('axle loads give mass and centre of gravity', () => {
    expect(carOf({ frontKg: 1000, rearKg: 1000, wheelbaseM: 2.8 })).toEqual({
      ok: true,
      car: { massKg: 2000, xM: 1.4, yM: 0 },
    });
    expect(carOf({ frontKg: 0, rearKg: 1000, wheelbaseM: 2.8 })).toMatchObject({ because: 'not-positive' });
  });

  test('a car that loses its middle keeps its balance', () => {
    expect(balanceOnLift(asked)).toMatchObject({
      ok: true,
      standings: [
        { frontKg: 1000, rearKg: 1000, marginM: 0.5, heaviestPadKg: 500 },
        { massKg: 1600, frontKg: 800, rearKg: 800 },
      ],
      shiftM: { x: 0, y: 0 },
    });
  });

  test('without a part to remove the car is judged as it stands', () => {
    const found = balanceOnLift({ ...asked, parts: [] });
    expect('standings' in found && found.standings.length).toBe(1);
  });

  test.each<[string, Partial<typeof asked>, Partial<Pads>, string, number]>([
    ['a car nose-heavy before anything is off', { car: { massKg: 2000, xM: 0.9 } }, {}, 'tips-forward', 0],
    ['a car tail-heavy before anything is off', { car: { massKg: 2000, xM: 2.1 } }, {}, 'tips-backward', 0],
    ['a car exactly over its front pads', { car: { massKg: 2000, xM: 1 } }, {}, 'tips-forward', 0],
    ['a car exactly over its rear pads', { car: { massKg: 2000, xM: 2 } }, {}, 'tips-backward', 0],
    ['a front drive unit out', { parts: [{ massKg: 600, xM: 0.1 }] }, {}, 'tips-backward', 1],
    [
      'a second part too many',
      {
        parts: [
          { massKg: 300, xM: 1.2 },
          { massKg: 300, xM: 0 },
        ],
      },
      {},
      'margin-too-small',
      2,
    ],
    ['a margin under the least one', { leastMarginM: 0.51 }, {}, 'margin-too-small', 0],
    ['a pad above its rating', {}, { padRatingKg: 499 }, 'over-pad-rating', 0],
    ['a lift above its rating', {}, { liftRatingKg: 1999 }, 'over-lift-rating', 0],
    [
      'a car beside its pads',
      { parts: [{ massKg: 400, xM: 1.5, yM: 4 }] as never },
      { halfTrackM: 0.8 },
      'tips-sideways',
      1,
    ],
    [
      'one side heavy on a narrow track',
      { parts: [{ massKg: 400, xM: 1.5, yM: 1 }] as never },
      { halfTrackM: 0.5, padRatingKg: 590 },
      'over-pad-rating',
      1,
    ],
  ])('%s is refused', (_, change, plate, because, after) => {
    const found = balanceOnLift({ ...asked, ...change, pads: { ...asked.pads, ...plate } });
    expect(found).toMatchObject({ ok: false, because, after });
    expect('standings' in found && found.standings.length).toBeGreaterThan(after);
  });

  test('a margin, a pad and a lift exactly at their limit pass', () => {
    const plate = { ...asked.pads, padRatingKg: 500, liftRatingKg: 2000 };
    const found = balanceOnLift({ ...asked, pads: plate, parts: [], leastMarginM: 0.5 });
    expect(found).toMatchObject({ ok: true });
    const dusty = { car: { massKg: 2100, xM: 1.45 }, pads: pads(0.8, 2.2), parts: [], leastMarginM: 0.65 };
    expect(balanceOnLift(dusty)).toMatchObject({ ok: true });
  });

  test.each<[string, object, string]>([
    ['no mass', { car: { massKg: 0, xM: 1.5 } }, 'not-positive'],
    ['a mass nobody knows', { car: { massKg: Number.NaN, xM: 1.5 } }, 'not-positive'],
    ['a part of no mass', { parts: [{ massKg: -5, xM: 1 }] }, 'not-positive'],
    ['a part at no place', { parts: [{ massKg: 5, xM: Number.NaN }] }, 'not-a-number'],
    ['a part heavier than the car', { parts: [{ massKg: 2000, xM: 1 }] }, 'part-too-heavy'],
    ['pads the wrong way round', { pads: pads(2, 1) }, 'bad-pads'],
    ['pads in one line', { pads: pads(1, 1) }, 'bad-pads'],
    ['no margin', { leastMarginM: Number.NaN }, 'not-a-number'],
    ['no rating', { pads: { ...pads(1, 2), padRatingKg: 0 } }, 'not-positive'],
    ['no track', { pads: { ...pads(1, 2), halfTrackM: 0 } }, 'bad-pads'],
  ])('%s is refused as input', (_, change, because) => {
    expect(balanceOnLift({ ...asked, ...change })).toMatchObject({ ok: false, because });
  });

  test('the pads carry all of the car and none more than the car', () => {
    const metres = fc.double({ min: 0, max: 3, noNaN: true });
    const part = fc.record({ massKg: fc.integer({ min: 1, max: 500 }), xM: metres });
    fc.assert(
      fc.property(
        fc.integer({ min: 1200, max: 3000 }),
        metres,
        fc.array(part, { maxLength: 2 }),
        (massKg, xM, parts) => {
          const found = balanceOnLift({
            car: { massKg, xM },
            pads: pads(0.8, 2.2),
            parts,
            leastMarginM: 0.05,
          });
          if (!('standings' in found)) throw new Error(found.because);
          for (const one of found.standings) expect(one.frontKg + one.rearKg).toBeCloseTo(one.massKg, 6);
          if (!found.ok) return;
          for (const one of found.standings) {
            expect(Math.min(one.frontKg, one.rearKg)).toBeGreaterThan(0);
            expect(one.heaviestPadKg).toBeLessThanOrEqual(1500);
            expect(one.marginM).toBeGreaterThanOrEqual(0.05);
          }
        },
      ),
    );
  });
});

describe('table', () => {
  test('full rating is allowed and named as near, more is refused', () => {
    expect(tableUse({ loadKg: 750, ratingKg: 750 })).toMatchObject({ ok: true, share: 1, near: true });
    expect(tableUse({ loadKg: 600, ratingKg: 750 })).toMatchObject({ ok: true, near: false });
    expect(tableUse({ loadKg: 751, ratingKg: 750 })).toMatchObject({
      ok: false,
      because: 'over-rating',
      limit: 750,
    });
    expect(tableUse({ loadKg: 480, ratingKg: 0 })).toMatchObject({ ok: false, because: 'not-positive' });
  });

  test('corners carry the whole load, and a load at the edge is refused', () => {
    const at = { loadKg: 400, halfLengthM: 1, halfWidthM: 0.5, exM: 0.3, eyM: -0.1 };
    const corners = cornerLoads(at);
    expect(corners.ok && corners.kg.reduce((a, b) => a + b)).toBeCloseTo(400, 9);
    expect(cornerLoads({ ...at, exM: 1 })).toMatchObject({ ok: false, because: 'tips', what: 'exM' });
    expect(cornerLoads({ ...at, eyM: -0.5 })).toMatchObject({ ok: false, because: 'tips', what: 'eyM' });
    expect(cornerLoads({ ...at, eyM: Number.NaN })).toMatchObject({ ok: false, because: 'tips' });
    expect(cornerLoads({ ...at, loadKg: 0 })).toMatchObject({ ok: false, because: 'not-positive' });
  });
});
