import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { addDays } from '../../src/trade/dates.js';
import { judgeInDate } from '../../src/trade/in-date.js';
import {
  judgeTorque,
  type Lever,
  settable,
  stagesOf,
  toleranceBand,
  torqueAtFastener,
  wrenchSetting,
} from '../../src/trade/torque.js';
import { deviationPercent, usableRange, type Wrench, wrenchFor } from '../../src/trade/wrench.js';
import { type Quantity, valueIn } from '../../src/units/quantity.js';
import type { Unit } from '../../src/units/unit.js';
import rows from '../reference/torque.json' with { type: 'json' };

const nm = (value: number): Quantity => ({ value, unit: 'N·m' });

/**
 * 45 of the 77 rows are not computed here: rules in words, storage and interval customs of others, and torques of 8.8 bolts
 * (035 to 071): a torque always comes from the vehicle's maker, so the code holds no bolt table. Those of the patterns are
 * in pattern.test.ts.
 */
const checked = {
  settings: rows.filter((row) =>
    ['worked_setting', 'computed_setting', 'worked_setting_shortening'].includes(row.quantity),
  ),
  bands: rows.filter((row) => row.quantity === 'tolerance_band'),
  dues: rows.filter((row) => row.quantity === 'wrench_due'),
  stages: rows.filter((row) => row.quantity === 'stage_torques'),
};
const rowOf = (id: string) => {
  const row = rows.find((candidate) => candidate.id === id);
  if (!row) throw new Error(`no row ${id}`);
  return row;
};
type Inputs = Readonly<Record<string, number | string | undefined>>;
const numberOf = (inputs: Inputs, name: string): number => {
  const value = inputs[name];
  if (typeof value !== 'number') throw new Error(`${name} is no number`);
  return value;
};

test('the reference was read: 10 settings, 3 bands, 3 due dates, 2 sets of stages', () => {
  expect(rows.length).toBe(77);
  expect(Object.values(checked).map((part) => part.length)).toEqual([10, 3, 3, 2]);
});

