import { curePathMm } from '../trade/cure.js';
import { RELEASES, type Release, releaseAt, releaseDepths } from '../trade/release.js';
import { valueIn } from '../units/quantity.js';
import type { Unit } from '../units/unit.js';
import type { Stopped } from './event.js';
import type { Job } from './job.js';

/** The release that a clock's figure names: `cure-drive` is `drive`. Null for any other figure. */
export function releaseOf(figure: string): Release | null {
  return RELEASES.find((release) => figure === `cure-${release}`) ?? null;
}

/** An instant, or why there is none: air out of range with since when, or data that are missing or beyond the model. */
export type ReleaseFound =
  | { readonly ok: true; readonly atMs: number }
  | { readonly ok: false; readonly stopped: Stopped | null };

/** As `findRelease`; null when there is no instant. */
export function releaseInstant(
  job: Job,
  release: Release,
  startMs: number,
  announcedMs: number | null,
): number | null {
  const found = findRelease(job, release, startMs, announcedMs);
  return found.ok ? found.atMs : null;
}

/**
 * When the bead of this job may be handled, leak-tested or driven, in ms since 1970, from its data sheet, its
 * path and the air logged so far; never earlier than `announcedMs`. None while the air is outside what the model holds
 * for: the bead does not cure, and counts on with the next air in range.
 */
export function findRelease(
  job: Job,
  release: Release,
  startMs: number,
  announcedMs: number | null,
): ReleaseFound {
  const bead = beadOf(job);
  if (bead === null) return NOT_KNOWN;
  const depths = releaseDepths(bead.pathMm, {
    handle: { pathFraction: bead.parts.handle },
    test: { pathFraction: bead.parts.test },
    drive: { pathFraction: bead.parts.drive },
  });
  if (!depths.ok) return NOT_KNOWN;
  const since = startMs - PLANNED_MS;
  const log = job.air
    .filter((air) => air.at >= since)
    .map((air) => ({ atMs: air.at, celsius: air.celsius, percentRh: air.percentRh }));
  const at = releaseAt({
    depthMm24h: bead.depthMm24h,
    ...depths.depths[release],
    startMs,
    log,
    announcedMs,
  });
  if (at.ok) return { ok: true, atMs: at.atMs };
  return at.sinceMs === undefined
    ? NOT_KNOWN
    : { ok: false, stopped: { because: at.because, since: at.sinceMs } };
}

const NOT_KNOWN: ReleaseFound = { ok: false, stopped: null };

/** The air read for the plan counts; what was read for a bead that has come off again does not. */
const PLANNED_MS = 2 * 3_600_000;

type Bead = {
  readonly depthMm24h: number;
  readonly pathMm: number;
  readonly parts: Readonly<Record<Release, number>>;
};

/** The bead as the register and the data sheet describe it; null while a value of it is missing. */
export function beadOf(job: Job): Bead | null {
  const number = (key: string, unit: Unit): number | null => {
    const quantity = job.values[key]?.quantity ?? null;
    return quantity === null ? null : valueIn(quantity, unit);
  };
  const depthMm24h = number('sealant.depth-24h', 'mm');
  const width = number('vehicle.bead-width', 'mm');
  const faces = job.values['vehicle.bead-faces']?.text === '2' ? 2 : 1;
  const [handle, test, drive] = RELEASES.map((release) => number(`sealant.${release}-part`, '%'));
  if (depthMm24h === null || width === null) return null;
  if (handle === undefined || test === undefined || drive === undefined) return null;
  if (handle === null || test === null || drive === null) return null;
  const pathMm = curePathMm(width, faces);
  if (typeof pathMm !== 'number') return null;
  return { depthMm24h, pathMm, parts: { handle: handle / 100, test: test / 100, drive: drive / 100 } };
}
