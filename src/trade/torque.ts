/**
 * What to dial on a torque wrench, and what a reported value is worth.
 *
 *     setting = T · L / (L + E · cos θ)
 *
 * T wanted at the fastener, L grip centre to drive centre, E drive centre to fastener centre, θ between the adapter and
 * the lever: 0° in line (largest correction), 90° none, 180° folded back. Source: US Army TM 9-254, statics. Holds for a
 * hand at the middle of the grip pulling square to the lever. Figures for a bolt always come from its maker, never from
 * here.
 */
import { type Quantity, valueIn } from '../units/quantity.js';
import { dimensionOf, UNITS, type Unit } from '../units/unit.js';
import { type Refused, refuse } from './refused.js';

/** Adapter angle is 0 (in line) where it is not given. */
export type Lever = { readonly lengthMm: number; readonly adapterMm: number; readonly angleDeg?: number };

/** From the lowest to the highest torque allowed, both included. */
export type Band = { readonly from: Quantity; readonly to: Quantity };

/** How far the maker lets a torque stray: per cent of it, or so much up and down. */
export type Tolerance = { readonly percent: number } | { readonly by: Quantity };

export type TorqueRefused = Refused<'not-a-torque' | 'not-positive'>;
export type LeverRefused = Refused<'bad-lever' | 'bad-angle' | 'arm-too-short'>;
export type ToleranceRefused = Refused<'bad-tolerance'>;

/** Common practice, no source: a folded-back adapter may not take more than half of the lever away. */
const SHORTEST_ARM = 0.5;

/**
 * What to dial for `target` at the fastener, in the target's unit; `factor` is setting / target.
 * Valid: a torque above 0, a lever length above 0, an adapter of 0 or more, 0 to 180°, and at least half of the lever
 * left where the adapter folds back.
 */
export function wrenchSetting(
  target: Quantity,
  lever: Lever,
): { readonly ok: true; readonly setting: Quantity; readonly factor: number } | TorqueRefused | LeverRefused {
  const fault = torqueFault('target', target);
  if (fault) return fault;
  const arm = armOf(lever);
  if (!arm.ok) return arm;
  return {
    ok: true,
    setting: { value: tidy(target.value / arm.ratio), unit: target.unit },
    factor: tidy(1 / arm.ratio),
  };
}

/** What the fastener gets when `setting` is dialled with this lever: the same formula the other way round. */
export function torqueAtFastener(
  setting: Quantity,
  lever: Lever,
): { readonly ok: true; readonly torque: Quantity } | TorqueRefused | LeverRefused {
  const fault = torqueFault('setting', setting);
  if (fault) return fault;
  const arm = armOf(lever);
  if (!arm.ok) return arm;
  return { ok: true, torque: { value: tidy(setting.value * arm.ratio), unit: setting.unit } };
}

/**
 * The band that a tolerance leaves around a torque, in the torque's unit: T (1 ± p/100) or T ± so much.
 * Valid: a tolerance of 0 or more that is smaller than the torque itself.
 */
export function toleranceBand(
  target: Quantity,
  tolerance: Tolerance,
): { readonly ok: true; readonly band: Band } | TorqueRefused | ToleranceRefused {
  const fault = torqueFault('target', target);
  if (fault) return fault;
  const { value, unit } = target;
  if ('by' in tolerance && !isTorque(tolerance.by)) return refuse('bad-tolerance', 'by', tolerance.by.value);
  const stray = 'by' in tolerance ? valueIn(tolerance.by, unit) : (value * tolerance.percent) / 100;
  if (!(stray >= 0 && stray < value)) return refuse('bad-tolerance', 'tolerance', tidy(stray), value);
  const [from, to] = [tidy(value - stray), tidy(value + stray)];
  return { ok: true, band: { from: { value: from, unit }, to: { value: to, unit } } };
}

export type TorqueJudged = {
  readonly ok: true;
  readonly verdict: 'in-band' | 'too-low' | 'too-high';
  readonly band: Band;
  /** The one torque unit in which the same number would have been in band, if there is one: a likely slip of the unit. */
  readonly looksLike: Unit | null;
};

/**
 * A reported torque against the maker's target and tolerance. The limits themselves pass. Says nothing of the wrench's
 * own deviation: the maker's tolerance covers it, and `wrenchFor` refuses a wrench too coarse for it.
 */
export function judgeTorque(
  reported: Quantity,
  target: Quantity,
  tolerance: Tolerance,
): TorqueJudged | TorqueRefused | ToleranceRefused {
  const allowed = toleranceBand(target, tolerance);
  if (!allowed.ok) return allowed;
  const fault = torqueFault('reported', reported);
  if (fault) return fault;
  const { band } = allowed;
  const verdict = sideOf(reported, band);
  if (verdict === 'in-band') return { ok: true, verdict, band, looksLike: null };
  const slips = UNITS.filter(
    (unit) => dimensionOf(unit) === 'torque' && sideOf({ value: reported.value, unit }, band) === 'in-band',
  );
  return { ok: true, verdict, band, looksLike: slips.length === 1 ? (slips[0] ?? null) : null };
}