describe('adapter', () => {
  test.each(checked.settings)('$id: dial $value $unit ($source; $basis)', (row) => {
    const inputs = row.inputs as Inputs;
    const [force = '', arm = ''] = String(inputs.unit ?? 'N.m / m').split(' / ');
    const torque: Unit = force === 'lbf.ft' ? 'lbf·ft' : force === 'lbf.in' ? 'lbf·in' : 'N·m';
    const length: Unit = arm === 'ft' ? 'ft' : arm === 'in' ? 'in' : 'm';
    const mm = (name: string) => valueIn({ value: numberOf(inputs, name), unit: length }, 'mm');
    const theta = row.quantity === 'worked_setting_shortening' ? 180 : Number(inputs.theta_deg ?? 0);
    const lever = { lengthMm: mm('L'), adapterMm: mm('E'), angleDeg: theta };
    const found = wrenchSetting({ value: numberOf(inputs, 'T'), unit: torque }, lever);
    if (!found.ok) throw new Error(found.because);
    expect(Math.abs(found.setting.value - Number(row.value))).toBeLessThanOrEqual(row.tolerance ?? 0);
    expect(found.setting.unit).toBe(torque);
  });

  test('TRQ-016: 25 N·m dialled with 50 mm on a 400 mm wrench puts 28.125 N·m on the bolt (computed)', () => {
    const found = torqueAtFastener(nm(25), { lengthMm: 400, adapterMm: 50 });
    expect(found).toEqual({ ok: true, torque: nm(Number(rowOf('TRQ-016').value)) });
  });

  test('TRQ-010: in line needs the largest correction and 90° none, against a public calculator', () => {
    const factor = (angleDeg: number) => {
      const found = wrenchSetting(nm(80), { lengthMm: 400, adapterMm: 50, angleDeg });
      return found.ok ? found.factor : Number.NaN;
    };
    expect(factor(90)).toBe(1);
    expect(factor(0)).toBeLessThan(factor(45));
    expect(factor(45)).toBeLessThan(1);
  });

  test('what is dialled puts the wanted torque on the bolt, at any angle', () => {
    const lever = fc.record({
      lengthMm: fc.double({ min: 100, max: 1500, noNaN: true }),
      adapterMm: fc.double({ min: 0, max: 50, noNaN: true }),
      angleDeg: fc.integer({ min: 0, max: 180 }),
    });
    fc.assert(
      fc.property(fc.double({ min: 0.1, max: 500, noNaN: true }), lever, (torque, at) => {
        const dial = wrenchSetting(nm(torque), at);
        if (!dial.ok) throw new Error(dial.because);
        const back = torqueAtFastener(dial.setting, at);
        expect(back.ok && Math.abs(back.torque.value - torque) / torque).toBeLessThan(1e-9);
      }),
    );
  });

  test.each<[string, Quantity, Lever, string]>([
    ['a voltage', { value: 9, unit: 'V' }, { lengthMm: 300, adapterMm: 0 }, 'not-a-torque'],
    ['not a number', nm(Number.NaN), { lengthMm: 300, adapterMm: 0 }, 'not-a-torque'],
    ['nothing', nm(0), { lengthMm: 300, adapterMm: 0 }, 'not-positive'],
    ['a lever without length', nm(9), { lengthMm: 0, adapterMm: 30 }, 'bad-lever'],
    ['a negative adapter', nm(9), { lengthMm: 300, adapterMm: -30 }, 'bad-lever'],
    ['an unmeasured adapter', nm(9), { lengthMm: 300, adapterMm: Number.NaN }, 'bad-lever'],
    ['200 degrees', nm(9), { lengthMm: 300, adapterMm: 30, angleDeg: 200 }, 'bad-angle'],
    ['a lever folded away', nm(9), { lengthMm: 300, adapterMm: 160, angleDeg: 180 }, 'arm-too-short'],
  ])('%s gives no setting', (_, target, lever, because) => {
    expect(wrenchSetting(target, lever)).toMatchObject({ ok: false, because });
    expect(torqueAtFastener(target, lever)).toMatchObject({ ok: false, because });
  });
});

describe('tolerance', () => {
  test.each(checked.bands)('$id: the band is $value $unit ($source; $basis)', (row) => {
    const inputs = row.inputs as Inputs;
    const found = toleranceBand(nm(numberOf(inputs, 'set_Nm')), {
      percent: numberOf(inputs, 'deviation_pct'),
    });
    expect(found.ok && [found.band.from.value, found.band.to.value]).toEqual(row.value);
  });

  test.each<[number, Unit, string, Unit | null]>([
    [8.1, 'N·m', 'in-band', null],
    [9.9, 'N·m', 'in-band', null],
    [9.91, 'N·m', 'too-high', null],
    [8.09, 'N·m', 'too-low', null],
    [79.7, 'lbf·in', 'in-band', null],
    [80, 'N·m', 'too-high', 'lbf·in'],
    [6.6, 'N·m', 'too-low', 'lbf·ft'],
    [9, 'lbf·ft', 'too-high', 'N·m'],
    [900, 'N·m', 'too-high', null],
  ])('%d %s for 9 N·m ± 10 %% is %s, looks like %s', (value, unit, verdict, looksLike) => {
    expect(judgeTorque({ value, unit }, nm(9), { percent: 10 })).toMatchObject({
      ok: true,
      verdict,
      looksLike,
    });
  });

  test('a reading on the upper limit passes in any torque unit', () => {
    const band = toleranceBand(nm(110), { by: { value: 5, unit: 'lbf·ft' } });
    if (!band.ok) throw new Error(band.because);
    const limit = { value: valueIn(band.band.to, 'lbf·in'), unit: 'lbf·in' } as const;
    expect(judgeTorque(limit, nm(110), { by: { value: 5, unit: 'lbf·ft' } })).toMatchObject({
      verdict: 'in-band',
    });
  });

  test.each([
    [nm(9), { percent: -1 }, 'bad-tolerance'],
    [nm(9), { percent: 100 }, 'bad-tolerance'],
    [nm(9), { percent: Number.NaN }, 'bad-tolerance'],
    [nm(9), { by: { value: 1, unit: 'bar' } as const }, 'bad-tolerance'],
    [{ value: 9, unit: 'bar' } as const, { percent: 10 }, 'not-a-torque'],
    [nm(-9), { percent: 10 }, 'not-positive'],
  ])('%j with a tolerance of %j is refused: %s', (target, tolerance, because) => {
    expect(judgeTorque(nm(9), target, tolerance)).toMatchObject({ ok: false, because });
  });
});

