import { readdirSync, readFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import { join } from 'node:path';
import { DateTime } from 'luxon';
import { describe, expect, test } from 'vitest';
import { BOND_OHMS } from '../src/trade/bonding.js';
import { cureDepthMm, DAY_MS, REFERENCE_AIR } from '../src/trade/cure.js';
import { addMonths } from '../src/trade/dates.js';
import { energyJoules, secondsToTestAgain, secondsToVolts, voltsAfter } from '../src/trade/discharge.js';
import { densityAt20, frostPoint, type Glycol, litresOf, type Strength } from '../src/trade/glycol.js';
import { insulationLimit } from '../src/trade/insulation.js';
import { leakRate, pressureAt, toMolPerSecond } from '../src/trade/leak.js';
import { balanceOnLift } from '../src/trade/lift.js';
import { absoluteHumidity, dewPoint, saturationPascals } from '../src/trade/moist-air.js';
import { afterReplacing, drainFor } from '../src/trade/top-up.js';
import { wrenchSetting } from '../src/trade/torque.js';
import { valueIn } from '../src/units/quantity.js';
import { input, type Row, rowsOf, value } from './reference/rows.js';

/*
 * The table "What is computed" of the README, deviations worked out afresh. When a formula is made better on purpose, the
 * failing test prints what the cell has to say now.
 */
const readme = readFileSync(join(import.meta.dirname, '..', 'README.md'), 'utf8');
const section = readme.split('\n## What is computed\n')[1]?.split('\n## ')[0] ?? '';
const table = section
  .split('\n')
  .filter((line) => line.startsWith('|'))
  .map((line) =>
    line
      .slice(1, -1)
      .split('|')
      .map((cell) => cell.trim()),
  )
  .slice(2);

/** What people say after `start`. */
const STARTED = [
  'disconnect-fuse',
  'hv-cable',
  'coolant-renew',
  'lv-battery',
  'tyre-swap',
  'make-safe',
] as const;

type Psychrolib = {
  readonly SI: unknown;
  SetUnitSystem(system: unknown): void;
  GetSatVapPres(celsius: number): number;
  GetTDewPointFromRelHum(celsius: number, fraction: number): number;
  GetVapPresFromRelHum(celsius: number, fraction: number): number;
};
const psychrolib: Psychrolib = createRequire(import.meta.url)('psychrolib');
psychrolib.SetUnitSystem(psychrolib.SI);

const most = (deviations: readonly number[]): number => {
  expect(deviations.length).toBeGreaterThan(0);
  expect(deviations.every(Number.isFinite)).toBe(true);
  return Math.max(...deviations.map(Math.abs));
};
const percent = (deviations: readonly number[], digits = 2) => `${most(deviations).toFixed(digits)} %`;
/** Our figure against a printed one, in per cent of it. */
const off = (ours: unknown, printed: number) => (Number(ours) / printed - 1) * 100;
const air = (row: Row) => ({ celsius: input(row, 't_C'), percentRh: input(row, 'rh_pct') });
const glycolOf = (row: Row): Glycol => (row.inputs.glycol === 'propylene' ? 'propylene' : 'ethylene');
const strengthOf = (row: Row): Strength =>
  'mass_pct' in row.inputs
    ? { by: 'mass', percent: input(row, 'mass_pct') }
    : { by: 'volume', percent: input(row, 'vol_pct') };
const frostOff = (row: Row) => {
  const found = frostPoint(glycolOf(row), strengthOf(row));
  return found.ok ? found.celsius - value(row) : Number.NaN;
};
const frosts = (source: string) =>
  rowsOf('coolant', 'freezing_point').filter((row) => row.source.startsWith(source));
const range = (deviations: readonly number[]) =>
  `${Math.min(...deviations).toFixed(1)} to ${Math.max(...deviations).toFixed(1)} K`;
const tenths = Array.from({ length: 500 }, (_, step) => (step + 1) / 10);

const DEVIATIONS: Readonly<Record<string, () => string>> = {
  'time to discharge': () =>
    percent(
      rowsOf('rc_discharge', 'textbook_time').map((row) =>
        off(
          secondsToVolts({
            ohms: input(row, 'tau_s'),
            farads: 1,
            startVolts: input(row, 'V0'),
            targetVolts: input(row, 'V'),
          }),
          value(row),
        ),
      ),
    ),
  'volts left': () =>
    percent(
      rowsOf('rc_discharge', 'textbook_voltage').map((row) =>
        off(
          voltsAfter({
            ohms: input(row, 'R_ohm'),
            farads: input(row, 'C_F'),
            startVolts: input(row, 'V0'),
            seconds: input(row, 't_s'),
          }),
          value(row),
        ),
      ),
    ),
  'worth testing again': () =>
    percent(
      rowsOf('rc_discharge', 'predict_time_to_60V_from_two_readings').map((row) => {
        const at = (which: 1 | 2) => ({
          atMs: input(row, `t${which}_s`) * 1000,
          volts: [input(row, `V${which}`)],
        });
        const wait = secondsToTestAgain(at(1), at(2), 60) ?? Number.NaN;
        // The row counts from its first reading.
        return off(wait + input(row, 't2_s') - input(row, 't1_s'), value(row));
      }),
    ),
  'stored energy': () =>
    percent(
      rowsOf('rc_discharge', 'textbook_energy', 'energy_initial').map((row) =>
        off(energyJoules(input(row, 'C_F'), input(row, 'V0')), value(row)),
      ),
    ),
  'insulation limit': () =>
    percent(
      rowsOf('hazard_limits', 'isolation_min_total').map((row) => {
        const bus = input(row, 'ohm_per_V') === 100 ? 'dc' : 'joined';
        const found = insulationLimit({ workingVolts: input(row, 'working_V'), bus, makerOhms: null });
        return off(found.ok ? found.limitOhms : Number.NaN, value(row));
      }),
    ),
  'bonding limit': () =>
    percent(rowsOf('hazard_limits', 'chassis_bond_resistance_max').map((row) => off(BOND_OHMS, value(row)))),
  'wrench setting with an adapter': () =>
    percent(
      rowsOf('torque', 'computed_setting').map((row) => {
        const lever = {
          lengthMm: input(row, 'L') * 1000,
          adapterMm: input(row, 'E') * 1000,
          angleDeg: Number(row.inputs.theta_deg ?? 0),
        };
        const found = wrenchSetting({ value: input(row, 'T'), unit: 'N·m' }, lever);
        return off(found.ok ? found.setting.value : Number.NaN, value(row));
      }),
    ),
  'saturation pressure': () =>
    percent(
      tenths.map((celsius) => off(saturationPascals(celsius), psychrolib.GetSatVapPres(celsius))),
      3,
    ),
  'dew point': () => {
    const deviations = tenths.flatMap((celsius) =>
      [10, 30, 50, 70, 90].flatMap((percentRh) => {
        const theirs = psychrolib.GetTDewPointFromRelHum(celsius, percentRh / 100);
        return theirs > 0.1 ? [Number(dewPoint({ celsius, percentRh })) - theirs] : [];
      }),
    );
    return `${most(deviations).toFixed(3)} K`;
  },
  'absolute humidity': () =>
    percent(
      rowsOf('moist_air', 'absolute_humidity').map((row) => off(absoluteHumidity(air(row)), value(row))),
    ),
  'cure depth': () => {
    const depth = (k: number, row: Row, where: typeof REFERENCE_AIR) =>
      cureDepthMm(k, [{ ...where, durationMs: input(row, 't_days') * DAY_MS }]);
    const model = rowsOf('sealant_cure', 'model_depth').map((row) =>
      off(depth(input(row, 'k'), row, air(row)), value(row)),
    );
    const measured = rowsOf('sealant_cure', 'measured_depth').map((row) =>
      off(depth(2.835, row, REFERENCE_AIR), value(row)),
    );
    return percent([...model, ...measured]);
  },
  'leak rate': () =>
    percent(
      rowsOf('leak_test', 'cfr_example_result').map((row) => {
        const kelvin = input(row, 'T1_K');
        const rate = leakRate({
          volumeM3: input(row, 'V_m3'),
          p1PaAbs: input(row, 'p2_Pa'),
          p2PaAbs: input(row, 'p1_Pa'),
          t1K: kelvin,
          t2K: kelvin,
          seconds: input(row, 'dt_s'),
        });
        const moles = rate.ok ? toMolPerSecond(rate.paM3PerS, kelvin) : rate;
        return off(moles.ok ? moles.molPerS : Number.NaN, value(row));
      }),
    ),
  'pressure drop from temperature': () =>
    percent(
      rowsOf('leak_test', 'expected_pressure_after_cooling').map((row) => {
        const [t1, t2] = [input(row, 'T1_C') + 273.15, input(row, 'T2_C') + 273.15];
        const found = pressureAt(input(row, 'p1_Pa_abs'), t1, t2);
        return off(found.ok ? found.paAbs : Number.NaN, value(row));
      }),
    ),
  'balance on the lift': () => {
    const deviations = rowsOf('lift_stability', 'cg_after_removal').map((row) => {
      const found = balanceOnLift({
        car: { massKg: input(row, 'M_kg'), xM: input(row, 'x_m') },
        pads: {
          frontM: input(row, 'xf_m'),
          rearM: input(row, 'xr_m'),
          halfTrackM: null,
          padRatingKg: 1e6,
          liftRatingKg: 1e6,
        },
        parts: [{ massKg: input(row, 'm_kg'), xM: input(row, 'xm_m') }],
        leastMarginM: 0,
      });
      const after = 'standings' in found ? found.standings[1] : undefined;
      return ((after?.xM ?? Number.NaN) - value(row)) * 1000;
    });
    return `${most(deviations).toFixed(1)} mm`;
  },
  'frost point': () => `${most(frosts('ASHRAE').map(frostOff)).toFixed(2)} K`,
  'frost point, ethylene': () =>
    range(
      frosts('Melinder')
        .filter((row) => glycolOf(row) === 'ethylene')
        .map(frostOff),
    ),
  'frost point, propylene': () =>
    range(
      [...frosts('Melinder'), ...frosts('Lange')]
        .filter((row) => glycolOf(row) === 'propylene')
        .map(frostOff),
    ),
  'coolant density': () =>
    percent(
      rowsOf('coolant', 'density_20C')
        .filter((row) => row.source.startsWith('Melinder'))
        .map((row) => {
          const found = densityAt20(glycolOf(row), strengthOf(row));
          return off(found.ok ? found.kgPerM3 : Number.NaN, value(row));
        }),
    ),
  'coolant weighed': () =>
    percent(
      rowsOf('coolant', 'coolant_lost_mass_based').map((row) => {
        const found = litresOf(input(row, 'captured_kg'), 'ethylene', { by: 'volume', percent: 50 });
        return off(found.ok ? found.litres : Number.NaN, value(row));
      }),
    ),
  'drain and fill': () => {
    const drained = rowsOf('coolant', 'volume_to_drain_and_replace').map((row) => {
      const found = drainFor({
        systemMl: input(row, 'total_L') * 1000,
        percent: input(row, 'c0_vol_pct'),
        addPercent: input(row, 'add_vol_pct'),
        targetPercent: input(row, 'target_vol_pct'),
      });
      return off(found.ok ? found.drainMl / 1000 : Number.NaN, value(row));
    });
    const mixed = rowsOf('coolant', 'concentration_after_one_replacement').map((row) => {
      const found = afterReplacing({
        systemMl: input(row, 'total_L'),
        percent: input(row, 'c0_vol_pct'),
        addPercent: input(row, 'add_vol_pct'),
        drainedMl: input(row, 'drained_L'),
      });
      return off(found.ok ? found.percent : Number.NaN, value(row));
    });
    return percent([...drained, ...mixed]);
  },
  'due date': () => {
    const deviations = Array.from({ length: 4000 }, (_, day) => {
      const date = DateTime.utc(2020, 1, 1).plus({ days: day });
      const months = (day % 97) + 1;
      const ours = DateTime.fromISO(addMonths(date.toFormat('yyyy-MM-dd'), months), { zone: 'utc' });
      return ours.diff(date.plus({ months }), 'days').days;
    });
    return `${most(deviations)} days`;
  },
  units: () => {
    const named = { 'lbf.ft': 'lbf·ft', 'lbf.in': 'lbf·in', 'N.m': 'N·m', psi: 'psi', bar: 'bar' } as const;
    const unit = (row: Row, key: 'from' | 'to') =>
      Object.entries(named).find(([name]) => name === row.inputs[key])?.[1];
    const deviations = rowsOf('units', 'convert_torque', 'convert_pressure').flatMap((row) => {
      const [from, to] = [unit(row, 'from'), unit(row, 'to')];
      if (from === undefined || to === undefined) return [];
      return [off(valueIn({ value: input(row, 'value'), unit: from }, to), value(row))];
    });
    expect(deviations.length).toBeGreaterThan(4);
    return percent(deviations, 5);
  },
};

describe('the README lists', () => {
  const named = [...readme.matchAll(/^\| (`[a-z-]+`(?:, `[a-z-]+`)*) \| /gm)].flatMap((row) =>
    [...(row[1] ?? '').matchAll(/`([a-z-]+)`/g)].map((match) => match[1] ?? ''),
  );

  test('every flow, once, and no other', () => {
    const flows = readdirSync(join(import.meta.dirname, '../flows'))
      .filter((name) => name.endsWith('.yaml') && name !== 'hazards.yaml')
      .map((name) => name.replace(/\.yaml$/, ''));
    expect(flows.length).toBeGreaterThan(20);
    expect(named.toSorted()).toEqual(flows.toSorted());
  });

  test('as started by hand those that need nothing given', () => {
    const table = readme.split('| started by hand | what |')[1]?.split('\n\n')[0] ?? '';
    for (const flow of named) {
      const text = readFileSync(join(import.meta.dirname, `../flows/${flow}.yaml`), 'utf8');
      const startable = STARTED.some((id) => id === flow);
      expect(table.includes(`\`${flow}\``), flow).toBe(startable);
      if (startable) expect(text, flow).not.toMatch(/^given:/m);
    }
  });

  test('only commands that there are', () => {
    const { scripts } = JSON.parse(readFileSync(join(import.meta.dirname, '../package.json'), 'utf8'));
    const commands = [...readme.matchAll(/`npm run ([a-z]+)/g)].map((match) => match[1] ?? '');
    expect(commands.length).toBeGreaterThan(6);
    expect(commands.filter((command) => !(command in scripts))).toEqual([]);
  });
});

describe('the README says what is computed', () => {
  test('every figure of the table is worked out here, and the other way round', () => {
    const named = table.filter((cells) => cells[4] !== 'none published').map((cells) => cells[0]);
    expect(named).toEqual(Object.keys(DEVIATIONS));
    expect(table.every((cells) => cells.length === 5 && cells.every((cell) => cell !== ''))).toBe(true);
  });

  test.each(Object.entries(DEVIATIONS))('%s deviates as printed', (figure, deviation) => {
    expect(table.find((cells) => cells[0] === figure)?.[4]).toBe(deviation());
  });
});
