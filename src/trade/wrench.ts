/**
 * Whether a torque wrench is fit for a job, and which one of the cabinet is the fittest.
 *
 * Range, deviation, interval and overload: ISO 6789 as summarised in tool manuals and a calibration service's page (read
 * there, not in the standard). 12 months or 5000 cycles, whichever first, is its default only; the workshop's own
 * control takes precedence and comes with the wrench.
 */
import { type Quantity, valueIn } from '../units/quantity.js';
import { dimensionOf } from '../units/unit.js';
import { type Refused, refuse } from './refused.js';
import {
  type Band,
  type Lever,
  type LeverRefused,
  sideOf,
  type Tolerance,
  type TorqueRefused,
  toleranceBand,
  torqueFault,
  wrenchSetting,
} from './torque.js';

export type Wrench = {
  readonly id: string;
  /** From the lowest marked value to the highest (ISO 6789-1:2017; `usableRange` where no lowest is marked). */
  readonly range: Band;
  /** First day on which the calibration no longer holds, `YYYY-MM-DD`. */
  readonly dueOn: string;
  readonly cycles: { readonly done: number; readonly most: number } | null;
  /** Highest torque it has seen since calibration, where that was above its range. */
  readonly overload: Quantity | null;
  /** Lever and adapter as used for this job; null without adapter. */
  readonly lever: Lever | null;
  /** Deviation on its calibration certificate; null means that of its class. */
  readonly deviationPercent: number | null;
  /** Taken out of use, with the reason. */
  readonly out: string | null;
};

export const WRENCH_FAULTS = [
  'out-of-use',
  'calibration-due',
  'cycles-used-up',
  'overloaded',
  'bad-range',
  'bad-date',
  'bad-cycles',
  'bad-overload',
  'bad-deviation',
  'adapter-refused',
  'below-range',
  'above-range',
  'too-coarse',
] as const;
export type WrenchFault = (typeof WRENCH_FAULTS)[number];

export type Need = {
  /** Every torque the wrench is to be set to, as the fastener gets it: all stages, the last the target. */
  readonly torques: readonly [Quantity, ...Quantity[]];
  /** The maker's tolerance on the target; null when he gives none. */
  readonly tolerance: Tolerance | null;
  /** Today in the workshop's zone, `YYYY-MM-DD`. */
  readonly today: string;
};

export type Fit = {
  readonly ok: true;
  readonly wrench: Wrench;
  /** What to dial for each torque, adapter counted in. */
  readonly settings: readonly Quantity[];
  readonly deviationPercent: number;
};
export type Unfit = {
  readonly ok: false;
  readonly wrench: Wrench;
  readonly because: WrenchFault;
  /** Every fault, `because` first. */
  readonly faults: readonly WrenchFault[];
};

/** Overload beyond which a wrench is calibrated again, per cent above its highest value. Calibration service page, read. */
const OVERLOAD_PERCENT = 25;
/** Where the fittest wrench works: the middle check point of ISO 6789:2003 (20, 60, 100 %). Our choice, no source. */
const BEST_SHARE = 0.6;

/**
 * Most a setting wrench may deviate, per cent, by its highest torque: 6 up to 10 N·m, 4 above. ISO 6789, type II class
 * A, as summarised in a tool manual.
 */
export function deviationPercent(highest: Quantity): { ok: true; percent: 4 | 6 } | TorqueRefused {
  const fault = torqueFault('highest', highest);
  return fault ?? { ok: true, percent: sideOf(highest, TO_TEN) === 'too-high' ? 4 : 6 };
}
const TO_TEN: Band = { from: { value: 0, unit: 'N·m' }, to: { value: 10, unit: 'N·m' } };

/** The part of a wrench's range that counts where no lowest value is marked: 20 to 100 % (ISO 6789:2003 practice, from memory). */
export function usableRange(highest: Quantity): { ok: true; range: Band } | TorqueRefused {
  const fault = torqueFault('highest', highest);
  return (
    fault ?? { ok: true, range: { from: { value: highest.value / 5, unit: highest.unit }, to: highest } }
  );
}

/**
 * Whether a wrench is fit for every torque of the need, today; all that is wrong with it at once. The range is checked
 * on what is dialled, not on what the fastener gets. The due day is the last good day (`in-date.ts`); the cycle count is
 * used up when it is reached. Refuses a need that is no torque, or whose date is none.
 */
export function wrenchFor(
  wrench: Wrench,
  need: Need,
): Fit | Unfit | TorqueRefused | Refused<'bad-date' | 'bad-tolerance'> {
  const fault = needFault(need);
  if (fault) return fault;
  return fitness(wrench, need);
}

/**
 * The wrenches that would do, fittest first, and for the others what is wrong with them. The fittest is dialled nearest
 * to 60 % of its range for the target; equals go by id.
 */
