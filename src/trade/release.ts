/**
 * When a sealed cover may be handled, leak-tested and driven: three releases, each a cured depth (`cure.ts`)
 * and, where the data sheet has one, a shortest time. The later of the two rules.
 *
 * No forecast is sunny. What is still to come is taken at the WORST (slowest) air logged so far; what is past is
 * taken from the log only where readings follow each other closely, each stretch at the worse of its two ends,
 * and at the worst of the whole log anywhere else. With no log at all 10 C and 50 % RH are assumed (judgement,
 * no source). A reading that turns out worse, or a further one worse than all before, never gives an earlier
 * instant; a better one may, and for that an instant once announced never comes forward.
 *
 * Air outside what the model holds for (`CURE_AIR`) counts as no cure: from the entry before it, since nobody knows when
 * the air went out of range, until the first entry back in range. While the last entry is out of range there is no
 * instant at all.
 */
import {
  type CureRefusal,
  cureRate,
  DAY_MS,
  LONGEST_DAYS,
  LOWER_BOUND_CELSIUS,
  referenceMsToDepth,
} from './cure.js';
import type { Air } from './moist-air.js';
import { type Refused, refuse } from './refused.js';

export const RELEASES = ['handle', 'test', 'drive'] as const;
export type Release = (typeof RELEASES)[number];

/** A cured depth in mm, or a share of the path (1 is cured through). From the data sheet or the vehicle's maker. */
export type RequiredCure = ({ readonly depthMm: number } | { readonly pathFraction: number }) & {
  readonly shortestMs?: number;
};

export type ReleaseDepths = Readonly<
  Record<Release, { readonly depthMm: number; readonly shortestMs: number }>
>;

/**
 * The three required depths in mm, handle <= test <= drive. Valid: above zero, not deeper than the path
 * (`curePathMm`), shortest times zero or more. Refuses an order that would drive before it may be handled.
 */
export function releaseDepths(
  pathMm: number,
  required: Readonly<Record<Release, RequiredCure>>,
):
  | { readonly ok: true; readonly depths: ReleaseDepths }
  | Refused<'not-positive' | 'deeper-than-path' | 'out-of-order'> {
  if (!(Number.isFinite(pathMm) && pathMm > 0)) return refuse('not-positive', 'pathMm', pathMm, 0);
  const depth = (release: Release) => {
    const wanted = required[release];
    const depthMm = 'depthMm' in wanted ? wanted.depthMm : wanted.pathFraction * pathMm;
    return { depthMm, shortestMs: wanted.shortestMs ?? 0 };
  };
  const depths: ReleaseDepths = { handle: depth('handle'), test: depth('test'), drive: depth('drive') };
  let before = { depthMm: 0, shortestMs: 0 };
  for (const release of RELEASES) {
    const { depthMm, shortestMs } = depths[release];
    if (!(depthMm > 0 && shortestMs >= 0)) return refuse('not-positive', release, depthMm, 0);
    if (depthMm > pathMm * (1 + 1e-12)) return refuse('deeper-than-path', release, depthMm, pathMm);
    if (depthMm < before.depthMm || shortestMs < before.shortestMs)
      return refuse('out-of-order', release, depthMm, before.depthMm);
    before = { depthMm, shortestMs };
  }
  return { ok: true, depths };
}

export type AirReading = Air & { readonly atMs: number };

/** Assumed when nothing was logged. Judgement, no source. */
export const UNLOGGED_AIR: Air = { celsius: 10, percentRh: 50 };
/** Readings further apart than this are not a continuous log. Common practice, no source. */
export const LOG_GAP_MS = 2 * 3_600_000;

export type ReleaseAt = {
  readonly ok: true;
  readonly atMs: number;
  /** What `atMs` rests on, for the post and the record. */
  readonly assumed: 'no-log' | 'worst-air-throughout' | 'logged-then-worst-air';
  readonly worstAir: Air;
  readonly ruledBy: 'depth' | 'shortest-time' | 'announced';
  /** Colder than 10 C somewhere: the model gives a lower bound, so the test bead must decide. */
  readonly lowerBound: boolean;
  /** Null without a log. Ask for a reading before releasing: air after this instant was assumed. */
  readonly lastReadingMs: number | null;
};

/** `sinceMs` with air out of range: from when on the bead does not cure. */
export type ReleaseRefusal = (CureRefusal | Refused<'bad-time'>) & { readonly sinceMs?: number };

/**
 * The instant at which a bead laid at `startMs` has cured to `depthMm`. Readings may come in any order; those
 * before the start count for the worst air only. `announcedMs` is the instant told before, or null: the result is
 * never earlier. Valid: a last entry within 5 to 40 C and 20 to 90 % RH, else refused with its fault and since when;
 * at most 21 days.
 */
