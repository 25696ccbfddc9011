import { describe, expect, test } from 'vitest';
import type { Step } from '../../src/flow/flow.js';
import { emptyJob } from '../../src/job/evolve.js';
import type { Job } from '../../src/job/job.js';
import { tightenPlan } from '../../src/job/tighten.js';
import type { Gear } from '../../src/job/world.js';
import { planLines } from '../../src/talk/instruction.js';
import { parseQuantity } from '../../src/units/notation.js';

const step = (stage: 'first' | 'rest' | 'all') =>
  ({
    tighten: {
      torque: { from: 'vehicle', name: 'pack-torque' },
      bolts: { from: 'vehicle', name: 'pack-bolts' },
      pattern: { from: 'vehicle', name: 'pack-pattern' },
      stage,
    },
  }) as unknown as Step;

function jobOf(more: Readonly<Record<string, string>>): Job {
  const told = { 'pack-torque': '60 N·m', 'pack-bolts': '4 pcs', 'pack-pattern': '1 3 2 4', ...more };
  const values: Record<string, Job['values'][string]> = {};
  for (const [name, said] of Object.entries(told)) {
    const quantity = parseQuantity(said);
    const text = quantity === null ? said : null;
    values[`vehicle.${name}`] = { quantity, text, reference: 'test sheet', enteredBy: 'test' };
  }
  return { ...emptyJob('J'), values };
}

const wrench = {
  ...{
    id: 'W1',
    kind: 'wrench',
    label: 'W1',
    tested: '2026-01-01',
    months: 12,
    cycles: null,
    lever: null,
    out: null,
  },
  range: { from: { value: 20, unit: 'N·m' }, to: { value: 100, unit: 'N·m' } },
} as unknown as Gear;

const lines = (stage: 'first' | 'rest' | 'all', more: Readonly<Record<string, string>>) =>
  planLines(tightenPlan(jobOf(more), step(stage), wrench)).map((line) => JSON.stringify(line));

describe('torque and then an angle', () => {
  const angle = { 'pack-torque-angle': '90 °', 'pack-torque-stages': '50 100' };
  test('the angle comes after the last pass, in the same order', () => {
    const plan = tightenPlan(jobOf(angle), step('all'), wrench);
    expect(plan).toMatchObject({
      angle: { value: 90, unit: '°' },
      stages: [{ percent: 50 }, { percent: 100 }],
    });
    expect(lines('all', angle).at(-1)).toContain('Then on by 90 ° each, marked before: bolts 1 3 2 4');
  });
  test('a first pass alone has no angle, the rest has it', () => {
    expect(tightenPlan(jobOf(angle), step('first'), wrench)?.angle).toBeUndefined();
    expect(tightenPlan(jobOf(angle), step('rest'), wrench)?.angle).toEqual({ value: 90, unit: '°' });
    expect(lines('first', angle).join(' ')).not.toContain('on by');
  });
  test('a profile without one has none, and one that is no angle gives no plan', () => {
    expect(tightenPlan(jobOf({}), step('all'), wrench)?.angle).toBeUndefined();
    expect(tightenPlan(jobOf({ 'pack-torque-angle': '400 °' }), step('all'), wrench)).toBeNull();
    expect(tightenPlan(jobOf({ 'pack-torque-angle': '90 °C' }), step('all'), wrench)).toBeNull();
  });
});

describe('a torque in another unit than the wrench', () => {
  test('is dialled in the wrench’s own unit', () => {
    const plan = tightenPlan(
      jobOf({ 'pack-torque': '5 kgf·m', 'pack-torque-stages': '50 100' }),
      step('all'),
      wrench,
    );
    // 1 kgf·m is 9.80665 N·m.
    expect(plan?.stages.map((stage) => stage.setting)).toEqual([
      { value: 24.52, unit: 'N·m' },
      { value: 49.03, unit: 'N·m' },
    ]);
    expect(plan?.torque).toEqual({ value: 5, unit: 'kgf·m' });
  });
  test('in its own unit it stays as the sheet prints it', () => {
    const plan = tightenPlan(
      jobOf({ 'pack-torque': '60.25 N·m', 'pack-torque-stages': '100' }),
      step('all'),
      wrench,
    );
    expect(plan?.stages[0]?.setting).toEqual({ value: 60.25, unit: 'N·m' });
  });
  test('outside the range in that unit no setting is told', () => {
    expect(
      tightenPlan(jobOf({ 'pack-torque': '15 kgf·m' }), step('all'), wrench)?.stages[0]?.setting,
    ).toBeNull();
  });
});
