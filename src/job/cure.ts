import { curePathMm } from '../trade/cure.js';
import { RELEASES, type Release, releaseAt, releaseDepths } from '../trade/release.js';
import { valueIn } from '../units/quantity.js';
import type { Unit } from '../units/unit.js';
import type { Job } from './job.js';

/** The release that a clock's figure names: `cure-drive` is `drive`. Null for any other figure. */
export function releaseOf(figure: string): Release | null {
  return RELEASES.find((release) => figure === `cure-${release}`) ?? null;
}

/**
 * When the bead of this job may be handled, leak-tested or driven, in ms since 1970, from its data sheet, its
 * path and the air logged so far; never earlier than `announcedMs`. Null when the data are missing or the air is
 * outside what the model holds for: then the cure cannot be computed and the job is on hold.
 */
export function releaseInstant(
  job: Job,
  release: Release,
  startMs: number,
  announcedMs: number | null,
): number | null {
  const bead = beadOf(job);
  if (bead === null) return null;
  const depths = releaseDepths(bead.pathMm, {
    handle: { pathFraction: bead.parts.handle },
    test: { pathFraction: bead.parts.test },
    drive: { pathFraction: bead.parts.drive },
  });
  if (!depths.ok) return null;
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
  return at.ok ? at.atMs : null;
}

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
