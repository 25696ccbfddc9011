import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import {
  dischargeWait,
  energyJoules,
  judgeDecay,
  LOW_ENERGY_JOULES,
  secondsLeft,
  secondsToJoules,
  secondsToTestAgain,
  secondsToVolts,
  timeConstantSeconds,
  voltsAfter,
} from '../../src/trade/discharge.js';
import { cite, input, type Row, rowsOf, tolerance, value } from '../reference/rows.js';

const near = (actual: unknown, row: Row) => {
  expect(typeof actual, cite(row)).toBe('number');
  expect(Math.abs(Number(actual) - value(row)), `${actual}: ${cite(row)}`).toBeLessThanOrEqual(
    tolerance(row),
  );
};
const circuit = (row: Row) => ({ ohms: input(row, 'R_ohm'), farads: input(row, 'C_F') });
const rows = (...quantities: string[]) =>
  rowsOf('rc_discharge', ...quantities).map((row) => [cite(row), row] as const);

describe('reference rows', () => {
  const taus = rows('textbook_tau', 'tau').filter(([, row]) => 'R_ohm' in row.inputs);
  test.each(taus)('time constant, %s', (_title, row) => near(timeConstantSeconds(circuit(row)), row));

  const throughTwenty = rows('textbook_tau').filter(([, row]) => !('R_ohm' in row.inputs));
  test.each(throughTwenty)('capacitance and resistance of the time constant agree, %s', (_title, row) => {
    const farads = input(row, 'C_F');
    near(timeConstantSeconds({ farads, ohms: value(row) / farads }), row);
  });
  test.each(rows('textbook_resistance'))(
    'resistance times capacitance gives the time constant, %s',
    (_title, row) => {
      const tau = timeConstantSeconds({ ohms: value(row), farads: input(row, 'C_F') });
      const slack = tolerance(row) * input(row, 'C_F');
      expect(Math.abs(Number(tau) - input(row, 'tau_s'))).toBeLessThanOrEqual(slack);
    },
  );
  test.each(rows('textbook_voltage'))('voltage after a time, %s', (_title, row) => {
    near(voltsAfter({ ...circuit(row), startVolts: input(row, 'V0'), seconds: input(row, 't_s') }), row);
  });
  test.each(rows('fraction_remaining'))(
    'voltage left after $1.inputs.time_constants time constants, %s',
    (_title, row) => {
      near(voltsAfter({ ohms: 1, farads: 1, startVolts: 1, seconds: input(row, 'time_constants') }), row);
    },
  );
  test.each(rows('textbook_time'))('time to a voltage, %s', (_title, row) => {
    near(
      secondsToVolts({
        ohms: input(row, 'tau_s'),
        farads: 1,
        startVolts: input(row, 'V0'),
        targetVolts: input(row, 'V'),
      }),
      row,
    );
  });
  test.each(rows('textbook_time_printed_wrong'))('a misprint is not reproduced, %s', (_title, row) => {
    const seconds = secondsToVolts({
      ohms: input(row, 'tau_s'),
      farads: 1,
      startVolts: input(row, 'V0'),
      targetVolts: input(row, 'V'),
    });
    expect(seconds).toBeCloseTo(0.029957, 6);
    expect(seconds).not.toBeCloseTo(value(row), 3);
  });
  test.each(rows('time_to_60V'))('time to 60 V, %s', (_title, row) => {
    near(secondsToVolts({ ...circuit(row), startVolts: input(row, 'V0'), targetVolts: 60 }), row);
  });
  test.each(rows('time_to_0.2J'))('time to 0.2 J, %s', (_title, row) => {
    near(
      secondsToJoules({ ...circuit(row), startVolts: input(row, 'V0'), targetJoules: LOW_ENERGY_JOULES }),
      row,
    );
  });
  test.each(rows('textbook_energy', 'energy_initial'))('energy at the start, %s', (_title, row) => {
    near(energyJoules(input(row, 'C_F'), input(row, 'V0')), row);
  });
  test.each(rows('energy_at_60V'))('60 V is reached and more than 0.2 J are left, %s', (_title, row) => {
    near(energyJoules(input(row, 'C_F'), 60), row);
    expect(Number(energyJoules(input(row, 'C_F'), -60))).toBeGreaterThan(LOW_ENERGY_JOULES);
  });
  test.each(rowsOf('hazard_limits', 'capacitance_for_0.2J'))(
    '0.2 J in $value F at $inputs.V V ($id)',
    (row) => {
      expect(energyJoules(value(row), input(row, 'V')), cite(row)).toBeCloseTo(LOW_ENERGY_JOULES, 5);
    },
  );
  test.each(rowsOf('hazard_limits', 'low_energy_limit'))('the low energy limit is $value J ($id)', (row) => {
    expect(LOW_ENERGY_JOULES, cite(row)).toBe(row.value);
  });

  const two = (row: Row) => [
    { atMs: input(row, 't1_s') * 1000, volts: input(row, 'V1') },
    { atMs: input(row, 't2_s') * 1000, volts: input(row, 'V2') },
  ];
  test.each(rows('tau_from_two_readings'))('time constant from two readings, %s', (_title, row) => {
    const decay = judgeDecay(two(row));
    near(decay.ok && decay.shape === 'falling' && decay.tauSeconds, row);
  });
  test.each(rows('predict_time_to_60V_from_two_readings'))(
    'time to 60 V from two readings, %s',
    (_title, row) => {
      const decay = judgeDecay(two(row));
      const left = decay.ok && decay.shape === 'falling' && secondsLeft(decay, input(row, 'V2'), 60);
      near(Number(left) + input(row, 't2_s'), row);
    },
  );
  test.each(rows('not_discharging_flag'))('no fall is called still connected, %s', (_title, row) => {
    expect(judgeDecay(two(row))).toEqual({ ok: true, shape: 'not-discharging' });
  });
  test.each(rows('rising_voltage_flag'))('a rise is called a rise, %s', (_title, row) => {
    expect(judgeDecay(two(row))).toEqual({ ok: true, shape: 'rising', atMs: 60_000, byVolts: 5 });
  });
});

