import { describe, expect, test } from 'vitest';
import { type Bus, insulationLimit, judgeInsulation, OHMS_PER_VOLT } from '../../src/trade/insulation.js';
import { cite, input, rowsOf, tolerance, value } from '../reference/rows.js';

const busFor = (ohmsPerVolt: number): Bus => (ohmsPerVolt === 100 ? 'dc' : 'joined');

describe('reference rows', () => {
  const perVolt = [
    ['isolation_resistance_min_dc_bus', 'dc'],
    ['isolation_resistance_min_ac_bus', 'ac'],
    ['isolation_resistance_min_combined', 'joined'],
    ['isolation_resistance_min_combined_protected', 'joined-protected'],
  ] as const;
  test.each(perVolt)('%s: ohms per volt of a bus that is %s', (quantity, bus) => {
    for (const row of rowsOf('hazard_limits', quantity))
      expect(OHMS_PER_VOLT[bus], cite(row)).toBe(row.value);
  });
  test.each(rowsOf('hazard_limits', 'isolation_resistance_post_crash', 'isolation_resistance_fmvss305'))(
    'another rule has the same pair ($id, $basis)',
    (row) => expect({ dc: OHMS_PER_VOLT.dc, ac: OHMS_PER_VOLT.ac }, cite(row)).toEqual(row.value),
  );
  test.each(rowsOf('hazard_limits', 'hazardous_voltage_threshold_ac'))(
    'an AC bus up to $value V rms is no high voltage and is refused ($id, $basis)',
    (row) => {
      const at = { bus: 'ac', makerOhms: null } as const;
      expect(insulationLimit({ ...at, workingVolts: value(row) }), cite(row)).toMatchObject({
        ok: false,
        limit: 30,
      });
      expect(insulationLimit({ ...at, workingVolts: value(row) + 0.1 })).toMatchObject({ ok: true });
    },
  );
  test.each(rowsOf('hazard_limits', 'isolation_min_total'))(
    '$inputs.working_V V at $inputs.ohm_per_V ohm/V: $value ohm ($id)',
    (row) => {
      const limit = insulationLimit({
        workingVolts: input(row, 'working_V'),
        bus: busFor(input(row, 'ohm_per_V')),
        makerOhms: null,
      });
      expect(limit.ok && Math.abs(limit.limitOhms - value(row)), cite(row)).toBeLessThanOrEqual(
        tolerance(row),
      );
    },
  );
  test.each(rowsOf('hazard_limits', 'touch_current_at_limit'))(
    'at the limit $value A can flow ($id)',
    (row) => {
      const limit = insulationLimit({
        workingVolts: 400,
        bus: busFor(input(row, 'ohm_per_V')),
        makerOhms: null,
      });
      expect(limit.ok && 400 / limit.limitOhms, cite(row)).toBe(row.value);
    },
  );
  test.each(rowsOf('hazard_limits', 'isolation_pass_fail'))(
    '$inputs.measured_ohm ohm: $value ($id)',
    (row) => {
      const measured = { kind: 'measured', ohms: input(row, 'measured_ohm') } as const;
      const judged = judgeInsulation({ ...base, bus: 'dc', plus: measured, minus: measured });
      expect(judged.ok && judged.outcome, cite(row)).toBe(row.value);
    },
  );
});

const measured = (ohms: number) => ({ kind: 'measured', ohms }) as const;
const atLeast = (ohms: number) => ({ kind: 'at-least', ohms }) as const;
const base = {
  workingVolts: 400,
  bus: 'joined',
  makerOhms: null,
  plus: measured(2e6),
  minus: measured(2e6),
  testVolts: 500,
  heldSeconds: 60,
  allowed: { lowestVolts: 500, highestVolts: 500, holdSeconds: 60 },
} as const;

