import type { Flow } from '../flow/flow.js';
import type { Job } from '../job/job.js';
import { factOfJob } from '../job/view.js';
import { applies } from '../rule/rules.js';
import { stoppedCure } from '../talk/change.js';
import { bare, listed, ln, stopped, when } from '../talk/line.js';
import { openingsOf } from '../talk/mode.js';
import { labelOf, modeName, personOf, titleOf } from '../talk/phrase.js';
import type { Line } from '../talk/post.js';
import { currentStep } from '../talk/recap.js';
import { reasonText } from '../talk/verdict.js';
import type { BoardBay, BoardRow } from './board.js';
import { atOf, fewListed } from './few.js';
import type { JobTally } from './tally.js';

/** A bay with what its day came to. */
export type DayBay = BoardBay & {
  /** Of the job that stands in it. */
  readonly tally: JobTally | null;
  /** Of the jobs that ended in it, in the order of their ends. */
  readonly ended: readonly JobTally[];
};

/** A bay beside its row of the board. */
export type RowedBay = { readonly of: DayBay; readonly row: BoardRow };

/** What stands open first, then what the board puts first. */
export function openFirst(bays: readonly RowedBay[]): readonly RowedBay[] {
  const rank = ({ row }: RowedBay) => (row.open.length > 0 ? 10 : 0) + row.attention;
  return bays.toSorted((a, b) => rank(b) - rank(a));
}

/** `Bay 2, DEMO-1, disconnect-fuse`. */
export function headOf({ of, row }: RowedBay): string {
  return [of.label, row.job?.car, row.job?.flow]
    .filter((part) => part !== undefined && part !== '')
    .join(', ');
}

/** How the job of a bay stands, and why it is not done. */
export function stateOf({ of, row }: RowedBay, now: number): Line {
  const { job, flow } = of;
  if (job === null) return ln`${row.why ?? 'free'}`;
  if (flow === null || of.shut != null) return ln`RECORD SHUT. ${row.why ?? ''}`;
  const since = atOf(job.modeSince, now);
  const by = job.modeBy === null || job.modeBy === 'warden' ? '' : `, ${personOf(job, job.modeBy)}`;
  const reason = job.modeReason.trim() === '' ? '' : `: ${bare(reasonText(job, flow, job.modeReason))}`;
  switch (job.mode) {
    case 'stopped':
      return ln`STOPPED ${since}${by}${stopped(reason)}`;
    case 'held':
      return ln`ON HOLD since ${since}${by}${stopped(reason)}`;
    case 'parked':
      return ln`parked ${since}${by === '' ? `, ${personOf(job, job.holder)}` : by}.`;
    default:
      return ln`NOT PARKED, ${doingOf(job, flow, now)}`;
  }
}

/** What an unparked job is about. */
function doingOf(job: Job, flow: Flow, now: number): Line {
  const who = personOf(job, job.holder);
  if (job.mode !== 'working') return ln`${modeName(job.mode)} since ${atOf(job.modeSince, now)}, ${who}.`;
  if (job.missing !== null) return ln`waits for a value, ${who}.`;
  const step = currentStep(job, flow);
  const title = step === null ? '' : `: ${bare(titleOf(job, flow, step.id))}`;
  return ln`${job.waitingFor === null ? 'under way' : 'waits'}, ${who}${stopped(title)}`;
}

/** What is open in a bay, what was opened last first: it lies deepest. None where nothing is. */
export function openLineOf({ of: { job, flow }, row }: RowedBay): readonly Line[] {
  if (job === null || flow === null)
    return row.open.length === 0 ? [] : [ln`OPEN: ${fewListed(row.open, 6)}.`];
  const open = openingsOf(job, flow).toReversed();
  const look = open.some((id) => factOfJob(job, id) === 'doubt') ? ', to be looked at' : '';
  return open.length === 0
    ? []
    : [
        ln`OPEN${look}: ${fewListed(
          open.map((id) => labelOf(flow, id)),
          8,
        )}.`,
      ];
}

/** Timers that run, with honest ends: a cure ends no sooner, and later in worse air. None where none runs. */
export function clocksOf({ of, row }: RowedBay, now: number): readonly Line[] {
  const { job, flow } = of;
  if (job === null || flow === null) return [];
  const still = [...flow.facts.values()].flatMap((fact): Line[] => {
    const held = job.facts[fact.id]?.stopped;
    return held === undefined ? [] : [ln`${labelOf(flow, fact.id)}: no end yet, ${stoppedCure(job, held)}`];
  });
  const labels = new Set(
    [...flow.facts.values()]
      .filter((fact) => job.facts[fact.id]?.stopped !== undefined)
      .map((fact) => labelOf(flow, fact.id)),
  );
  const running = row.waits.flatMap(({ label, until, deadline, firm }): Line[] => {
    if (until === null || labels.has(label)) return [];
    const end = deadline
      ? ln`before ${when(until, now)}${firm ? '' : ', sooner in worse air'}`
      : ln`not before ${when(until, now)}${firm ? '' : ', later in worse air'}`;
    return [ln`${label} ${end}`];
  });
  return [...still, ...running];
}

/** Proofs that were made, do not stand any more and are needed on the way to the end. */
export function proveAgain(job: Job, flow: Flow): readonly string[] {
  const ahead = flow.steps.filter(
    (step) => step.route === 'job' && job.closed[step.id] !== true && applies(step, job.choices),
  );
  const needed = new Set(ahead.flatMap((step) => step.needs.flat(2)));
  return flow.rules.facts
    .filter(({ id, kind }) => kind === 'proof' && needed.has(id) && job.facts[id] !== undefined)
    .filter(({ id }) => factOfJob(job, id) !== 'stands')
    .map(({ id }) => labelOf(flow, id));
}

/** How many states are looked at again before it goes on. */
export function looksDue(job: Job, flow: Flow): number {
  return flow.rules.facts.filter(({ id, kind }) => kind === 'state' && factOfJob(job, id) === 'doubt').length;
}

/** What a bay begins with when the workshop opens. */
export function beginsWith({ of: { job, flow, shut } }: RowedBay): Line {
  if (job === null || flow === null || shut != null) return ln`look first, its record is shut`;
  const who = personOf(job, job.holder);
  if (job.mode === 'stopped' || job.mode === 'held') return ln`the foreman's release`;
  if (job.mode === 'handing-over' && job.offered !== null) return ln`TAKE, ${personOf(job, job.offered.to)}`;
  if (job.mode === 'parked' || job.mode === 'paused') return ln`RESUME, ${who}`;
  return ln`look at the bay, ${who}`;
}

/** `a; b`. */
export function joined(lines: readonly Line[]): Line {
  return lines.reduce<Line>((line, item, at) => (at === 0 ? item : ln`${line}; ${item}`), listed([]));
}
