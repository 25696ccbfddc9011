import type { Flow } from '../flow/flow.js';
import type { Job } from '../job/job.js';
import { needed } from '../job/judgement.js';
import { ranOut } from '../job/watch.js';
import { lasting, spaced } from '../talk/phrase.js';
import { SPILL_LIMITS, type SpillPoint } from '../trade/spill.js';
import { tailOf } from '../trade/tail.js';
import { printNumber } from '../units/notation.js';
import type { Curve } from './picture.js';

/** How many half-lives of the tail are drawn, in so many steps: after four, a sixteenth of it is left. */
const HALVES = 4;
const STEPS = 12;

/** What ran out of each tray that was watched, with the tail that was fitted last. */
export function coolantCurves(job: Job, flow: Flow): readonly Curve[] {
  const names = flow.steps.flatMap(({ asks }) =>
    asks.flatMap((ask) => (ask.ask === 'watch' && ask.until === 'spill-still' ? [ask.name] : [])),
  );
  return [...new Set(names)].flatMap((name) => curveOf(job, name) ?? []);
}

function curveOf(job: Job, name: string): Curve | null {
  const spill = ranOut(job, name);
  const [first, last] = [spill?.points[0], spill?.points.at(-1)];
  if (spill === null || first === undefined || last === undefined) return null;
  const minutes = (point: SpillPoint) => round((point.atMs - first.atMs) / 60_000);
  // Only what belongs to the spill that is watched now: one that had died away before is over.
  const span = spill.points.slice(job.watched[name]?.sightings.at(-1)?.from ?? 0);
  const errorMl = needed(job, 'shop.tray-error', 'ml') ?? SPILL_LIMITS.errorMl;
  const tail = drawn(span, errorMl, last, minutes(last));
  const measured = spill.points.map((point) => ({ x: minutes(point), y: round(point.totalMl) }));
  const unread = spill.unread ? ' At least: a tray was emptied unread.' : '';
  const end =
    tail === null
      ? ''
      : ` It ends at about ${ml(tail.endMl)}, between ${ml(tail.fromMl)} and ${ml(tail.toMl)}, by the fitted tail.`;
  return {
    id: `coolant-${name}`,
    title: `Run out: ${spaced(name)}`,
    alt: `${spaced(name)}: ${ml(last.totalMl)} in all after ${lasting(last.atMs - first.atMs)}, ${spill.points.length === 1 ? '1 reading' : `${spill.points.length} readings`}.${unread}${end}`,
    kind: 'curve',
    x: {
      label: 'since the first reading',
      unit: 'min',
      values: [...measured.map(({ x }) => x), ...(tail?.points ?? []).map(({ x }) => x)],
    },
    series: [
      {
        label: 'read at the tray',
        unit: 'ml',
        values: [...measured.map(({ y }) => y), ...(tail?.points ?? []).map(() => null)],
      },
      ...(tail === null
        ? []
        : [
            {
              label: 'fitted tail',
              unit: 'ml',
              values: [
                ...measured.map(({ y }, at) => (at === measured.length - 1 ? y : null)),
                ...tail.points.map(({ y }) => y),
              ],
              dashed: true,
            },
          ]),
    ],
    marks: [],
  };
}

type Drawn = {
  readonly points: readonly { readonly x: number; readonly y: number }[];
  readonly endMl: number;
  readonly fromMl: number;
  readonly toMl: number;
};

/** From the last reading on, what is still to come halves with each half-life of the tail. */
function drawn(
  points: readonly SpillPoint[],
  errorMl: number,
  last: SpillPoint,
  minutes: number,
): Drawn | null {
  const tail = tailOf(points, errorMl);
  if (!tail.ok) return null;
  const { endMl, fromMl, toMl, halfMinutes } = tail;
  const left = endMl - last.totalMl;
  const ahead = Array.from({ length: STEPS }, (_, at) => {
    const halves = (HALVES * (at + 1)) / STEPS;
    return { x: round(minutes + halves * halfMinutes), y: round(endMl - left * 2 ** -halves) };
  });
  return { points: ahead, endMl, fromMl, toMl };
}

function ml(value: number): string {
  return `${printNumber(Math.round(value), 6)} ml`;
}

function round(value: number): number {
  return Number(value.toFixed(2));
}