export function chooseWrench(
  wrenches: readonly Wrench[],
  need: Need,
):
  | { readonly ok: true; readonly fit: readonly Fit[]; readonly unfit: readonly Unfit[] }
  | TorqueRefused
  | Refused<'bad-date' | 'bad-tolerance'> {
  const fault = needFault(need);
  if (fault) return fault;
  const judged = wrenches.map((wrench) => fitness(wrench, need));
  const fit = judged.filter((one) => one.ok);
  return {
    ok: true,
    fit: fit.sort((a, b) => strain(a) - strain(b) || (a.wrench.id < b.wrench.id ? -1 : 1)),
    unfit: judged.filter((one) => !one.ok),
  };
}

function fitness(wrench: Wrench, need: Need): Fit | Unfit {
  const settings = need.torques.map((torque) => dialled(torque, wrench.lever));
  const dials = settings.filter((one) => one.ok).map((one) => one.setting);
  const deviation = wrench.deviationPercent ?? classDeviation(wrench);
  const faults = [
    ...stateFaults(wrench, need.today),
    ...(dials.length < settings.length ? (['adapter-refused'] as const) : []),
    ...(rangeIsReal(wrench.range) ? rangeFaults(dials, wrench.range) : (['bad-range'] as const)),
    ...(deviation > 0 ? coarseness(deviation, need) : (['bad-deviation'] as const)),
  ];
  const because = faults[0];
  if (because !== undefined) return { ok: false, wrench, because, faults };
  return { ok: true, wrench, settings: dials, deviationPercent: deviation };
}

function stateFaults({ out, dueOn, cycles, overload, range }: Wrench, today: string): WrenchFault[] {
  const faults: WrenchFault[] = [];
  if (out !== null) faults.push('out-of-use');
  if (!isDay(dueOn)) faults.push('bad-date');
  else if (today > dueOn) faults.push('calibration-due');
  if (cycles && !(cycles.done >= 0 && cycles.most > 0)) faults.push('bad-cycles');
  else if (cycles && cycles.done >= cycles.most) faults.push('cycles-used-up');
  if (overload && torqueFault('overload', overload)) faults.push('bad-overload');
  else if (overload && rangeIsReal(range)) {
    const most = { value: range.to.value * (1 + OVERLOAD_PERCENT / 100), unit: range.to.unit };
    if (sideOf(overload, { from: TO_TEN.from, to: most }) === 'too-high') faults.push('overloaded');
  }
  return faults;
}

function rangeFaults(dials: readonly Quantity[], range: Band): WrenchFault[] {
  const sides = dials.map((dial) => sideOf(dial, range));
  return [
    ...(sides.includes('too-low') ? (['below-range'] as const) : []),
    ...(sides.includes('too-high') ? (['above-range'] as const) : []),
  ];
}

/** A wrench that may deviate more than the maker lets the joint stray cannot hold the tolerance. */
function coarseness(deviation: number, { torques, tolerance }: Need): WrenchFault[] {
  const target = torques.at(-1);
  if (!tolerance || !target) return [];
  const allowed = toleranceBand(target, tolerance);
  const own = toleranceBand(target, { percent: deviation });
  const holds = allowed.ok && own.ok && sideOf(own.band.to, allowed.band) === 'in-band';
  return holds ? [] : ['too-coarse'];
}

function dialled(
  torque: Quantity,
  lever: Lever | null,
): { ok: true; setting: Quantity } | TorqueRefused | LeverRefused {
  return lever ? wrenchSetting(torque, lever) : { ok: true, setting: torque };
}

function classDeviation({ range }: Wrench): number {
  const found = deviationPercent(range.to);
  return found.ok ? found.percent : Number.POSITIVE_INFINITY;
}

function rangeIsReal({ from, to }: Band): boolean {
  const torques = dimensionOf(from.unit) === 'torque' && torqueFault('to', to) === null;
  return torques && from.value >= 0 && valueIn(from, 'N·m') < valueIn(to, 'N·m');
}

function strain({ settings, wrench }: Fit): number {
  const last = settings.at(-1);
  if (!last) return 0;
  return Math.abs(valueIn(last, 'N·m') / valueIn(wrench.range.to, 'N·m') - BEST_SHARE);
}

function needFault(need: Need): TorqueRefused | Refused<'bad-date' | 'bad-tolerance'> | null {
  for (const torque of need.torques) {
    const fault = torqueFault('torques', torque);
    if (fault) return fault;
  }
  if (!isDay(need.today)) return refuse('bad-date', 'today', need.today);
  const target = need.torques.at(-1);
  if (!need.tolerance || !target) return null;
  const allowed = toleranceBand(target, need.tolerance);
  return allowed.ok ? null : allowed;
}

function isDay(text: string): boolean {
  return /^\d{4}-(0[1-9]|1[0-2])-(0[1-9]|[12]\d|3[01])$/.test(text);
}
