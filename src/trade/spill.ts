/**
 * What runs out into a marked tray, read now and then until it has died away.
 *
 * The tray is empty at the first reading but for what ran into it. It may be emptied in between: what was in it still
 * counts. Volumes in ml, instants in ms since 1970, rates in ml/min.
 */
import { type Refused, refuse } from './refused.js';

/** One reading of the tray, as it was said. */
export type TrayReading = { readonly atMs: number } & (
  | { readonly is: 'stands'; readonly ml: number }
  /** Came in since the reading before. */
  | { readonly is: 'added'; readonly ml: number }
  /** Stood at this when it was emptied; null when nobody has read it. */
  | { readonly is: 'emptied'; readonly ml: number | null }
  | { readonly is: 'nothing-more' }
);

/** What had run out in all by one reading. `unread`: what came since the reading before nobody knows. */
export type SpillPoint = { readonly atMs: number; readonly totalMl: number; readonly unread: boolean };

export type Spill = {
  readonly ok: true;
  /** One for each reading, in their order. */
  readonly points: readonly SpillPoint[];
  /** Everything that was read, emptied trays included: at least this has run out. */
  readonly totalMl: number;
  /** What stands in the tray now. */
  readonly standsMl: number;
  /** How often the tray was emptied without being read. */
  readonly unread: number;
};

export const SPILL_REFUSALS = ['not-a-volume', 'went-down', 'out-of-order'] as const;
export type SpillRefusal = (typeof SPILL_REFUSALS)[number];

/**
 * Adds up the readings at a tray. A tray does not lose anything by itself: a reading below the one before without an
 * emptying is refused, `limit` being what stood there. Readings must come in the order of their instants.
 */
export function spillOf(readings: readonly TrayReading[]): Spill | Refused<SpillRefusal> {
  const points: SpillPoint[] = [];
  let emptiedMl = 0;
  let standsMl = 0;
  let unread = 0;
  for (const reading of readings) {
    const before = points.at(-1);
    if (before !== undefined && reading.atMs < before.atMs)
      return refuse('out-of-order', 'atMs', reading.atMs, before.atMs);
    const ml = 'ml' in reading ? reading.ml : null;
    if (ml !== null && !(Number.isFinite(ml) && ml >= 0)) return refuse('not-a-volume', 'ml', ml, 0);
    if (reading.is === 'stands' || (reading.is === 'emptied' && reading.ml !== null)) {
      const stood = reading.ml ?? 0;
      if (stood < standsMl) return refuse('went-down', 'ml', stood, standsMl);
      standsMl = stood;
    } else if (reading.is === 'added') standsMl += reading.ml;
    const lost = reading.is === 'emptied' && reading.ml === null;
    points.push({ atMs: reading.atMs, totalMl: emptiedMl + standsMl, unread: lost });
    if (reading.is !== 'emptied') continue;
    if (lost) unread += 1;
    emptiedMl += standsMl;
    standsMl = 0;
  }
  return { ok: true, points, totalMl: emptiedMl + standsMl, standsMl, unread };
}

/** What came between two readings that have time between them. */
export type Interval = { readonly minutes: number; readonly ml: number; readonly mlPerMin: number };

/** The intervals between the readings, the last last; none over a tray that was emptied unread. */
export function intervalsOf(points: readonly SpillPoint[]): readonly Interval[] {
  let found: Interval[] = [];
  let from = points[0];
  for (const point of points.slice(1)) {
    if (from === undefined || point.unread) {
      // What came before cannot be compared with what comes after.
      from = point;
      found = [];
      continue;
    }
    const minutes = (point.atMs - from.atMs) / 60_000;
    if (minutes <= 0) continue;
    const ml = point.totalMl - from.totalMl;
    found.push({ minutes, ml, mlPerMin: ml / minutes });
    from = point;
  }
  return found;
}

/** The readings since the rate last rose, or stayed, by more than a reading can be off. */
export function fallingPart(points: readonly SpillPoint[], errorMl: number): readonly SpillPoint[] {
  let from = 0;
  let before: Interval | undefined;
  points.forEach((point, at) => {
    const start = points[at - 1];
    const minutes = start === undefined ? 0 : (point.atMs - start.atMs) / 60_000;
    if (start === undefined || minutes <= 0) return;
    const ml = point.totalMl - start.totalMl;
    const interval = { minutes, ml, mlPerMin: ml / minutes };
    if (before !== undefined && interval.mlPerMin >= before.mlPerMin && ml > errorMl) from = at - 1;
    before = interval;
  });
  return points.slice(from);
}

export type SpillLimits = {
  /** Less than this is no leak any more. */
  readonly stillMlPerMin: number;
  /** For at least this long. */
  readonly stillMinutes: number;
  /** How far a reading of the tray may be off. */
  readonly errorMl: number;
};

/** Where the shop has set nothing. Common practice, no source. */
export const SPILL_LIMITS: SpillLimits = { stillMlPerMin: 2, stillMinutes: 5, errorMl: 10 };

/** A fall of less than this part over three intervals is none. Common practice, no source. */
const LEAST_FALL = 0.1;

export type SpillVerdict = 'settled' | 'running' | 'not-falling';

/**
 * What the last readings say. `settled`: over the last readings, at least `stillMinutes` apart, less than `stillMlPerMin`
 * came, and no more than that in the last interval. `not-falling`: the last interval brought more than a reading can be off, at a rate not below that of the one
 * before, or not a tenth below that of two before. Else `running`.
 */
export function judgeSpill(points: readonly SpillPoint[], limits: SpillLimits): SpillVerdict {
  const intervals = intervalsOf(points);
  const last = intervals.at(-1);
  if (last === undefined) return 'running';
  if (last.mlPerMin < limits.stillMlPerMin) {
    let [minutes, ml] = [0, 0];
    for (const one of intervals.toReversed()) {
      minutes += one.minutes;
      ml += one.ml;
      if (minutes < limits.stillMinutes) continue;
      return ml / minutes < limits.stillMlPerMin ? 'settled' : 'running';
    }
    return 'running';
  }
  if (last.ml <= limits.errorMl) return 'running';
  const [first, before] = [intervals.at(-3), intervals.at(-2)];
  if (before === undefined) return 'running';
  if (last.mlPerMin >= before.mlPerMin) return 'not-falling';
  const hardly = first !== undefined && last.mlPerMin > (1 - LEAST_FALL) * first.mlPerMin;
  return hardly ? 'not-falling' : 'running';
}
