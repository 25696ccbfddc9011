/**
 * Is the lift table up to the part, and what does each corner carry?
 *
 *     corner = P/4 · (1 ± ex/a) · (1 ± ey/b)
 *
 * Rigid plate on four equal supports, a common approximation; a and b are half the support's length and width, ex and ey
 * how far the centre of gravity lies from its middle.
 */
import { notPositive, type Refused, refuse } from './refused.js';

/** Above this share of its rating a table is worth a word. Common practice, no source. */
const NEAR_RATING = 0.8;

/** Share of the rating that a load takes. Refused above 1; `near` above 0.8. Both above 0 kg. */
export function tableUse(asked: {
  readonly loadKg: number;
  readonly ratingKg: number;
}):
  | { readonly ok: true; readonly share: number; readonly near: boolean }
  | Refused<'not-positive' | 'over-rating'> {
  const fault = notPositive(asked);
  if (fault) return fault;
  const share = asked.loadKg / asked.ratingKg;
  if (share > 1) return refuse('over-rating', 'loadKg', asked.loadKg, asked.ratingKg);
  return { ok: true, share, near: share > NEAR_RATING };
}

export type Corners = { readonly ok: true; readonly kg: readonly [number, number, number, number] };

/**
 * Load on the corners (+x +y, +x −y, −x +y, −x −y). Refused `tips` when the centre of gravity reaches the edge of the
 * supports: a corner would lift. Load and half sizes above 0.
 */
export function cornerLoads(asked: {
  readonly loadKg: number;
  readonly halfLengthM: number;
  readonly halfWidthM: number;
  readonly exM: number;
  readonly eyM: number;
}): Corners | Refused<'not-positive' | 'tips'> {
  const { loadKg, halfLengthM, halfWidthM, exM, eyM } = asked;
  const fault = notPositive({ loadKg, halfLengthM, halfWidthM });
  if (fault) return fault;
  if (!(Math.abs(exM) < halfLengthM)) return refuse('tips', 'exM', exM, halfLengthM);
  if (!(Math.abs(eyM) < halfWidthM)) return refuse('tips', 'eyM', eyM, halfWidthM);
  const [x, y] = [exM / halfLengthM, eyM / halfWidthM];
  const corner = (alongX: number, alongY: number) => (loadKg / 4) * (1 + alongX) * (1 + alongY);
  return { ok: true, kg: [corner(x, y), corner(x, -y), corner(-x, y), corner(-x, -y)] };
}
