import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { judgeCoverPlan, openMinutesIn } from '../../src/trade/open-time.js';

const celsius = fc.double({ min: 5, max: 40, noNaN: true });
const percentRh = fc.double({ min: 20, max: 90, noNaN: true });

describe('open time', () => {
  test('at 23 C and 50 % it is the data sheet’s', () => {
    expect(openMinutesIn(20, { celsius: 23, percentRh: 50 })).toBe(20);
  });
  test('is never longer than the data sheet’s', () => {
    fc.assert(
      fc.property(celsius, percentRh, (c, rh) => {
        expect(Number(openMinutesIn(20, { celsius: c, percentRh: rh }))).toBeLessThanOrEqual(20);
      }),
    );
  });
  test('never grows when it gets warmer or moister', () => {
    fc.assert(
      fc.property(celsius, percentRh, fc.double({ min: 0, max: 20, noNaN: true }), (c, rh, more) => {
        const here = Number(openMinutesIn(20, { celsius: c, percentRh: rh }));
        expect(
          Number(openMinutesIn(20, { celsius: Math.min(40, c + more), percentRh: rh })),
        ).toBeLessThanOrEqual(here + 1e-9);
        expect(
          Number(openMinutesIn(20, { celsius: c, percentRh: Math.min(90, rh + more) })),
        ).toBeLessThanOrEqual(here + 1e-9);
      }),
    );
  });
  test.each([
    [8, 30, 20],
    [23, 80, 12.5],
    [33, 28, 10],
    [30, 70, 5.96],
  ])('in %d C and %d %% twenty minutes become %d', (c, rh, minutes) => {
    expect(Number(openMinutesIn(20, { celsius: c, percentRh: rh }))).toBeCloseTo(minutes, 1);
  });
  test('is refused in air the cure is refused in', () => {
    expect(openMinutesIn(20, { celsius: 4, percentRh: 50 })).toMatchObject({
      ok: false,
      because: 'too-cold',
    });
    expect(openMinutesIn(0, { celsius: 23, percentRh: 50 })).toMatchObject({
      ok: false,
      because: 'not-positive',
    });
  });
});

describe('does the work fit into the open time', () => {
  const asked = {
    sheetOpenMinutes: 20,
    air: { celsius: 23, percentRh: 50 },
    plan: { layMinutes: 8, fitMinutes: 3, firstPassMinutes: 5 },
  };
  test('exactly up to the margin fits', () => {
    expect(judgeCoverPlan(asked)).toEqual({
      ok: true,
      fits: true,
      openMinutes: 20,
      neededMinutes: 16,
      spareMinutes: 0,
    });
  });
  test('a minute into the margin does not', () => {
    expect(judgeCoverPlan({ ...asked, plan: { ...asked.plan, layMinutes: 9 } })).toMatchObject({
      fits: false,
      spareMinutes: -1,
    });
  });
  test('what fits on a cool morning does not fit on a close afternoon', () => {
    expect(judgeCoverPlan({ ...asked, air: { celsius: 15, percentRh: 50 } })).toMatchObject({ fits: true });
    expect(judgeCoverPlan({ ...asked, air: { celsius: 28, percentRh: 60 } })).toMatchObject({ fits: false });
  });
  test('without a margin the pass still has to end before the skin', () => {
    const plan = { layMinutes: 10, fitMinutes: 5, firstPassMinutes: 5 };
    expect(judgeCoverPlan({ ...asked, plan, marginFraction: 0 })).toMatchObject({
      fits: false,
      spareMinutes: 0,
    });
  });
  test.each([
    [{ marginFraction: 1 }, 'bad-margin'],
    [{ marginFraction: -0.1 }, 'bad-margin'],
    [{ plan: { layMinutes: 0, fitMinutes: 3, firstPassMinutes: 5 } }, 'not-positive'],
    [{ sheetOpenMinutes: Number.NaN }, 'not-positive'],
    [{ air: { celsius: 23, percentRh: 10 } }, 'too-dry'],
  ])('%o is refused as %s', (change, because) => {
    expect(judgeCoverPlan({ ...asked, ...change })).toMatchObject({ ok: false, because });
  });
});