describe('stages', () => {
  const torques = (found: ReturnType<typeof stagesOf>) =>
    found.ok
      ? found.stages.map((stage) => (stage.to === 'torque' ? stage.torque.value : stage.angle))
      : found;

  test.each(checked.stages)('$id: the stages are $value $unit ($source; $basis)', (row) => {
    const { final_Nm, stages } = row.inputs as { final_Nm: number; stages: number[] };
    expect(torques(stagesOf(nm(final_Nm), stages))).toEqual(row.value);
  });

  test('stages are rounded to what the wrench can be set to', () => {
    expect(torques(stagesOf(nm(9), [30, 60, 100], { increment: nm(0.5) }))).toEqual([2.5, 5.5, 9]);
    const inches = stagesOf(nm(9), [50, 100], {
      increment: { value: 1, unit: 'lbf·in' },
      tolerance: { percent: 5 },
    });
    const marks = inches.ok
      ? inches.stages.map((s) => (s.to === 'torque' ? valueIn(s.torque, 'lbf·in') : 0))
      : [];
    expect(marks.map((mark) => Number(mark.toPrecision(9)))).toEqual([40, 80]);
  });

  test('an angle comes after the last torque', () => {
    const angle = { value: 90, unit: '°' } as const;
    expect(torques(stagesOf(nm(20), [50, 100], { angle }))).toEqual([10, 20, angle]);
  });

  test.each<[string, number[], Parameters<typeof stagesOf>[2], string]>([
    ['no stages', [], {}, 'bad-stages'],
    ['a last stage short of the target', [30, 60], {}, 'bad-stages'],
    ['stages that fall', [60, 30, 100], {}, 'bad-stages'],
    ['a stage of nothing', [0, 100], {}, 'bad-stages'],
    ['a stage beyond the target', [50, 110, 100], {}, 'bad-stages'],
    ['a stage that the increment swallows', [5, 100], { increment: nm(1) }, 'increment-too-coarse'],
    ['two stages on one mark', [50, 55, 100], { increment: nm(3) }, 'increment-too-coarse'],
    ['a target between two marks', [50, 100], { increment: nm(2) }, 'final-not-settable'],
    ['an increment of nothing', [50, 100], { increment: nm(0) }, 'bad-increment'],
    ['a turn and a half', [100], { angle: { value: 540, unit: '°' } }, 'bad-angle'],
    ['an angle in degrees Celsius', [100], { angle: { value: 90, unit: '°C' } }, 'bad-angle'],
  ])('%s is refused', (_, percents, how, because) => {
    expect(stagesOf(nm(9), percents, how)).toMatchObject({ ok: false, because });
  });

  test('a target between two marks is settable where the tolerance covers the nearer one', () => {
    expect(torques(stagesOf(nm(9.1), [100], { increment: nm(0.5), tolerance: { percent: 2 } }))).toEqual([9]);
  });

  test('no stage goes beyond what the wrench is nearest to, and each goes further', () => {
    const percents = fc
      .uniqueArray(fc.integer({ min: 1, max: 99 }), { maxLength: 5 })
      .map((list) => [...list.sort((a, b) => a - b), 100]);
    fc.assert(
      fc.property(fc.integer({ min: 20, max: 4000 }), percents, (tenths, list) => {
        const found = stagesOf(nm(tenths / 10), list, { increment: nm(0.1) });
        const values = found.ok ? found.stages.map((s) => (s.to === 'torque' ? s.torque.value : 0)) : [];
        values.forEach((value, i) => {
          expect(value).toBeGreaterThan(values[i - 1] ?? 0);
          expect(Math.abs(value - (tenths / 10) * ((list[i] ?? 0) / 100))).toBeLessThanOrEqual(0.0500001);
        });
        expect(values.at(-1) ?? tenths / 10).toBe(tenths / 10);
      }),
    );
  });

  test('without an increment a torque stays as it is', () => {
    expect(settable(nm(7.7586), undefined)).toEqual(nm(7.7586));
    expect(settable(nm(7.7586), nm(0.2))).toEqual(nm(7.8));
  });
});

