import type { Flow } from '../flow/flow.js';
import type { Car, Due, GearUsed, Value } from '../job/event.js';
import type { Job } from '../job/job.js';
import { labelOf, stepOf } from '../talk/phrase.js';
import { absences } from './absent.js';
import { type Cure, cureOf } from './cure.js';
import { type Gate, gatesOf } from './gates.js';
import { type Holding, holdersOf, type StageTime, stagesOf, standbysOf } from './hours.js';
import { type Incident, incidentsOf } from './incidents.js';
import type { RecordLine } from './line.js';
import { type Finding, findingsOf, type ReadingRow, readingsOf } from './readings.js';
import { type StepDone, stepsOf } from './steps.js';
import { type WatchedThing, watchedOf } from './watched.js';

/** All that a job's journal tells, in the order in which somebody asks for it years later. */
export type Summary = {
  readonly job: string;
  readonly number: string;
  readonly flow: string;
  readonly title: string;
  /** Hash of the flow, the hazard table and the engine's format that the job ran on. */
  readonly bundle: string;
  readonly bay: string;
  readonly car: Car;
  readonly startedAt: number;
  readonly endedAt: number | null;
  readonly outcome: 'done' | 'called-off' | 'under-way';
  readonly holders: readonly Holding[];
  readonly standbys: readonly Holding[];
  readonly gates: readonly Gate[];
  readonly readings: readonly ReadingRow[];
  /** What was watched until it settled: a spill, a vacuum, a level. */
  readonly watched: readonly WatchedThing[];
  /** Choices, serials, batches, dates, counts, texts and photos, as they were given. */
  readonly findings: readonly Finding[];
  /** What was written down of the old part: the steps that handled it. */
  readonly oldPart: readonly Finding[];
  /** Values of the vehicle, the shop, the sealant and the lift that the job ran on. */
  readonly values: readonly { readonly key: string; readonly value: Value }[];
  readonly cure: Cure;
  /** Every visit to a step with its evidence, in order. */
  readonly steps: readonly StepDone[];
  /** Holds, stops, refusals, corrections, lapses, looks, notes, parks, catch-ups, in the order they happened. */
  readonly incidents: readonly Incident[];
  readonly gear: readonly GearUsed[];
  readonly stages: readonly StageTime[];
  /** Openings left when the record was made. */
  readonly open: readonly string[];
  readonly due: readonly Due[];
  /** Warnings that stood with what was proved. */
  readonly warnings: readonly string[];
  /** What was not proved, or not witnessed by the bot. */
  readonly absent: readonly string[];
};

/** The record of a job from the lines of its journal; `job` is their fold. Pure, and the same for the same lines. */
export function summaryOf(job: Job, flow: Flow, lines: readonly RecordLine[]): Summary {
  const readings = readingsOf(flow, lines);
  const findings = findingsOf(lines);
  const gates = gatesOf(job, flow, lines, readings, findings);
  const watched = watchedOf(flow, lines);
  return {
    job: job.id,
    number: job.number,
    flow: flow.id,
    title: flow.title,
    bundle: job.bundle,
    bay: job.bay,
    car: job.car,
    startedAt: job.startedAt,
    endedAt: job.endedAt,
    outcome: job.mode === 'done' || job.mode === 'called-off' ? job.mode : 'under-way',
    holders: holdersOf(job, lines),
    standbys: standbysOf(job, flow, lines),
    gates,
    readings,
    watched,
    findings,
    oldPart: findings.filter((finding) => stepOf(flow, finding.step)?.hazard === 'article'),
    values: Object.entries(job.values).map(([key, value]) => ({ key, value })),
    cure: cureOf(job, flow, lines),
    steps: stepsOf(job, lines, { flow, readings, findings, watched }),
    incidents: incidentsOf(job, flow, lines),
    gear: gearOf(job, lines),
    stages: stagesOf(flow, lines),
    open: flow.rules.facts
      .filter((fact) => fact.opening && (job.facts[fact.id]?.value ?? 'gone') !== 'gone')
      .map((fact) => labelOf(flow, fact.id)),
    due: job.due,
    warnings: warningsIn(flow, lines),
    absent: absences(job, flow, lines),
  };
}

/** Every piece that was used in evidence, as it was when it was used last. */
function gearOf(job: Job, lines: readonly RecordLine[]): readonly GearUsed[] {
  const used = new Map<string, GearUsed>(Object.entries(job.gear));
  for (const event of lines.flatMap((line) => line.events)) {
    if (event.type === 'step-completed') for (const gear of event.gear) used.set(gear.id, gear);
    if (event.type === 'answered' && event.answer.ask === 'gear') {
      for (const gear of event.answer.gear) used.set(gear.id, gear);
    }
  }
  return [...used.values()].sort((a, b) => (a.id < b.id ? -1 : 1));
}

function warningsIn(flow: Flow, lines: readonly RecordLine[]): readonly string[] {
  const made = lines.flatMap((line) =>
    line.events.flatMap((event) =>
      event.type === 'step-completed' ? event.changes.filter((change) => change.to === 'stands') : [],
    ),
  );
  return [...new Set(made.flatMap((change) => flow.facts.get(change.fact)?.warning ?? []))];
}