/** One pass over all bolts: to a torque, or on by an angle after the last torque. */
export type Stage =
  | { readonly to: 'torque'; readonly percent: number; readonly torque: Quantity }
  | { readonly to: 'angle'; readonly angle: Quantity };

export type StagesRefused = Refused<
  'bad-stages' | 'bad-angle' | 'bad-increment' | 'increment-too-coarse' | 'final-not-settable'
>;

/**
 * The passes of a staged tightening: rising per cents of the target, the last 100 (30, 60, 100 in a public gasket
 * guide), then an angle where the maker asks one (above 0, up to 360°). With an increment each pass is the nearest
 * torque that the wrench can be set to, and the last must lie within the tolerance, or be the target itself where no
 * tolerance is given. A pass that the increment would swallow or make a repeat of the one before is refused. Rounds
 * what the fastener is to get: with an adapter, round the setting instead (`settable`).
 */
export function stagesOf(
  target: Quantity,
  percents: readonly number[],
  how: { readonly increment?: Quantity; readonly tolerance?: Tolerance; readonly angle?: Quantity } = {},
):
  | { readonly ok: true; readonly stages: readonly Stage[] }
  | TorqueRefused
  | ToleranceRefused
  | StagesRefused {
  const fault = torqueFault('target', target);
  if (fault) return fault;
  const { increment, tolerance, angle } = how;
  if (increment && torqueFault('increment', increment)) {
    return refuse('bad-increment', 'increment', increment.value, 0);
  }
  const falls = percents.find((percent, i) => !(percent > (percents[i - 1] ?? 0)));
  if (falls !== undefined) return refuse('bad-stages', 'percents', falls);
  if (percents.at(-1) !== 100) return refuse('bad-stages', 'percents', percents.at(-1) ?? null, 100);
  const stages: Stage[] = [];
  let last = 0;
  for (const percent of percents) {
    const torque = settable({ value: (target.value * percent) / 100, unit: target.unit }, increment);
    if (torque.value <= last)
      return refuse('increment-too-coarse', 'percents', percent, increment?.value ?? null);
    last = torque.value;
    stages.push({ to: 'torque', percent, torque });
  }
  const allowed = tolerance ? toleranceBand(target, tolerance) : null;
  if (allowed && !allowed.ok) return allowed;
  const band = allowed?.band ?? { from: target, to: target };
  if (sideOf({ value: last, unit: target.unit }, band) !== 'in-band') {
    return refuse('final-not-settable', 'target', last, target.value);
  }
  if (!angle) return { ok: true, stages };
  if (angle.unit !== '°' || !(angle.value > 0 && angle.value <= 360)) {
    return refuse('bad-angle', 'angle', angle.value, 360);
  }
  return { ok: true, stages: [...stages, { to: 'angle', angle }] };
}

/** The setting nearest to a torque that a wrench with this increment has, in the torque's unit; 0 where that is none. */
export function settable(torque: Quantity, increment: Quantity | undefined): Quantity {
  if (!increment) return { value: tidy(torque.value), unit: torque.unit };
  const steps = Math.round(tidy(valueIn(torque, increment.unit) / increment.value));
  const nearest = { value: steps * increment.value, unit: increment.unit };
  return { value: tidy(valueIn(nearest, torque.unit)), unit: torque.unit };
}

/** Which side of a band a torque lies on. The limits are in the band. */
export function sideOf(torque: Quantity, band: Band): TorqueJudged['verdict'] {
  const value = tidy(valueIn(torque, 'N·m'));
  if (value < tidy(valueIn(band.from, 'N·m'))) return 'too-low';
  return value > tidy(valueIn(band.to, 'N·m')) ? 'too-high' : 'in-band';
}

/** Why a quantity cannot be a torque to tighten to, or null. */
export function torqueFault(what: string, q: Quantity): TorqueRefused | null {
  if (!isTorque(q)) return refuse('not-a-torque', what, q.unit);
  return q.value > 0 ? null : refuse('not-positive', what, q.value, 0);
}

function isTorque(q: Quantity): boolean {
  return dimensionOf(q.unit) === 'torque' && Number.isFinite(q.value);
}

/** Effective arm over lever length. */
function armOf({ lengthMm, adapterMm, angleDeg = 0 }: Lever): { ok: true; ratio: number } | LeverRefused {
  if (!(Number.isFinite(lengthMm) && lengthMm > 0)) return refuse('bad-lever', 'lengthMm', lengthMm, 0);
  if (!(Number.isFinite(adapterMm) && adapterMm >= 0)) return refuse('bad-lever', 'adapterMm', adapterMm, 0);
  if (!(angleDeg >= 0 && angleDeg <= 180)) return refuse('bad-angle', 'angleDeg', angleDeg, 180);
  const ratio = tidy((lengthMm + adapterMm * Math.cos((angleDeg * Math.PI) / 180)) / lengthMm);
  return ratio < SHORTEST_ARM
    ? refuse('arm-too-short', 'adapterMm', adapterMm, lengthMm / 2)
    : { ok: true, ratio };
}

/** Takes the dust of binary arithmetic off, so that a value on a limit is on it. */
function tidy(value: number): number {
  return Number(value.toPrecision(12));
}