describe('published figures of wrenches', () => {
  test('TRQ-017, TRQ-018: 4 % above 10 N·m, 6 % up to it (ISO 6789 in a tool manual; read)', () => {
    expect(deviationPercent(nm(10))).toEqual({ ok: true, percent: rowOf('TRQ-018').value });
    expect(deviationPercent(nm(10.1))).toEqual({ ok: true, percent: rowOf('TRQ-017').value });
    expect(deviationPercent({ value: 88, unit: 'lbf·in' })).toEqual({ ok: true, percent: 6 });
    expect(deviationPercent({ value: 1, unit: 'kg' })).toMatchObject({ ok: false, because: 'not-a-torque' });
  });

  test('TRQ-019: another standard has the same 4 % for most wrenches (calibration service page; read)', () => {
    expect(deviationPercent(nm(200))).toEqual({ ok: true, percent: rowOf('TRQ-019').value });
  });

  test('TRQ-072: thirty, sixty and a hundred per cent are three passes (gasket guide; read)', () => {
    const found = stagesOf(nm(10), rowOf('TRQ-072').value as number[]);
    expect(found).toMatchObject({
      ok: true,
      stages: [{ torque: nm(3) }, { torque: nm(6) }, { torque: nm(10) }],
    });
  });

  test('TRQ-022: without a lowest mark the range starts at 20 % (ISO 6789:2003 practice; memory)', () => {
    const [from = 0, to = 0] = rowOf('TRQ-022').value as number[];
    expect(usableRange(nm(100))).toEqual({ ok: true, range: { from: nm(from), to: nm(to) } });
  });

  const wrench = (change: Partial<Wrench>): Wrench => ({
    id: 'W1',
    range: { from: nm(5), to: nm(25) },
    dueOn: '2026-03-10',
    cycles: null,
    overload: null,
    lever: null,
    deviationPercent: null,
    out: null,
    ...change,
  });

  test.each(checked.dues)('$id: the wrench is $value ($source; $basis)', (row) => {
    const { first_use, cycles, on } = row.inputs as { first_use: string; cycles: number; on: string };
    const due = judgeInDate({ testedOn: first_use, intervalMonths: 12, on });
    if (!due.ok) throw new Error(due.because);
    const faultsOn = (today: string) => {
      const need = { torques: [nm(9)], tolerance: null, today } as const;
      const found = wrenchFor(wrench({ dueOn: due.dueOn, cycles: { done: cycles, most: 5000 } }), need);
      return 'faults' in found ? found.faults : [];
    };
    const wanted = { 'in date': [], 'due (cycles)': ['cycles-used-up'], 'due (time)': [] };
    // What is due by time is due on its last good day, and refused from the next.
    expect(faultsOn(on)).toEqual(wanted[row.value as keyof typeof wanted]);
    expect(due.state).toBe(row.value === 'due (time)' ? 'due' : 'in-date');
    expect(faultsOn(addDays(due.dueOn, 1))).toContain('calibration-due');
  });

  test('TRQ-025: an overload of more than 25 % calls for calibration (calibration service page; read)', () => {
    const need = { torques: [nm(9)], tolerance: null, today: '2026-01-01' } as const;
    const most = 25 * (1 + Number(rowOf('TRQ-025').value) / 100);
    expect(wrenchFor(wrench({ overload: nm(most) }), need)).toMatchObject({ ok: true });
    expect(wrenchFor(wrench({ overload: nm(most + 0.1) }), need)).toMatchObject({ faults: ['overloaded'] });
  });
});
