/**
 * How long the bead may lie open before the cover must be down, and whether the work fits.
 *
 * open = data sheet's open (skin) time x min(1, rho_ref / rho) x min(1, 2^((23 - T) / 10)): a skin forms faster
 * in moister air and in warmer air. Both factors are common practice, no source (the second is the rule of thumb
 * that a reaction doubles in 10 K); taken together they err on the short side. Never longer than the data sheet:
 * cold, dry air is not credited. The time runs from the FIRST drop, not from the end of the bead.
 */
import { type CureAirRefusal, cureRate, REFERENCE_AIR } from './cure.js';
import type { Air } from './moist-air.js';
import { notPositive, type Refused, refuse } from './refused.js';

/** Part of the open time kept in hand. Common practice, no source. */
export const OPEN_TIME_MARGIN_FRACTION = 0.2;

export type OpenTimeRefusal = CureAirRefusal | Refused<'not-positive'>;

/** Open time in minutes in this air. Valid: 5 to 40 C, 20 to 90 % RH, data sheet's figure above zero. */
export function openMinutesIn(sheetOpenMinutes: number, air: Air): number | OpenTimeRefusal {
  const fault = notPositive({ sheetOpenMinutes });
  if (fault !== null) return fault;
  const rate = cureRate(air);
  if (typeof rate !== 'number') return rate;
  const warmth = 2 ** ((REFERENCE_AIR.celsius - air.celsius) / 10);
  return sheetOpenMinutes * Math.min(1, 1 / rate) * Math.min(1, warmth);
}

export type CoverPlan = {
  readonly layMinutes: number;
  readonly fitMinutes: number;
  readonly firstPassMinutes: number;
};

export type PlanJudgement = {
  readonly ok: true;
  readonly fits: boolean;
  readonly openMinutes: number;
  readonly neededMinutes: number;
  /** Open time less margin less what is needed; below zero it does not fit. */
  readonly spareMinutes: number;
};

/**
 * Does laying, fitting and the first tightening pass fit into the open time with the margin kept? Asked before
 * the cartridge is opened. Valid: each duration above zero; margin from 0 up to (not including) 1.
 */
export function judgeCoverPlan(asked: {
  readonly sheetOpenMinutes: number;
  readonly air: Air;
  readonly plan: CoverPlan;
  readonly marginFraction?: number;
}): PlanJudgement | OpenTimeRefusal | Refused<'bad-margin'> {
  const { sheetOpenMinutes, air, plan, marginFraction = OPEN_TIME_MARGIN_FRACTION } = asked;
  if (!(marginFraction >= 0 && marginFraction < 1))
    return refuse('bad-margin', 'marginFraction', marginFraction);
  const { layMinutes, fitMinutes, firstPassMinutes } = plan;
  const fault = notPositive({ layMinutes, fitMinutes, firstPassMinutes });
  if (fault !== null) return fault;
  const openMinutes = openMinutesIn(sheetOpenMinutes, air);
  if (typeof openMinutes !== 'number') return openMinutes;
  const neededMinutes = layMinutes + fitMinutes + firstPassMinutes;
  const usableMinutes = openMinutes * (1 - marginFraction);
  // Strictly inside even with no margin: the bead must not skin at the moment the pass ends.
  const fits = neededMinutes <= usableMinutes && neededMinutes < openMinutes;
  return { ok: true, fits, openMinutes, neededMinutes, spareMinutes: usableMinutes - neededMinutes };
}