export function releaseAt(asked: {
  readonly depthMm24h: number;
  readonly depthMm: number;
  readonly shortestMs?: number;
  readonly startMs: number;
  readonly log: readonly AirReading[];
  readonly announcedMs: number | null;
  readonly gapMs?: number;
}): ReleaseAt | ReleaseRefusal {
  const { depthMm24h, depthMm, startMs, announcedMs, shortestMs = 0, gapMs = LOG_GAP_MS } = asked;
  const neededMs = referenceMsToDepth(depthMm24h, depthMm);
  if (typeof neededMs !== 'number') return neededMs;
  for (const [what, ms] of [
    ['startMs', startMs],
    ['shortestMs', shortestMs],
    ['gapMs', gapMs],
  ] as const)
    if (!Number.isFinite(ms) || (what !== 'startMs' && ms < 0)) return refuse('bad-time', what, ms, 0);

  if (announcedMs !== null && !Number.isFinite(announcedMs))
    return refuse('bad-time', 'announcedMs', announcedMs);

  const rated = rateLog(asked.log);
  if (!Array.isArray(rated)) return rated;
  const assumedRate = cureRate(UNLOGGED_AIR);
  if (typeof assumedRate !== 'number') return assumedRate;
  const inRange = rated.filter((reading) => reading.rate > 0);
  const worst = inRange.reduce<Rated>(
    (slow, next) => (next.rate < slow.rate ? next : slow),
    inRange[0] ?? {
      ...UNLOGGED_AIR,
      atMs: startMs,
      rate: assumedRate,
    },
  );

  const walked = walk(rated, startMs, gapMs, worst.rate, neededMs);
  const byDepthMs = Math.ceil(walked.atMs);
  if (byDepthMs - startMs > LONGEST_DAYS * DAY_MS)
    return refuse('beyond-21-days', 'depthMm', depthMm, LONGEST_DAYS * DAY_MS);
  const byTimeMs = startMs + shortestMs;
  const atMs = Math.max(byDepthMs, byTimeMs, announcedMs ?? byDepthMs);
  const ruledBy = atMs === byDepthMs ? 'depth' : atMs === byTimeMs ? 'shortest-time' : 'announced';
  const last = rated.at(-1);
  const assumed =
    last === undefined ? 'no-log' : walked.usedLog ? 'logged-then-worst-air' : 'worst-air-throughout';
  const lowerBound = rated.some((reading) => reading.celsius < LOWER_BOUND_CELSIUS);
  const worstAir: Air = { celsius: worst.celsius, percentRh: worst.percentRh };
  return { ok: true, atMs, assumed, worstAir, ruledBy, lowerBound, lastReadingMs: last?.atMs ?? null };
}

type Rated = AirReading & { readonly rate: number };

function rateLog(log: readonly AirReading[]): Rated[] | ReleaseRefusal {
  const rated: Rated[] = [];
  let out: ReleaseRefusal | null = null;
  let outSince: number | null = null;
  for (const reading of log.toSorted((a, b) => a.atMs - b.atMs)) {
    if (!Number.isFinite(reading.atMs)) return refuse('bad-time', 'atMs', reading.atMs);
    const rate = cureRate(reading);
    const cures = typeof rate === 'number';
    if (cures) outSince = null;
    else outSince ??= reading.atMs;
    out = cures ? null : { ...rate, sinceMs: outSince ?? reading.atMs };
    rated.push({ ...reading, rate: cures ? rate : 0 });
  }
  return out ?? rated;
}

/**
 * Walks the log from the start, spending the reference time that is needed; the rest runs at the worst rate. A stretch
 * with an end out of range adds nothing.
 */
function walk(rated: readonly Rated[], startMs: number, gapMs: number, worstRate: number, neededMs: number) {
  let [atMs, leftMs, usedLog] = [startMs, neededMs, false];
  let before: Rated | null = null;
  for (const reading of rated) {
    if (reading.atMs > startMs) {
      // A first reading soon after the start still leaves the start itself unlogged: worst air until then.
      const close = before !== null && reading.atMs - before.atMs <= gapMs;
      const slower = before === null ? reading.rate : Math.min(before.rate, reading.rate);
      const rate = close || slower === 0 ? slower : worstRate;
      const gainMs = (reading.atMs - atMs) * rate;
      if (gainMs >= leftMs) return { atMs: atMs + leftMs / rate, usedLog: usedLog || close };
      leftMs -= gainMs;
      atMs = reading.atMs;
      usedLog ||= close;
    }
    before = reading;
  }
  return { atMs: atMs + leftMs / worstRate, usedLog };
}

/**
 * All three releases at once, each with the instant announced before. When one is refused, all are: a bead whose
 * cure cannot be computed is on hold as a whole.
 */
export function releasesAt(asked: {
  readonly depthMm24h: number;
  readonly depths: ReleaseDepths;
  readonly startMs: number;
  readonly log: readonly AirReading[];
  readonly announcedMs: Readonly<Record<Release, number | null>>;
  readonly gapMs?: number;
}): { readonly ok: true; readonly releases: Readonly<Record<Release, ReleaseAt>> } | ReleaseRefusal {
  const at = (release: Release) =>
    releaseAt({ ...asked, ...asked.depths[release], announcedMs: asked.announcedMs[release] });
  const [handle, test, drive] = [at('handle'), at('test'), at('drive')];
  if (!handle.ok) return handle;
  if (!test.ok) return test;
  if (!drive.ok) return drive;
  return { ok: true, releases: { handle, test, drive } };
}