describe('the strictest limit rules', () => {
  test.each([
    [null, 200_000, 'ohms-per-volt'],
    [150_000, 200_000, 'ohms-per-volt'],
    [200_000, 200_000, 'ohms-per-volt'],
    [1_000_000, 1_000_000, 'maker'],
  ] as const)('maker says %s: %d ohm, ruled by %s', (makerOhms, limitOhms, ruledBy) => {
    expect(insulationLimit({ ...base, makerOhms })).toEqual({
      ok: true,
      limitOhms,
      ruledBy,
      ohmsPerVolt: 500,
    });
  });
  test.each([
    [60, 'dc'],
    [1500.1, 'dc'],
    [30, 'ac'],
    [1000.1, 'ac'],
    [Number.NaN, 'joined'],
  ] as const)('%d V on a bus that is %s is out of range', (workingVolts, bus) => {
    expect(insulationLimit({ ...base, workingVolts, bus })).toMatchObject({
      ok: false,
      because: 'voltage-out-of-range',
    });
  });
  test.each([
    [1500, 'joined', 750_000],
    [1000, 'ac', 500_000],
    [60.1, 'dc', 6010],
  ] as const)('%d V on a bus that is %s is still in range', (workingVolts, bus, limitOhms) => {
    expect(insulationLimit({ ...base, workingVolts, bus })).toMatchObject({ ok: true, limitOhms });
  });
  test('a maker’s limit of nothing is refused', () => {
    expect(insulationLimit({ ...base, makerOhms: 0 })).toMatchObject({
      because: 'not-positive',
      what: 'makerOhms',
    });
  });
});

describe('both poles', () => {
  test.each([
    ['both good', measured(200_000), measured(200_000), 'pass'],
    ['plus a hair under', measured(199_999), measured(2e6), 'fail'],
    ['minus a hair under', measured(2e6), measured(199_999), 'fail'],
    ['a dead short', measured(0), measured(2e6), 'fail'],
    ['over range, range end above the limit', atLeast(550e6), atLeast(550e6), 'pass'],
    ['over range, range end on the limit', atLeast(200_000), measured(2e6), 'pass'],
    ['over range, range end below the limit', atLeast(199_000), measured(2e6), 'range-too-small'],
    ['one too small a range, one fail', atLeast(199_000), measured(1000), 'fail'],
  ] as const)('%s', (_title, plus, minus, outcome) => {
    expect(judgeInsulation({ ...base, plus, minus })).toMatchObject({ ok: true, outcome });
  });
  test('a reading on a limit that is no round binary number passes', () => {
    for (let volts = 60.1; volts < 1000; volts += 0.1) {
      const workingVolts = Number(volts.toFixed(1));
      const ohms = Number((workingVolts * 500).toFixed(0));
      expect(
        judgeInsulation({ ...base, workingVolts, plus: measured(ohms), minus: measured(ohms) }),
      ).toMatchObject({ outcome: 'pass' });
    }
  });
  test('the record has the worse pole in ohms per volt', () => {
    expect(judgeInsulation({ ...base, plus: measured(800_000) })).toMatchObject({
      worstOhmsPerVolt: 2000,
      plus: 'pass',
    });
  });
});

describe('the test itself', () => {
  test.each([
    [{ testVolts: 499 }, ['test-voltage-too-low']],
    [{ testVolts: 1000 }, ['test-voltage-too-high']],
    [{ heldSeconds: 59 }, ['test-too-short']],
    [{ heldSeconds: null }, ['test-too-short']],
    [
      { testVolts: 1000, heldSeconds: 1, plus: measured(1) },
      ['fail', 'test-voltage-too-high', 'test-too-short'],
    ],
    [{ heldSeconds: null, allowed: { lowestVolts: 250, highestVolts: 500, holdSeconds: null } }, ['pass']],
  ])('%o finds %j', (change, findings) => {
    expect(judgeInsulation({ ...base, ...change })).toMatchObject({ outcome: findings[0], findings });
  });
  test.each([
    [{ allowed: null }, 'no-test-voltage'],
    [{ allowed: { lowestVolts: 500, highestVolts: 250, holdSeconds: null } }, 'bad-test-voltage'],
    [{ testVolts: 0 }, 'not-positive'],
    [{ plus: measured(-1) }, 'not-a-resistance'],
    [{ minus: atLeast(Number.POSITIVE_INFINITY) }, 'not-a-resistance'],
    [{ workingVolts: 48 }, 'voltage-out-of-range'],
  ])('%o is refused as %s', (change, because) => {
    expect(judgeInsulation({ ...base, ...change })).toMatchObject({ ok: false, because });
  });
});
