/**
 * Capacitors running down: how long, how much energy, and does this decay make sense.
 *
 * Formulas: V(t) = V0 exp(-t / RC); t = RC ln(V0 / V); E = C V^2 / 2 (textbook RC discharge). They hold for one
 * capacitance over one resistance with nothing feeding it. A voltage limit and an energy limit are two tests:
 * 1000 uF at 60 V still holds 1.8 J. 0.2 J: ISO 6469-4:2015, 5.2.3.1 (strictly less than).
 */
import { notPositive, type Refused, refuse } from './refused.js';

/** ISO 6469-4:2015, 5.2.3.1: low energy is strictly below this. */
export const LOW_ENERGY_JOULES = 0.2;

/** One capacitance over one resistance. Valid: both above zero. */
export type Circuit = { readonly ohms: number; readonly farads: number };

type Positive<T> = T | Refused<'not-positive'>;

/** tau = R C, in seconds. */
export const timeConstantSeconds = ({ ohms, farads }: Circuit): Positive<number> =>
  notPositive({ ohms, farads }) ?? ohms * farads;

/** E = C V^2 / 2, in joules. Valid: capacitance above zero; any finite voltage, its sign does not matter. */
export const energyJoules = (farads: number, volts: number): Positive<number> =>
  notPositive({ farads }) ??
  (Number.isFinite(volts) ? 0.5 * farads * volts ** 2 : refuse('not-positive', 'volts', volts));

/** V(t) = V0 exp(-t / RC), in volts. Valid: V0, R, C above zero; time zero or more. */
export function voltsAfter(
  asked: Circuit & { readonly startVolts: number; readonly seconds: number },
): Positive<number> {
  const { ohms, farads, startVolts, seconds } = asked;
  const fault = notPositive({ ohms, farads, startVolts });
  if (fault !== null) return fault;
  if (!(seconds >= 0)) return refuse('not-positive', 'seconds', seconds, 0);
  return startVolts * Math.exp(-seconds / (ohms * farads));
}

/** t = RC ln(V0 / V), in seconds; zero when it is already there. Valid: all above zero. */
export function secondsToVolts(
  asked: Circuit & { readonly startVolts: number; readonly targetVolts: number },
): Positive<number> {
  const { ohms, farads, startVolts, targetVolts } = asked;
  const fault = notPositive({ ohms, farads, startVolts, targetVolts });
  return fault ?? Math.max(0, ohms * farads * Math.log(startVolts / targetVolts));
}

/** Seconds until the stored energy is down to `targetJoules`: V = sqrt(2 E / C). Valid: all above zero. */
export function secondsToJoules(
  asked: Circuit & { readonly startVolts: number; readonly targetJoules: number },
): Positive<number> {
  const fault = notPositive({ farads: asked.farads, targetJoules: asked.targetJoules });
  return (
    fault ?? secondsToVolts({ ...asked, targetVolts: Math.sqrt((2 * asked.targetJoules) / asked.farads) })
  );
}

export type DischargeWait = {
  readonly ok: true;
  readonly waitMs: number;
  readonly ruledBy: 'maker' | 'computed';
  /** Null when the circuit is not known. */
  readonly computedMs: number | null;
};

/**
 * The wait before it is worth testing: the longer of the maker's and the computed one, never below the maker's.
 * There is no universal figure, so without the maker's wait it is refused, whatever the formula says.
 * Valid: maker's wait zero or more; circuit (when known) above zero. Rounded up to a whole millisecond.
 */
export function dischargeWait(asked: {
  readonly makerWaitMs: number | null;
  readonly circuit: (Circuit & { readonly startVolts: number; readonly targetVolts: number }) | null;
}): DischargeWait | Refused<'no-maker-wait' | 'not-positive'> {
  const { makerWaitMs, circuit } = asked;
  if (makerWaitMs === null || !Number.isFinite(makerWaitMs) || makerWaitMs < 0)
    return refuse('no-maker-wait', 'makerWaitMs', makerWaitMs, 0);
  if (circuit === null) return { ok: true, waitMs: makerWaitMs, ruledBy: 'maker', computedMs: null };
  const seconds = secondsToVolts(circuit);
  if (typeof seconds !== 'number') return seconds;
  const computedMs = Math.ceil(seconds * 1000);
  const longer = computedMs > makerWaitMs;
  return {
    ok: true,
    waitMs: longer ? computedMs : makerWaitMs,
    ruledBy: longer ? 'computed' : 'maker',
    computedMs,
  };
}

export type VoltsAt = { readonly atMs: number; readonly volts: number };

export type Decay =
  | {
      readonly ok: true;
      readonly shape: 'falling' | 'flattening';
      /** Fitted over all readings above the noise, tau = -1 / slope of ln|V| over time. */
      readonly tauSeconds: number;
      /** Of the last two such readings; longer than the fit when something still feeds it. */
      readonly lastTauSeconds: number;
    }
  /** Gone: the last reading is within the noise. */
  | { readonly ok: true; readonly shape: 'nil' }
  /** No fall above the noise: still connected to a source. */
  | { readonly ok: true; readonly shape: 'not-discharging' }
  /** A later reading is higher: a source, or a charge coming back out of the capacitor. Test again from the start. */
  | { readonly ok: true; readonly shape: 'rising'; readonly atMs: number; readonly byVolts: number };

