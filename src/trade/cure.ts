/**
 * How deep a one-part, moisture-curing sealant has cured.
 *
 * z = k sqrt(t rho / rho_ref): a sharp front fed with water vapour through the rubber that has already cured
 * (square-root law: Comyn, Int. J. Adhesion and Adhesives 18 (1998), from memory beyond its abstract). rho is the
 * water content of the air, rho_ref that of 23 C and 50 % RH, k the data sheet's depth after 24 h in that air.
 * Over changing air the SQUARES add: z^2 = k^2 sum(dt rho / rho_ref).
 *
 * Valid: 5 to 40 C, 20 to 90 % RH, up to 10 mm and 21 days (judgement, no source); outside it refuses. The model
 * leaves out that the reaction itself slows in the cold: below 10 C its times are lower bounds.
 */
import { type Air, absoluteHumidity } from './moist-air.js';
import { notPositive, type Refused, refuse } from './refused.js';

export const DAY_MS = 86_400_000;
export const CURE_AIR = { leastCelsius: 5, mostCelsius: 40, leastRh: 20, mostRh: 90 } as const;
export const REFERENCE_AIR: Air = { celsius: 23, percentRh: 50 };
export const DEEPEST_MM = 10;
export const LONGEST_DAYS = 21;
/** Below this the times are lower bounds. Judgement, no source. */
export const LOWER_BOUND_CELSIUS = 10;

export type CureAirRefusal = Refused<'too-cold' | 'too-warm' | 'too-dry' | 'too-moist'>;
export type CureRefusal = CureAirRefusal | Refused<'not-positive' | 'too-deep' | 'beyond-21-days'>;

/**
 * rho / rho_ref, the pace at which the square of the depth grows; 1 at 23 C and 50 % RH.
 * Valid: 5 to 40 C, 20 to 90 % RH; a value that is no number is refused as too cold or too dry.
 */
export function cureRate({ celsius, percentRh }: Air): number | CureAirRefusal {
  const { leastCelsius, mostCelsius, leastRh, mostRh } = CURE_AIR;
  if (!(celsius >= leastCelsius)) return refuse('too-cold', 'celsius', celsius, leastCelsius);
  if (!(celsius <= mostCelsius)) return refuse('too-warm', 'celsius', celsius, mostCelsius);
  if (!(percentRh >= leastRh)) return refuse('too-dry', 'percentRh', percentRh, leastRh);
  if (!(percentRh <= mostRh)) return refuse('too-moist', 'percentRh', percentRh, mostRh);
  const [here, reference] = [absoluteHumidity({ celsius, percentRh }), absoluteHumidity(REFERENCE_AIR)];
  if (typeof here !== 'number') return here;
  if (typeof reference !== 'number') return reference;
  return here / reference;
}

/** A stretch of time in one air. */
export type CureSegment = Air & { readonly durationMs: number };

/**
 * Depth in mm after one or more stretches, one open face. `depthMm24h` is the data sheet's depth in 24 h at 23 C
 * and 50 % RH: the lower end where it gives a range. Never multiply that figure by days: at one week a straight
 * line overstates the depth 2.6 times. Valid: 21 days in all; a result past 10 mm is an extrapolation, and no release
 * is ever computed for such a depth.
 */
export function cureDepthMm(depthMm24h: number, segments: readonly CureSegment[]): number | CureRefusal {
  const fault = notPositive({ depthMm24h });
  if (fault !== null) return fault;
  let [days, effectiveDays] = [0, 0];
  for (const segment of segments) {
    const rate = cureRate(segment);
    if (typeof rate !== 'number') return rate;
    if (!(segment.durationMs >= 0)) return refuse('not-positive', 'durationMs', segment.durationMs, 0);
    days += segment.durationMs / DAY_MS;
    effectiveDays += (segment.durationMs / DAY_MS) * rate;
  }
  if (days > LONGEST_DAYS)
    return refuse('beyond-21-days', 'durationMs', days * DAY_MS, LONGEST_DAYS * DAY_MS);
  return depthMm24h * Math.sqrt(effectiveDays);
}

/**
 * The square of the depth as time at the reference air: t_ref = 24 h (z / k)^2, in ms. Divide by `cureRate` for
 * the time in another air. Valid: depths above zero, up to 10 mm.
 */
export function referenceMsToDepth(depthMm24h: number, depthMm: number): number | CureRefusal {
  const fault = notPositive({ depthMm24h, depthMm });
  if (fault !== null) return fault;
  if (depthMm > DEEPEST_MM) return refuse('too-deep', 'depthMm', depthMm, DEEPEST_MM);
  return DAY_MS * (depthMm / depthMm24h) ** 2;
}

/** Time in ms to a depth in one steady air, rounded up. Refuses more than 21 days. */
export function msToDepth(depthMm24h: number, depthMm: number, air: Air): number | CureRefusal {
  const rate = cureRate(air);
  if (typeof rate !== 'number') return rate;
  const referenceMs = referenceMsToDepth(depthMm24h, depthMm);
  if (typeof referenceMs !== 'number') return referenceMs;
  const ms = Math.ceil(referenceMs / rate);
  return ms > LONGEST_DAYS * DAY_MS
    ? refuse('beyond-21-days', 'depthMm', depthMm, LONGEST_DAYS * DAY_MS)
    : ms;
}

/**
 * How far the front has to go until the bead is cured through. Under a cover the air enters from the edges, so
 * the path is the bead's WIDTH as squeezed: all of it from one open edge, half from two. A doubt is one.
 */
export const curePathMm = (beadWidthMm: number, openFaces: 1 | 2): number | Refused<'not-positive'> =>
  notPositive({ beadWidthMm }) ?? beadWidthMm / openFaces;