const at = (...pairs: readonly (readonly [number, number])[]) =>
  pairs.map(([seconds, volts]) => ({ atMs: seconds * 1000, volts }));

describe('does this decay make sense', () => {
  test('readings of a clean discharge give back its time constant, whatever the sign', () => {
    fc.assert(
      fc.property(
        fc.double({ min: 5, max: 300, noNaN: true }),
        fc.double({ min: 200, max: 900, noNaN: true }),
        fc.integer({ min: 2, max: 8 }),
        fc.constantFrom(1, -1),
        (tau, start, count, sign) => {
          const series = Array.from(
            { length: count },
            (_, i) => [i * tau * 0.4, sign * start * Math.exp(-i * 0.4)] as const,
          );
          const decay = judgeDecay(at(...series));
          expect(decay).toMatchObject({ ok: true, shape: 'falling' });
          if (decay.ok && decay.shape === 'falling') expect(decay.tauSeconds / tau).toBeCloseTo(1, 6);
        },
      ),
    );
  });
  test('a discharge that stops at 200 V is flattening, and its end is told by the slower pace', () => {
    const decay = judgeDecay(at([0, 400], [30, 240], [60, 205], [90, 200]));
    expect(decay).toMatchObject({ shape: 'flattening' });
    if (!decay.ok || decay.shape !== 'flattening') throw new Error('not flattening');
    expect(secondsLeft(decay, 200, 60)).toBeCloseTo(decay.lastTauSeconds * Math.log(200 / 60), 6);
    expect(decay.lastTauSeconds).toBeGreaterThan(1000);
  });
  test('a last pair that stands still never gets there', () => {
    const decay = judgeDecay(at([0, 400], [30, 240], [60, 240]));
    expect(decay).toMatchObject({ shape: 'flattening', lastTauSeconds: Number.POSITIVE_INFINITY });
    if (decay.ok && decay.shape === 'flattening')
      expect(secondsLeft(decay, 240, 60)).toBe(Number.POSITIVE_INFINITY);
  });
  test('when it is already below there is nothing left to wait', () => {
    const decay = judgeDecay(at([0, 400], [30, 50]));
    expect(decay.ok && decay.shape === 'falling' && secondsLeft(decay, -50, 60)).toBe(0);
  });
  test('a rise after a fall is told with the reading where it began', () => {
    expect(judgeDecay(at([0, 400], [30, 2], [60, 9], [90, 12]))).toEqual({
      ok: true,
      shape: 'rising',
      atMs: 60_000,
      byVolts: 7,
    });
  });
  test('a slow creep in steps below the noise is still a rise', () => {
    expect(judgeDecay(at([0, 4], [30, 4.4], [60, 4.8]))).toMatchObject({ shape: 'rising', atMs: 60_000 });
  });
  test('crossed probes change nothing', () => {
    expect(judgeDecay(at([0, -392], [120, -392]))).toEqual({ ok: true, shape: 'not-discharging' });
    const decay = judgeDecay(at([0, -400], [30, -147.1518]));
    expect(decay.ok && decay.shape === 'falling' && secondsLeft(decay, -147.1518, 60)).toBeCloseTo(
      26.9136,
      3,
    );
  });
  test('a change of exactly the noise is neither a fall nor a rise', () => {
    expect(judgeDecay(at([0, 392], [60, 391.5]))).toEqual({ ok: true, shape: 'not-discharging' });
    expect(judgeDecay(at([0, 392], [60, 392.5]))).toEqual({ ok: true, shape: 'not-discharging' });
    expect(judgeDecay(at([0, 392], [60, 0.5]))).toEqual({ ok: true, shape: 'nil' });
  });
  test('within the noise it is nil', () => {
    expect(judgeDecay(at([0, 400], [600, 0.4]))).toEqual({ ok: true, shape: 'nil' });
    expect(judgeDecay(at([0, 0], [600, 0]))).toEqual({ ok: true, shape: 'nil' });
  });
  test.each([
    [at(), 'too-few-readings'],
    [at([0, 400]), 'too-few-readings'],
    [at([0, 400], [0, 300]), 'not-in-order'],
    [at([10, 400], [5, 300]), 'not-in-order'],
    [at([0, 400], [5, Number.NaN]), 'not-a-number'],
  ])('%j is refused as %s', (series, because) => {
    expect(judgeDecay(series)).toMatchObject({ ok: false, because });
  });
  test('a noise of nothing is refused', () => {
    expect(judgeDecay(at([0, 400], [5, 300]), 0)).toMatchObject({
      because: 'not-positive',
      what: 'noiseVolts',
    });
  });
});

