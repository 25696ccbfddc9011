import type { Flow } from '../flow/flow.js';
import type { Event } from '../job/event.js';
import type { Job } from '../job/job.js';
import { bare, stopped } from '../talk/line.js';
import { dangerName, labelOf, labelsOf, spaced, stepOf, titleOf } from '../talk/phrase.js';
import { reasonText, verdictText } from '../talk/verdict.js';
import { type StageTime, stagesOf } from './hours.js';
import type { RecordLine } from './line.js';
import { findingsOf } from './readings.js';

/** What one job adds to a day: only what fell into it, but for the stages, which are the job's own. */
export type JobTally = {
  readonly job: string;
  readonly number: string;
  readonly bay: string;
  readonly registration: string;
  readonly flow: string;
  readonly endedAt: number | null;
  readonly how: 'done' | 'called-off' | null;
  /** Openings that were left when it ended. */
  readonly leftOpen: readonly string[];
  readonly holds: readonly Held[];
  /** Gates that were refused, by their step, and how often. */
  readonly refused: readonly { readonly gate: string; readonly times: number }[];
  readonly findings: readonly { readonly at: number; readonly what: string }[];
  /** Parts and batches that were written down, each name once, as it was said last. */
  readonly used: readonly { readonly name: string; readonly text: string }[];
  /** Clocks that came to their end. */
  readonly ended: readonly { readonly label: string; readonly at: number }[];
  readonly stages: readonly StageTime[];
};

export type Held = {
  readonly at: number;
  readonly stop: boolean;
  readonly by: string | null;
  /** Empty while nobody has said why. */
  readonly why: string;
  /** When it was released; null while it stands. */
  readonly releasedAt: number | null;
};

/** After `from`, up to `until`, ms since 1970. */
export type Span = { readonly from: number; readonly until: number };

/** What a job's journal tells of a span of time. `job` is the fold of all its lines. */
export function tallyOf(job: Job, flow: Flow, lines: readonly RecordLine[], span: Span): JobTally {
  const within = (at: number) => span.from < at && at <= span.until;
  const own = lines.filter((line) => within(line.at));
  const ended = job.endedAt !== null;
  return {
    job: job.id,
    number: job.number,
    bay: job.bay,
    registration: job.car.registration,
    flow: job.flow,
    endedAt: job.endedAt,
    how: !ended ? null : job.mode === 'called-off' ? 'called-off' : 'done',
    leftOpen: !ended
      ? []
      : flow.rules.facts
          .filter((fact) => fact.opening && (job.facts[fact.id]?.value ?? 'gone') !== 'gone')
          .map((fact) => labelOf(flow, fact.id)),
    holds: holdsOf(job, flow, lines).filter(({ at }) => within(at)),
    refused: refusedIn(job, flow, own),
    findings: own.flatMap((line) =>
      line.events.flatMap((event) => {
        const what = foundIn(job, flow, event);
        return what === null ? [] : [{ at: 'at' in event ? event.at : line.at, what }];
      }),
    ),
    used: usedIn(flow, lines, within),
    ended: own.flatMap(({ events }) =>
      events.flatMap((event) =>
        event.type === 'clock-due' ? [{ label: labelOf(flow, event.fact), at: event.at }] : [],
      ),
    ),
    stages: stagesOf(flow, lines),
  };
}

/** Every hold and stop of a job, with the reason and the release. */
function holdsOf(job: Job, flow: Flow, lines: readonly RecordLine[]): readonly Held[] {
  const held: Held[] = [];
  let danger = '';
  for (const event of lines.flatMap((line) => line.events)) {
    if (event.type === 'stop-called') danger = event.danger === null ? '' : dangerName(event.danger);
    if (event.type !== 'mode-changed') continue;
    const last = held.at(-1);
    if (event.to === 'held' || event.to === 'stopped') {
      const why = event.reason.trim() === '' ? danger : reasonText(job, flow, event.reason);
      danger = '';
      // The reason that was asked for comes after the hold; a stop during a hold is one of its own.
      if (last !== undefined && last.releasedAt === null && last.stop === (event.to === 'stopped')) {
        held[held.length - 1] = { ...last, why: why === '' ? last.why : why };
        continue;
      }
      const by = event.by === 'warden' || event.by === 'clock' ? null : event.name;
      held.push({ at: event.at, stop: event.to === 'stopped', by, why, releasedAt: null });
    } else {
      for (const [at, one] of held.entries())
        if (one.releasedAt === null) held[at] = { ...one, releasedAt: event.at };
    }
  }
  return held;
}

function refusedIn(job: Job, flow: Flow, lines: readonly RecordLine[]): JobTally['refused'] {
  const times = new Map<string, number>();
  for (const event of lines.flatMap((line) => line.events)) {
    if (event.type !== 'refused' || !event.counts || event.step === null) continue;
    if (stepOf(flow, event.step)?.kind !== 'gate') continue;
    times.set(event.step, (times.get(event.step) ?? 0) + 1);
  }
  return [...times].map(([step, count]) => ({ gate: titleOf(job, flow, step), times: count }));
}

/** What somebody in charge wants to hear of: readings that were not good, looks that found something, notes. */
function foundIn(job: Job, flow: Flow, event: Event): string | null {
  switch (event.type) {
    case 'judged':
      if (event.verdict === 'passed') return null;
      return `${bare(titleOf(job, flow, event.step))}: ${bare(verdictText(event))}`;
    case 'looked':
      return event.found ? null : `not as it was: ${labelsOf(flow, event.facts)}`;
    case 'undone':
      return event.facts.length === 0 ? null : `undone: ${labelsOf(flow, event.facts)}`;
    case 'deadline-passed':
      return `time ran out: ${labelOf(flow, event.fact)}`;
    case 'noted':
      return event.text.trim() === '' ? null : `${event.name}: ${bare(event.text)}`;
    case 'value-set':
      return event.adopted
        ? `value corrected: ${spaced(event.key)}, ${stopped(event.value.reference)}`
        : null;
    default:
      return null;
  }
}

/** Serials and batches of what went into the car; what came out of it has a step of its own kind. */
function usedIn(flow: Flow, lines: readonly RecordLine[], within: (at: number) => boolean): JobTally['used'] {
  const used = new Map<string, string>();
  for (const { name, kind, text, step, at, takenBackAt } of findingsOf(lines)) {
    if (takenBackAt !== null || !within(at)) continue;
    if (kind !== 'serial' && kind !== 'batch') continue;
    // A serial read a second time, to compare, is the same part.
    if (name.endsWith('-again') || name.startsWith('old-') || stepOf(flow, step)?.hazard === 'article')
      continue;
    used.set(name, text);
  }
  return [...used].map(([name, text]) => ({ name: spaced(name), text }));
}