export type DecayRefusal = Refused<'too-few-readings' | 'not-a-number' | 'not-in-order' | 'not-positive'>;

/** The last interval counts as flattening when its tau is this many times the fitted one. Common practice, no source. */
const FLATTENING_RATIO = 2;

/**
 * What readings over time say about a discharge. Absolute values; least squares of ln|V| against time.
 * Valid: two or more finite readings, times strictly rising, noise above zero (default 0.5 V: common practice,
 * no source). Any rise above the noise from the lowest reading so far is 'rising', however small the rest.
 */
export function judgeDecay(readings: readonly VoltsAt[], noiseVolts = 0.5): Decay | DecayRefusal {
  const fault = notPositive({ noiseVolts });
  if (fault !== null) return fault;
  let lowest = Number.POSITIVE_INFINITY;
  let before = Number.NEGATIVE_INFINITY;
  let rise: { atMs: number; byVolts: number } | null = null;
  for (const { atMs, volts } of readings) {
    if (!Number.isFinite(volts) || !Number.isFinite(atMs)) return refuse('not-a-number', 'volts', volts);
    if (atMs <= before) return refuse('not-in-order', 'atMs', atMs, before);
    before = atMs;
    const size = Math.abs(volts);
    if (rise === null && size > lowest + noiseVolts) rise = { atMs, byVolts: size - lowest };
    lowest = Math.min(lowest, size);
  }
  const [first, last] = [readings[0], readings.at(-1)];
  if (first === undefined || last === undefined || readings.length < 2)
    return refuse('too-few-readings', 'readings', readings.length, 2);
  if (rise !== null) return { ok: true, shape: 'rising', ...rise };
  if (Math.abs(last.volts) <= noiseVolts) return { ok: true, shape: 'nil' };
  if (Math.abs(first.volts) - Math.abs(last.volts) <= noiseVolts)
    return { ok: true, shape: 'not-discharging' };

  const points = readings.map(({ atMs, volts }) => ({
    seconds: (atMs - first.atMs) / 1000,
    log: Math.log(Math.abs(volts)),
  }));
  const tauSeconds = fittedTau(points);
  const lastTauSeconds = fittedTau(points.slice(-2));
  const shape = lastTauSeconds > FLATTENING_RATIO * tauSeconds ? 'flattening' : 'falling';
  return { ok: true, shape, tauSeconds, lastTauSeconds };
}

function fittedTau(points: readonly { readonly seconds: number; readonly log: number }[]): number {
  const meanSeconds = points.reduce((sum, point) => sum + point.seconds, 0) / points.length;
  let [over, under] = [0, 0];
  // Least squares: the deviations of time sum to zero, so the mean of the logarithms drops out.
  for (const { seconds, log } of points) {
    over += (seconds - meanSeconds) * log;
    under += (seconds - meanSeconds) ** 2;
  }
  // A last pair that wobbles up within the noise has no time constant: it never gets there.
  return over < 0 ? -under / over : Number.POSITIVE_INFINITY;
}

/**
 * Seconds from the last reading until `targetVolts`, by the slower of the fitted and the latest time constant.
 * Infinity when the last interval shows no fall. Zero when it is already there.
 */
export const secondsLeft = (
  decay: Extract<Decay, { tauSeconds: number }>,
  lastVolts: number,
  targetVolts: number,
): number =>
  Math.abs(lastVolts) <= targetVolts
    ? 0
    : Math.max(decay.tauSeconds, decay.lastTauSeconds) * Math.log(Math.abs(lastVolts) / targetVolts);

/** Sets further apart than this may lie on both sides of a reconnection. Common practice, no source. */
export const MOST_APART_MS = 3_600_000;
/** Nobody stands beside a car for longer on the word of two readings. Common practice, no source. */
export const LONGEST_ADVICE_SECONDS = 8 * 3600;

/**
 * Seconds from the later of two sets of readings until the slowest of them is at `targetVolts`, or null where two readings
 * do not allow to say: nothing falls, something rises, a whole set is within the limit, sets more than an hour apart, or
 * more than eight hours to go. A pair already within the limit is left out. Two readings fit any decay: it is a hint when a
 * test is worth the gloves, never a release. Valid: sets of equal length, the later one later, target above 0.
 */
export function secondsToTestAgain(
  before: { readonly atMs: number; readonly volts: readonly number[] },
  now: { readonly atMs: number; readonly volts: readonly number[] },
  targetVolts: number,
): number | null {
  if (before.volts.length !== now.volts.length || !(targetVolts > 0)) return null;
  if (!(now.atMs - before.atMs <= MOST_APART_MS)) return null;
  let longest = 0;
  for (const [at, volts] of now.volts.entries()) {
    const decay = judgeDecay([
      { atMs: before.atMs, volts: before.volts[at] ?? Number.NaN },
      { atMs: now.atMs, volts },
    ]);
    if (!decay.ok || decay.shape === 'rising') return null;
    if (Math.abs(volts) <= targetVolts) continue;
    if (decay.shape === 'nil' || decay.shape === 'not-discharging') return null;
    longest = Math.max(longest, secondsLeft(decay, volts, targetVolts));
  }
  return longest > 0 && longest <= LONGEST_ADVICE_SECONDS ? longest : null;
}
