import type { Step } from '../flow/flow.js';
import { addMonths } from '../trade/dates.js';
import { type Order, orderOf, PATTERNS } from '../trade/pattern.js';
import type { Refused } from '../trade/refused.js';
import { type Stage, stagesOf, type Tolerance } from '../trade/torque.js';
import { type Fit, type Unfit, wrenchFor } from '../trade/wrench.js';
import { type Quantity, valueIn } from '../units/quantity.js';
import { dimensionOf } from '../units/unit.js';
import type { Job } from './job.js';
import { keyOf, valueOfRef } from './value.js';
import type { Gear } from './world.js';

/** What a tightening step comes to with the values of this car and the wrench in use. */
export type TightenPlan = {
  readonly torque: Quantity;
  readonly bolts: number;
  readonly order: Order;
  /** Passes of this step only, as the fastener gets them and as the wrench is set. */
  readonly stages: readonly {
    readonly percent: number;
    readonly torque: Quantity;
    readonly setting: Quantity | null;
  }[];
  readonly wrench: { readonly id: string; readonly label: string } | null;
  /** On by so much after the last pass, where the profile says so and that pass belongs to this step. */
  readonly angle?: Quantity;
};

/** Staged in public gasket guidance (30, 60, 100 %); the profile's own stages come first. */
const STAGES = [30, 60, 100];

/**
 * The passes of a tightening step, bolts in order, with what to set on the wrench. Null while a value is missing or
 * the profile's stages or pattern make no sense; the profile's own order of bolts, as numbers, wins over a pattern.
 */
export function tightenPlan(job: Job, step: Step, wrench: Gear | null): TightenPlan | null {
  if (step.tighten === null) return null;
  const torque = valueOfRef(job, step.tighten.torque);
  const bolts = boltsOf(job, step);
  const order = bolts === null ? null : orderOfBolts(job, step, bolts);
  if (torque === null || bolts === null || order === null) return null;
  const angle = job.values[`${keyOf(step.tighten.torque)}-angle`]?.quantity ?? null;
  const staged = stagesOf(torque, percentsOf(job, step), angle === null ? {} : { angle });
  if (!staged.ok) return null;
  const all = staged.stages.filter((stage): stage is Stage & { to: 'torque' } => stage.to === 'torque');
  const { stage } = step.tighten;
  const mine = stage === 'first' ? all.slice(0, 1) : stage === 'rest' ? all.slice(1) : all;
  const [first, ...rest] = mine.map((one) => one.torque);
  if (first === undefined) return null;
  const fit = wrench === null ? null : fitOf(wrench, [first, ...rest], '0001-01-01', null);
  return {
    torque,
    bolts,
    order,
    stages: mine.map((one, at) => ({
      percent: one.percent,
      torque: one.torque,
      setting: fit?.ok === true ? onScale(fit.settings[at], wrench) : null,
    })),
    wrench: wrench === null ? null : { id: wrench.id, label: wrench.label },
    ...(angle === null || stage === 'first' ? {} : { angle }),
  };
}

/** A wrench is dialled in its own unit. Four figures: nearer than any wrench can be set. */
function onScale(setting: Quantity | undefined, wrench: Gear | null): Quantity | null {
  const unit = wrench?.range?.to.unit ?? null;
  if (setting === undefined) return null;
  const scale = unit === null || dimensionOf(unit) !== 'torque' ? setting.unit : unit;
  return { value: Number(valueIn(setting, scale).toPrecision(4)), unit: scale };
}

/** How many bolts the layout has, from the profile; null when it does not say. */
export function boltsOf(job: Job, step: Step): number | null {
  if (step.tighten === null) return null;
  const value = job.values[keyOf(step.tighten.bolts)];
  const count = value?.quantity?.value ?? Number(value?.text ?? Number.NaN);
  return Number.isInteger(count) && count > 0 ? count : null;
}

function orderOfBolts(job: Job, step: Step, bolts: number): Order | null {
  const text = step.tighten === null ? null : (job.values[keyOf(step.tighten.pattern)]?.text ?? null);
  if (text === null) return null;
  const pattern = PATTERNS.find((known) => known === text.trim().toLowerCase());
  if (pattern !== undefined) {
    const ordered = orderOf(pattern, bolts);
    return ordered.ok ? ordered.order : null;
  }
  const own = text.split(/[\s,-]+/).map(Number);
  const whole = own.length === bolts && new Set(own).size === bolts && own.every((n) => n >= 1 && n <= bolts);
  return whole ? own : null;
}

function percentsOf(job: Job, step: Step): readonly number[] {
  if (step.tighten === null) return STAGES;
  const text = job.values[`${keyOf(step.tighten.torque)}-stages`]?.text ?? null;
  if (text === null) return STAGES;
  const own = text
    .split(/[\s,/%]+/)
    .filter((part) => part !== '')
    .map(Number);
  return own.length > 0 && own.every(Number.isFinite) ? own : STAGES;
}

/** The maker's tolerance on the torque of a step; null where the profile has none. */
export function toleranceOf(job: Job, step: Step): Tolerance | null {
  if (step.tighten === null) return null;
  const percent = job.values[`${keyOf(step.tighten.torque)}-tolerance`]?.quantity ?? null;
  return percent === null ? null : { percent: valueIn(percent, '%') };
}

/** Whether a wrench of the register is fit for these torques on that day. */
export function fitOf(
  gear: Gear,
  torques: readonly [Quantity, ...Quantity[]],
  today: string,
  tolerance: Tolerance | null,
): Fit | Unfit | Refused<string> {
  const { range, lever, cycles } = gear;
  return wrenchFor(
    {
      id: gear.id,
      range: range ?? { from: { value: 0, unit: 'N·m' }, to: { value: 0, unit: 'N·m' } },
      dueOn: addMonths(gear.tested, gear.months),
      cycles,
      overload: null,
      lever: lever === null ? null : { lengthMm: lever.lengthMm, adapterMm: lever.adapterMm },
      deviationPercent: null,
      out: gear.out,
    },
    { torques, tolerance, today },
  );
}
