import type { Flow } from '../flow/flow.js';
import { beadOf, releaseOf } from '../job/cure.js';
import type { Job } from '../job/job.js';
import { cap } from '../talk/line.js';
import { labelOf, lasting, times } from '../talk/phrase.js';
import { releaseAt } from '../trade/release.js';
import { printNumber } from '../units/notation.js';
import { type Clock, cureOf } from './cure.js';
import type { RecordLine } from './line.js';
import type { Curve } from './picture.js';

const STEPS = 24;
const HOUR = 3_600_000;
/** The air read for the plan counts, as it does for the releases. */
const PLANNED_MS = 2 * HOUR;

/**
 * How deep the bead that lies now has cured, against hours from its first drop, by the same model and the same air as its
 * releases; with the open time, the three releases and now. Nothing while no bead cures.
 */
export function cureCurve(job: Job, flow: Flow, lines: readonly RecordLine[], now: number): readonly Curve[] {
  const bead = beadOf(job);
  const { clocks } = cureOf(job, flow, lines);
  const runs = [...flow.facts.values()].flatMap((fact) => {
    if (fact.time === null || !('from' in fact.time) || fact.time.from !== 'figure') return [];
    const run = lastRun(clocks, labelOf(flow, fact.id));
    return run === null ? [] : [{ name: fact.time.name, run }];
  });
  const cures = runs.filter(({ name }) => releaseOf(name) !== null);
  const start = cures[0]?.run.startedAt;
  if (bead === null || start === undefined) return [];
  const open = runs.find(({ name, run }) => name === 'open-time' && run.startedAt <= start)?.run ?? null;
  const zero = open?.startedAt ?? start;
  const hours = (instant: number) => Number(((instant - zero) / HOUR).toFixed(3));
  const log = job.air
    .filter((air) => air.at >= start - PLANNED_MS)
    .map(({ at, celsius, percentRh }) => ({ atMs: at, celsius, percentRh }));
  const points = [{ x: hours(start), y: 0 }];
  for (let step = 1; step <= STEPS; step++) {
    const depthMm = (bead.pathMm * step) / STEPS;
    const at = releaseAt({ depthMm24h: bead.depthMm24h, depthMm, startMs: start, log, announcedMs: null });
    if (!at.ok) return [];
    points.push({ x: hours(at.atMs), y: Number(depthMm.toFixed(3)) });
  }
  const marks = [
    ...(open === null ? [] : [{ at: hours(lastTold(open)), label: 'open time ends' }]),
    ...cures.map(({ name, run }) => ({
      at: hours(lastTold(run)),
      label: RELEASE[releaseOf(name) ?? 'drive'],
    })),
  ];
  const through = points.at(-1)?.x ?? 0;
  const told = marks.map(({ at, label }) => `${label} after ${lasting(at * HOUR)}`).join(', ');
  const air = log.length === 0 ? 'No air logged: the worst is assumed.' : `Air logged ${times(log.length)}.`;
  return [
    {
      id: 'cure',
      title: 'Sealant: how deep it has cured',
      alt: `Cured through, ${printNumber(bead.pathMm, 3)} mm, after ${lasting(through * HOUR)}. ${cap(told)}. Counted from ${open === null ? 'the cover set' : 'the first drop'}. ${air}`,
      kind: 'curve',
      x: {
        label: open === null ? 'since the cover was set' : 'since the first drop',
        unit: 'h',
        values: points.map(({ x }) => x),
      },
      series: [{ label: 'cured depth', unit: 'mm', values: points.map(({ y }) => y), dashed: true }],
      marks: now > zero && hours(now) <= through ? [...marks, { at: hours(now), label: 'now' }] : marks,
    },
  ];
}

const RELEASE = { handle: 'may be handled', test: 'may be leak-tested', drive: 'may be driven' } as const;

/** The run that counts: the newest one; a bead that came off again has none. */
function lastRun(clocks: readonly Clock[], label: string): Clock | null {
  const run = clocks.findLast((clock) => clock.label === label);
  return run === undefined || run.afreshAt !== null ? null : run;
}

function lastTold(run: Clock): number {
  return run.told.at(-1)?.instant ?? run.startedAt;
}
