/**
 * Whether what is read again and again stays: the pressure of an evacuated circuit, the level in a tank.
 *
 * Values in any one unit, `change` in the same, instants in ms since 1970, in their order. How long and how much are the
 * maker's or the workshop's; no standard gives them for a coolant circuit.
 */
export type Held = { readonly atMs: number; readonly value: number };

export type HoldingLimits = { readonly minutes: number; readonly change: number };

/** How far apart the values lie. */
export function spreadOf(readings: readonly Held[]): number {
  if (readings.length === 0) return 0;
  const values = readings.map((reading) => reading.value);
  return Math.max(...values) - Math.min(...values);
}

/**
 * Against the first reading: `lost` as soon as one lies further from it than `change`, `holds` when the last was read
 * `minutes` after it or later, `early` before.
 */
export function judgeHolding(readings: readonly Held[], limits: HoldingLimits): 'holds' | 'lost' | 'early' {
  const [first, last] = [readings[0], readings.at(-1)];
  if (first === undefined || last === undefined) return 'early';
  if (readings.some((reading) => Math.abs(reading.value - first.value) > limits.change)) return 'lost';
  return last.atMs - first.atMs >= limits.minutes * 60_000 ? 'holds' : 'early';
}

/** The readings that stillness is judged by: from the latest that is `minutes` older than the last; all where none is. */
export function judgedSpan(readings: readonly Held[], minutes: number): readonly Held[] {
  const last = readings.at(-1);
  if (last === undefined) return [];
  const from = readings.findLastIndex((reading) => last.atMs - reading.atMs >= minutes * 60_000);
  return from === -1 ? readings : readings.slice(from);
}

/** `still` when the last readings, at least `minutes` of them, lie no more than `change` apart. */
export function judgeStill(readings: readonly Held[], limits: HoldingLimits): 'still' | 'moving' {
  const last = readings.at(-1);
  if (last === undefined) return 'moving';
  const span = judgedSpan(readings, limits.minutes);
  const long = last.atMs - (span[0]?.atMs ?? last.atMs) >= limits.minutes * 60_000;
  return long && spreadOf(span) <= limits.change ? 'still' : 'moving';
}
