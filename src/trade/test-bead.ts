/**
 * What a test bead cut open says of the bead under the cover.
 *
 *     k = z / √(Σ Δt·ρ/ρref)                    the data sheet's depth in 24 h, worked back from a depth measured
 *
 * The square-root law of `cure.ts` turned round. The test bead was laid at the same time from the same gun and lies open to
 * the air of the bay, so it is never slower than the joint: one that has cured less than the sheet promises makes every
 * release later, one that has cured more makes none earlier. Its air is the log of the bay.
 */
import { type CureRefusal, type CureSegment, cureDepthMm } from './cure.js';
import { notPositive, type Refused, refuse } from './refused.js';

export type TestBead = {
  readonly ok: true;
  readonly outcome: 'as-the-sheet-says' | 'slower-than-the-sheet';
  /** Depth in 24 h at 23 °C and 50 % RH that this bead shows. */
  readonly measuredMm24h: number;
  /** What releases are to be computed with: the smaller of the two. */
  readonly usableMm24h: number;
};

/**
 * Valid: sheet's depth and measured depth above 0 mm; a bead not cured through (its depth smaller than its height), as one
 * cured through only shows that it was at least so fast; air and time as `cureDepthMm`, one stretch or more.
 */
export function judgeTestBead(asked: {
  readonly sheetMm24h: number;
  readonly curedMm: number;
  readonly heightMm: number;
  readonly air: readonly CureSegment[];
}): TestBead | CureRefusal | Refused<'cured-through'> {
  const { sheetMm24h, curedMm, heightMm, air } = asked;
  const fault = notPositive({ sheetMm24h, curedMm, heightMm });
  if (fault !== null) return fault;
  if (curedMm >= heightMm) return refuse('cured-through', 'curedMm', curedMm, heightMm);
  const unit = cureDepthMm(1, air);
  if (typeof unit !== 'number') return unit;
  if (unit === 0) return refuse('not-positive', 'durationMs', 0, 0);
  const measuredMm24h = curedMm / unit;
  const slower = measuredMm24h < sheetMm24h * (1 - 1e-9);
  return {
    ok: true,
    outcome: slower ? 'slower-than-the-sheet' : 'as-the-sheet-says',
    measuredMm24h,
    usableMm24h: Math.min(sheetMm24h, measuredMm24h),
  };
}
