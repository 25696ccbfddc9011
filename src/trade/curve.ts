/**
 * A smooth curve through the rows of a table that never goes up between two rows where the table goes down.
 *
 * Piecewise cubic, slopes at the rows by the weighted harmonic mean of Fritsch and Butland, SIAM J. Sci. Stat. Comput. 5
 * (1984), a third-order one-sided slope at the ends; from memory, checked against a straight line and a table in the tests.
 * Through the rows exactly, monotone where they are, no extrapolation.
 */
export type Point = { readonly x: number; readonly y: number };

/** The curve's value at `x`; null outside the rows. Valid: two or more points, x strictly rising. */
export function curveAt(points: readonly Point[], x: number): number | null {
  const right = points.findIndex((point) => point.x >= x);
  const [first, to] = [points[0], points[right]];
  if (first === undefined || to === undefined || x < first.x) return null;
  const from = points[right - 1];
  if (from === undefined || to.x === x) return to.y;
  const width = to.x - from.x;
  const t = (x - from.x) / width;
  const [slopeFrom, slopeTo] = [slopeAt(points, right - 1), slopeAt(points, right)];
  return (
    from.y * (1 + 2 * t) * (1 - t) ** 2 +
    slopeFrom * width * t * (1 - t) ** 2 +
    to.y * t ** 2 * (3 - 2 * t) +
    slopeTo * width * t ** 2 * (t - 1)
  );
}

function slopeAt(points: readonly Point[], at: number): number {
  const [before, after] = [span(points, at - 1), span(points, at)];
  if (before === null) return endSlope(after, span(points, at + 1));
  if (after === null) return endSlope(before, span(points, at - 2));
  if (before.rise * after.rise <= 0) return 0;
  const [a, b] = [2 * after.width + before.width, after.width + 2 * before.width];
  return (a + b) / (a / before.rise + b / after.rise);
}

type Span = { readonly width: number; readonly rise: number };

function span(points: readonly Point[], at: number): Span | null {
  const [from, to] = [points[at], points[at + 1]];
  if (from === undefined || to === undefined) return null;
  return { width: to.x - from.x, rise: (to.y - from.y) / (to.x - from.x) };
}

/** At an end: parabola through three rows, cut back so that the curve does not turn. */
function endSlope(near: Span | null, far: Span | null): number {
  if (near === null) return 0;
  if (far === null) return near.rise;
  const slope = ((2 * near.width + far.width) * near.rise - near.width * far.rise) / (near.width + far.width);
  if (slope * near.rise <= 0) return 0;
  return near.rise * far.rise <= 0 && Math.abs(slope) > 3 * Math.abs(near.rise) ? 3 * near.rise : slope;
}
