import { ln } from '../talk/line.js';
import { minutes, spaced } from '../talk/phrase.js';
import type { Line } from '../talk/post.js';
import type { StageTime } from './hours.js';

/** The time that the stages of a flow usually take, worked and without waiting, in ms, by stage. */
export type Usual = ReadonlyMap<string, number>;

/** So few jobs say nothing about what is usual. Common practice, no source. */
const FEWEST_JOBS = 3;
/** Off the usual by less than this is as usual: a quarter of it, and ten minutes. Common practice, no source. */
const OFF_SHARE = 0.25;
const OFF_MS = 10 * 60_000;

/** The median of each stage over the last jobs of a flow; stages that too few of them had are left out. */
export function usualOf(jobs: readonly { readonly stages: readonly StageTime[] }[]): Usual {
  const times = new Map<string, number[]>();
  for (const { stage, workedMs } of jobs.flatMap(({ stages }) => stages)) {
    times.set(stage, [...(times.get(stage) ?? []), workedMs]);
  }
  return new Map(
    [...times].flatMap(([stage, all]) => (all.length < FEWEST_JOBS ? [] : [[stage, median(all)] as const])),
  );
}

function median(values: readonly number[]): number {
  const sorted = values.toSorted((a, b) => a - b);
  const low = sorted[Math.floor((sorted.length - 1) / 2)] ?? 0;
  const high = sorted[Math.ceil((sorted.length - 1) / 2)] ?? 0;
  return (low + high) / 2;
}

/** Time of a job by stage against the usual, in one line; the stages furthest off are named. Null without any time. */
export function againstUsual(stages: readonly StageTime[], usual: Usual): Line | null {
  const worked = stages.filter(({ workedMs }) => workedMs >= 60_000);
  if (worked.length === 0) return null;
  const total = worked.reduce((sum, { workedMs }) => sum + workedMs, 0);
  const known = worked.filter(({ stage }) => usual.has(stage));
  if (known.length === 0) return ln`worked ${span(total)}; nothing to compare it with yet`;
  const off = known
    .map(({ stage, workedMs }) => ({ stage, workedMs, usualMs: usual.get(stage) ?? 0 }))
    .filter(({ workedMs, usualMs }) => {
      const by = Math.abs(workedMs - usualMs);
      return by >= OFF_MS && by >= OFF_SHARE * usualMs;
    })
    .toSorted((a, b) => Math.abs(b.workedMs - b.usualMs) - Math.abs(a.workedMs - a.usualMs));
  if (off.length === 0) return ln`worked ${span(total)}, each stage as usual`;
  const named = off
    .slice(0, 3)
    .map(({ stage, workedMs, usualMs }) => `${spaced(stage)} ${span(workedMs)} (usual ${span(usualMs)})`);
  return ln`worked ${span(total)}; ${named.join(', ')}`;
}

const span = (ms: number) => minutes(ms / 60_000);