describe('the wait before it is worth testing', () => {
  const circuitOf = (ohms: number) => ({ ohms, farads: 0.001, startVolts: 400, targetVolts: 5 });
  test('is the maker’s when the formula says less', () => {
    expect(dischargeWait({ makerWaitMs: 600_000, circuit: circuitOf(50_000) })).toEqual({
      ok: true,
      waitMs: 600_000,
      ruledBy: 'maker',
      computedMs: 219_102,
    });
  });
  test('is the computed one when that is longer', () => {
    expect(dischargeWait({ makerWaitMs: 60_000, circuit: circuitOf(50_000) })).toMatchObject({
      waitMs: 219_102,
      ruledBy: 'computed',
    });
  });
  test('is the maker’s when both say the same', () => {
    expect(dischargeWait({ makerWaitMs: 219_102, circuit: circuitOf(50_000) })).toMatchObject({
      ruledBy: 'maker',
    });
  });
  test('is never below the maker’s', () => {
    fc.assert(
      fc.property(
        fc.integer({ min: 0, max: 3_600_000 }),
        fc.double({ min: 1, max: 1e6, noNaN: true }),
        (makerWaitMs, ohms) => {
          const wait = dischargeWait({ makerWaitMs, circuit: circuitOf(ohms) });
          expect(wait.ok && wait.waitMs >= makerWaitMs && wait.waitMs >= (wait.computedMs ?? 0)).toBe(true);
        },
      ),
    );
  });
  test('is refused without the maker’s figure, however well the circuit is known', () => {
    expect(dischargeWait({ makerWaitMs: null, circuit: circuitOf(50_000) })).toMatchObject({
      ok: false,
      because: 'no-maker-wait',
    });
    expect(dischargeWait({ makerWaitMs: Number.NaN, circuit: null })).toMatchObject({
      because: 'no-maker-wait',
    });
  });
  test('stands on the maker’s figure alone where the circuit is not known', () => {
    expect(dischargeWait({ makerWaitMs: 600_000, circuit: null })).toEqual({
      ok: true,
      waitMs: 600_000,
      ruledBy: 'maker',
      computedMs: null,
    });
  });
  test('is refused for a circuit that cannot be', () => {
    expect(dischargeWait({ makerWaitMs: 600_000, circuit: circuitOf(0) })).toMatchObject({
      because: 'not-positive',
      what: 'ohms',
    });
  });
});

