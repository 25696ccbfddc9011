/**
 * How much will still run out: an exponential tail through what has run out so far.
 *
 * A rate that falls in proportion to itself gives totals `a - b·exp(-k·t)`, which end at `a`. Fitted by least squares,
 * linear in `a` and `b` for each `k` (variable projection), how sure by the covariance of the fit. Textbook material on
 * non-linear least squares (Seber and Wild, Nonlinear Regression, 1989), from memory. Three equally spaced totals give
 * the end in closed form, Aitken's delta-squared process, which the test holds against it.
 */
import { type Refused, refuse } from './refused.js';
import { fallingPart, type SpillPoint } from './spill.js';

export type Tail = {
  readonly ok: true;
  /** What will have run out in the end, and within which bounds: two standard errors, never below what has. */
  readonly endMl: number;
  readonly fromMl: number;
  readonly toMl: number;
  /** Time in which the rate halves. */
  readonly halfMinutes: number;
};

export const TAIL_REFUSALS = ['too-few', 'nothing-ran', 'not-falling', 'unread', 'bad-error'] as const;
export type TailRefusal = (typeof TAIL_REFUSALS)[number];

const LEAST_READINGS = 3;
/** Slower than this over all readings, or faster than this between two, no tail can be told from a line or a step. */
const SLOWEST = 0.05;
const FASTEST = 12;
const GRID = 96;
const GOLDEN = (Math.sqrt(5) - 1) / 2;

/**
 * The tail through the readings, `errorMl` (above 0) being how far one reading may be off. Refused below three readings at
 * different times, where a tray was emptied unread, where nothing ran, and where the rate does not fall. What ran before
 * the rate rose last, or stayed, is no part of the tail.
 */
export function tailOf(points: readonly SpillPoint[], errorMl: number): Tail | Refused<TailRefusal> {
  if (!(Number.isFinite(errorMl) && errorMl > 0)) return refuse('bad-error', 'errorMl', errorMl, 0);
  if (points.slice(1).some((point) => point.unread)) return refuse('unread', 'points', null);
  const readings = apart(fallingPart(points, errorMl));
  const [first, last] = [readings[0], readings.at(-1)];
  if (first === undefined || last === undefined || readings.length < LEAST_READINGS) {
    return refuse('too-few', 'points', readings.length, LEAST_READINGS);
  }
  if (last.totalMl <= first.totalMl) return refuse('nothing-ran', 'points', last.totalMl, first.totalMl);
  const t = readings.map((reading) => (reading.atMs - first.atMs) / 60_000);
  const v = readings.map((reading) => reading.totalMl);
  const k = bestRate(t, v);
  const fit = k === null ? null : lineAt(k, t, v);
  if (k === null || fit === null || fit.b <= 0) return refuse('not-falling', 'points', k);
  const se = errorOfEnd(k, fit, t, errorMl);
  if (se === null) return refuse('not-falling', 'points', k);
  return {
    ok: true,
    endMl: Math.max(fit.a, last.totalMl),
    fromMl: Math.max(fit.a - 2 * se, last.totalMl),
    toMl: Math.max(fit.a + 2 * se, last.totalMl),
    halfMinutes: Math.LN2 / k,
  };
}

/** Of readings at one instant the last. */
function apart(points: readonly SpillPoint[]): readonly SpillPoint[] {
  return points.filter((point, at) => points[at + 1]?.atMs !== point.atMs);
}

type Line = { readonly a: number; readonly b: number; readonly squares: number };

/** The best `a - b·exp(-k·t)` for this `k`; null where the readings cannot tell `a` from `b`. */
function lineAt(k: number, t: readonly number[], v: readonly number[]): Line | null {
  const e = t.map((minutes) => Math.exp(-k * minutes));
  const [meanE, meanV] = [mean(e), mean(v)];
  let [see, sev] = [0, 0];
  e.forEach((one, at) => {
    see += (one - meanE) ** 2;
    sev += (one - meanE) * ((v[at] ?? 0) - meanV);
  });
  if (!(see > 0)) return null;
  const b = -sev / see;
  const a = meanV + b * meanE;
  const squares = e.reduce((sum, one, at) => sum + (a - b * one - (v[at] ?? 0)) ** 2, 0);
  return { a, b, squares };
}

/** The rate of decay, per minute, that fits best; null where a line or a step fits as well. */
function bestRate(t: readonly number[], v: readonly number[]): number | null {
  const gaps = t.slice(1).map((minutes, at) => minutes - (t[at] ?? 0));
  const low = Math.log(SLOWEST / (t.at(-1) ?? 1));
  const high = Math.log(FASTEST / Math.min(...gaps));
  const squares = (u: number) => lineAt(Math.exp(u), t, v)?.squares ?? Number.POSITIVE_INFINITY;
  const step = (high - low) / GRID;
  let best = 0;
  for (let at = 1; at <= GRID; at++) if (squares(low + at * step) < squares(low + best * step)) best = at;
  if (best === 0) return null;
  let [from, to] = [low + (best - 1) * step, Math.min(high, low + (best + 1) * step)];
  for (let turn = 0; turn < 80; turn++) {
    const [left, right] = [to - GOLDEN * (to - from), from + GOLDEN * (to - from)];
    if (squares(left) < squares(right)) to = right;
    else from = left;
  }
  return Math.exp((from + to) / 2);
}

/** Standard error of the end `a`: from the residuals, or from `errorMl` where that is more. Null where it has none. */
function errorOfEnd(k: number, { b, squares }: Line, t: readonly number[], errorMl: number): number | null {
  const freedom = t.length - 3;
  const variance = Math.max(errorMl ** 2, freedom > 0 ? squares / freedom : 0);
  // Columns of the derivative by a, b and k; of the inverse only its first entry is asked.
  const rows = t.map((minutes) => {
    const e = Math.exp(-k * minutes);
    return [1, -e, b * minutes * e] as const;
  });
  const n = (i: 0 | 1 | 2, j: 0 | 1 | 2) => rows.reduce((sum, row) => sum + row[i] * row[j], 0);
  const minor = n(1, 1) * n(2, 2) - n(1, 2) ** 2;
  const det =
    n(0, 0) * minor -
    n(0, 1) * (n(0, 1) * n(2, 2) - n(1, 2) * n(0, 2)) +
    n(0, 2) * (n(0, 1) * n(1, 2) - n(1, 1) * n(0, 2));
  const share = minor / det;
  return Number.isFinite(share) && share > 0 ? Math.sqrt(variance * share) : null;
}

function mean(values: readonly number[]): number {
  return values.reduce((sum, value) => sum + value, 0) / values.length;
}
