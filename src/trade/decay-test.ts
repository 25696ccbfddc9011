/**
 * The low-pressure tightness test of an enclosure, judged from gauge readings.
 *
 * The gauge pressures become absolute by the air pressure at each reading, the second is brought to the temperature of the
 * first (`leak.ts`), and the drop left over is held against the maker's limit. Start pressure, time and limit are the
 * maker's: no standard gives a limit for enclosures. Over-pressure only; a test under vacuum is refused. The gas must have
 * one temperature, so wait after filling; air from a hose is warm.
 */
import { pressureAt } from './leak.js';
import { notPositive, type Refused, refuse } from './refused.js';

/** What was read at one moment. */
export type DecayReading = {
  readonly gaugePa: number;
  readonly gasC: number;
  /** Of the air in the workshop, absolute, at the same moment. */
  readonly airPaAbs: number;
};

/** What the enclosure's maker asks. */
export type DecayLimit = {
  readonly startPa: { readonly from: number; readonly to: number };
  readonly seconds: number;
  readonly mostDropPa: number;
};

export const DECAY_REFUSALS = [
  'not-positive',
  'bad-start-band',
  'test-cannot-fail',
  'bad-air-pressure',
  'temperature-out-of-range',
  'looks-absolute',
  'start-too-low',
  'start-too-high',
  'bad-reading',
  'read-too-early',
  'read-too-late',
  'temperature-moved',
  'thermometer-too-coarse',
  'pressure-rose',
] as const;
export type DecayRefusal = (typeof DECAY_REFUSALS)[number];

export type DecayJudged = {
  readonly ok: true;
  readonly verdict: 'tight' | 'leaks';
  /** What the gauge lost, before anything is taken off. */
  readonly rawDropPa: number;
  /** How much of it temperature made; negative when warming hid a loss. */
  readonly thermalPa: number;
  /** How much of it the air outside made. */
  readonly airPa: number;
  /** What is left: gas lost. */
  readonly dropPa: number;
  /** How far one kelvin moves the pressure. */
  readonly paPerK: number;
};

/** Air pressure from 4,000 m up to a record high: outside it the unit or the kind is wrong. From memory. */
const AIR_PA = { from: 60_000, to: 110_000 };
/** Gas in a workshop. Common practice, no source. */
const GAS_C = { from: -20, to: 60 };
/** A larger change means that the gas has no one temperature and the correction is a guess. Common practice, no source. */
export const MOST_CHANGE_K = 2;

/**
 * Tight when the compensated drop is at most the limit. Refused, with the bound missed, when the test says nothing:
 * gauge mistaken for absolute, start outside the maker's band, a limit that even a hole would keep, read before the time
 * or so late that a good one fails, temperature moved by more than `mostChangeK` (2 K), a thermometer whose error alone
 * is worth the limit, or a pressure that rose by more than the limit.
 */