test.each([
  [timeConstantSeconds({ ohms: -1, farads: 1 }), 'ohms'],
  [energyJoules(0, 60), 'farads'],
  [energyJoules(1, Number.NaN), 'volts'],
  [voltsAfter({ ohms: 1, farads: 1, startVolts: 400, seconds: -1 }), 'seconds'],
  [secondsToVolts({ ohms: 1, farads: 1, startVolts: 400, targetVolts: 0 }), 'targetVolts'],
  [secondsToJoules({ ohms: 1, farads: 1, startVolts: 400, targetJoules: 0 }), 'targetJoules'],
])('a figure outside the formula is refused by name: %o', (refused, what) => {
  expect(refused).toMatchObject({ ok: false, because: 'not-positive', what });
});

test.each(rowsOf('hazard_limits', 'low_energy_limit_older'))(
  'the older $value J is ten times ours and is not used ($id, $basis)',
  (row) => {
    expect(value(row) / LOW_ENERGY_JOULES, cite(row)).toBeCloseTo(10, 9);
  },
);

describe('when it is worth testing again', () => {
  const at = (minutes: number, ...volts: number[]) => ({ atMs: minutes * 60_000, volts });

  test('two readings give the time constant, and the slowest pole rules', () => {
    // tau = 120 / ln(40/30) s; from 30 V to 5 V tau ln 6.
    const one = (120 / Math.log(40 / 30)) * Math.log(6);
    expect(secondsToTestAgain(at(0, 40, 0, 0), at(2, 30, 0, 0), 5)).toBeCloseTo(one, 9);
    const slow = (120 / Math.log(20 / 19)) * Math.log(19 / 5);
    expect(secondsToTestAgain(at(0, 40, -20, 0), at(2, 30, -19, 0), 5)).toBeCloseTo(slow, 9);
  });

  test('it is the instant at which the exponential is at the limit', () => {
    fc.assert(
      fc.property(
        fc.double({ min: 15, max: 60, noNaN: true }),
        fc.double({ min: 100, max: 3000, noNaN: true }),
        (startVolts, tau) => {
          const circuit = { ohms: tau, farads: 1, startVolts };
          const then = Number(voltsAfter({ ...circuit, seconds: 240 }));
          fc.pre(startVolts - then > 0.5 && then > 5);
          const left = secondsToTestAgain(at(0, startVolts), at(4, then), 5);
          expect(Number(voltsAfter({ ...circuit, seconds: 240 + (left ?? 0) }))).toBeCloseTo(5, 6);
        },
      ),
    );
  });

  test.each<[string, ReturnType<typeof at>, ReturnType<typeof at>, number]>([
    ['it does not fall', at(0, 30), at(2, 30), 5],
    ['it falls by no more than the meter trembles', at(0, 30), at(2, 29.6), 5],
    ['it rises', at(0, 30), at(2, 31), 5],
    ['one pole rises, though within the limit', at(0, 40, 0), at(2, 30, 4), 5],
    ['one of two poles stands still', at(0, 40, 20), at(2, 30, 20), 5],
    ['all are within the limit already', at(0, 40), at(2, 4), 5],
    ['the first was an hour and more ago', at(0, 40), at(61, 30), 5],
    ['the clock did not move', at(2, 40), at(2, 30), 5],
    ['it would take all day', at(0, 30), at(10, 29.4), 5],
    ['the sets differ in length', at(0, 40, 1), at(2, 30), 5],
    ['there is no limit', at(0, 40), at(2, 30), 0],
    ['a reading is no number', at(0, Number.NaN), at(2, 30), 5],
  ])('nothing is said when %s', (_, before, now, limit) => {
    expect(secondsToTestAgain(before, now, limit)).toBeNull();
  });
});