export function judgeDecay(asked: {
  readonly first: DecayReading;
  readonly second: DecayReading;
  readonly seconds: number;
  readonly limit: DecayLimit;
  readonly thermometerErrorK: number;
  readonly mostChangeK?: number;
}): DecayJudged | Refused<DecayRefusal> {
  const { first, second, seconds, limit, thermometerErrorK, mostChangeK = MOST_CHANGE_K } = asked;
  const fault =
    limitFault(limit) ??
    readingFault('first', first, limit) ??
    startFault(first, limit) ??
    readingFault('second', second, limit) ??
    notPositive({ seconds, mostChangeK });
  if (fault) return fault;
  if (!(thermometerErrorK >= 0)) return refuse('bad-reading', 'thermometerErrorK', thermometerErrorK, 0);
  if (seconds < limit.seconds) return refuse('read-too-early', 'seconds', seconds, limit.seconds);
  const changeK = second.gasC - first.gasC;
  if (Math.abs(changeK) > mostChangeK) return refuse('temperature-moved', 'changeK', changeK, mostChangeK);

  const p1 = first.gaugePa + first.airPaAbs;
  const p2 = second.gaugePa + second.airPaAbs;
  const back = pressureAt(p2, second.gasC + 273.15, first.gasC + 273.15);
  const start = pressureAt(p1, first.gasC + 273.15, first.gasC + 273.15);
  if (!back.ok) return refuse('bad-reading', 'second', p2, 0);
  if (!start.ok) return refuse('bad-reading', 'first', p1, 0);
  // Two readings of one thermometer: the error counts once, as a drift between them.
  const blurPa = start.paPerK * thermometerErrorK;
  if (blurPa >= limit.mostDropPa) return refuse('thermometer-too-coarse', 'blurPa', blurPa, limit.mostDropPa);
  // A hole leaves the air outside behind; where cooling is credited, even that may look like a small drop.
  const openDropPa = tidy(p1 - second.airPaAbs * (back.paAbs / p2));
  if (openDropPa <= limit.mostDropPa)
    return refuse('test-cannot-fail', 'openDropPa', openDropPa, limit.mostDropPa);
  const dropPa = tidy(p1 - back.paAbs);
  if (dropPa < -limit.mostDropPa) return refuse('pressure-rose', 'dropPa', dropPa, -limit.mostDropPa);
  const late = dropPa > limit.mostDropPa && (dropPa * limit.seconds) / seconds <= limit.mostDropPa;
  if (late) return refuse('read-too-late', 'seconds', seconds, limit.seconds);
  return {
    ok: true,
    verdict: dropPa <= limit.mostDropPa ? 'tight' : 'leaks',
    rawDropPa: tidy(first.gaugePa - second.gaugePa),
    thermalPa: tidy(back.paAbs - p2),
    airPa: tidy(second.airPaAbs - first.airPaAbs),
    dropPa,
    paPerK: start.paPerK,
  };
}

function limitFault({ startPa, seconds, mostDropPa }: DecayLimit): Refused<DecayRefusal> | null {
  const fault = notPositive({ from: startPa.from, to: startPa.to, limitSeconds: seconds, mostDropPa });
  if (fault) return fault;
  if (startPa.from > startPa.to) return refuse('bad-start-band', 'from', startPa.from, startPa.to);
  // An enclosure with a hole loses its whole gauge pressure and no more.
  return mostDropPa >= startPa.from
    ? refuse('test-cannot-fail', 'mostDropPa', mostDropPa, startPa.from)
    : null;
}

function readingFault(which: string, reading: DecayReading, limit: DecayLimit): Refused<DecayRefusal> | null {
  const { gaugePa, gasC, airPaAbs } = reading;
  if (!Number.isFinite(gaugePa)) return refuse('bad-reading', `${which}.gaugePa`, gaugePa);
  if (!(airPaAbs >= AIR_PA.from))
    return refuse('bad-air-pressure', `${which}.airPaAbs`, airPaAbs, AIR_PA.from);
  if (airPaAbs > AIR_PA.to) return refuse('bad-air-pressure', `${which}.airPaAbs`, airPaAbs, AIR_PA.to);
  if (!(gasC >= GAS_C.from)) return refuse('temperature-out-of-range', `${which}.gasC`, gasC, GAS_C.from);
  if (gasC > GAS_C.to) return refuse('temperature-out-of-range', `${which}.gasC`, gasC, GAS_C.to);
  const tooMuch = gaugePa > limit.startPa.to && gaugePa >= AIR_PA.from;
  return tooMuch ? refuse('looks-absolute', `${which}.gaugePa`, gaugePa, limit.startPa.to) : null;
}

function startFault({ gaugePa }: DecayReading, { startPa }: DecayLimit): Refused<DecayRefusal> | null {
  if (gaugePa < startPa.from) return refuse('start-too-low', 'first.gaugePa', gaugePa, startPa.from);
  return gaugePa > startPa.to ? refuse('start-too-high', 'first.gaugePa', gaugePa, startPa.to) : null;
}

/** Takes the dust of binary arithmetic off, so that a drop on the limit is on it. */
function tidy(value: number): number {
  return Math.round(value * 1e6) / 1e6;
}
