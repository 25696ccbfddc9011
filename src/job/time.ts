import type { Fact, Flow, LapseCause, Step } from '../flow/flow.js';
import { changesOfDoubt, changesOfLoss } from '../rule/change.js';
import type { FactId } from '../rule/rules.js';
import type { Draft } from './draft.js';
import type { DoubtCause } from './event.js';
import type { Job } from './job.js';
import { factOfJob, stepOf } from './view.js';
import { watchPending } from './watch-times.js';
import { doubtAll, presenceGone } from './ways.js';
import type { World } from './world.js';

const MINUTE = 60_000;
/** How long before a silence lapses the bay is asked whether somebody is still there. */
const WARNING_MINUTES = 5;

/** Something that time alone will do to a job, and when. */
type Pending = { readonly at: number; readonly happen: (draft: Draft) => void };

/**
 * Brings a job up to the present: timers that ended, deadlines that passed, silences, the end of the shift, the
 * standby's check-in, a pause that has grown long. In the order in which they fell due, so that a night without
 * power comes to the same as a night of wake-ups.
 */
export function bringUp(draft: Draft): void {
  const wake = nextWake(draft.job, draft.flow, draft.world);
  if (wake === null || wake > draft.now) return;
  for (let turn = 0; turn < 200; turn++) {
    const due = pending(draft.job, draft.flow, draft.world)
      .filter((what) => what.at <= draft.now)
      .sort((a, b) => a.at - b.at)[0];
    if (due === undefined) return;
    due.happen(draft);
  }
}

/** When time will next do something to the job, ms since 1970; null while it waits for people only. */
export function nextWake(job: Job, flow: Flow, world: Pick<World, 'settings'>): number | null {
  const known = wakes.get(job);
  if (known?.flow === flow && known.settings === world.settings) return known.at;
  let at: number | null = null;
  for (const what of pending(job, flow, world)) if (at === null || what.at < at) at = what.at;
  wakes.set(job, { flow, settings: world.settings, at });
  return at;
}

// Asked for by the desk's timer after one message, and before the next one of the same job is judged.
const wakes = new WeakMap<
  Job,
  { readonly flow: Flow; readonly settings: World['settings']; readonly at: number | null }
>();

function pending(job: Job, flow: Flow, world: Pick<World, 'settings'>): Pending[] {
  if (job.mode === 'done' || job.mode === 'called-off') return [];
  const found = clocks(job, flow);
  const working = job.mode === 'working' || job.mode === 'parking';
  if (job.mode === 'paused' && !job.pauseLapsed) {
    found.push({
      at: job.modeSince + world.settings.pauseMinutes * MINUTE,
      happen: (draft) => {
        // Marked by an event even where nothing stood any more, so that it happens once.
        doubtAll(draft, 'pause');
        if (!draft.job.pauseLapsed) {
          draft.emit({ type: 'doubted', cause: 'pause', at: draft.now, changes: [] });
        }
      },
    });
  }
  if (job.shiftEndsAt !== null && job.mode !== 'parked') {
    found.push({ at: job.shiftEndsAt, happen: shiftEnds });
  }
  if (working) {
    found.push(...silences(job, flow, world), ...checkIns(job, flow, world), ...watchPending(job, flow));
  }
  if (!AFTER_A_CALL.has(job.mode)) found.push(...exposures(job, flow, world));
  return found;
}

function clocks(job: Job, flow: Flow): Pending[] {
  const found: (Pending & { readonly id: FactId })[] = [];
  for (const { id, clock } of timedIn(flow).clocks) {
    const standing = job.facts[id];
    if (standing === undefined || standing.at === null) continue;
    const { at } = standing;
    if (clock === 'after' && standing.value === 'running' && standing.stopped === undefined) {
      found.push({
        id,
        at,
        happen: (draft) =>
          draft.emit({ type: 'clock-due', fact: id, at: draft.now, changes: [{ fact: id, to: 'stands' }] }),
      });
    }
    if (clock === 'within' && standing.value === 'stands') {
      found.push({
        id,
        at,
        happen: (draft) => {
          const changes = draft.timed(changesOfLoss(draft.flow.rules, [id], draft.value));
          draft.emit({ type: 'deadline-passed', fact: id, at: draft.now, changes });
          draft.emit({ type: 'summoned', what: 'deadline', to: 'foreman', detail: id, at: draft.now });
        },
      });
    }
  }
  if (found.length < 2) return found;
  // Of two that end at the same instant the one that was first to begin in this job goes first.
  const begun = Object.keys(job.facts);
  return found.sort((a, b) => begun.indexOf(a.id) - begun.indexOf(b.id));
}

/** The facts of a flow that time does something to. */
type Timed = { readonly clocks: readonly Fact[]; readonly checkIns: readonly Fact[] };

const timed = new WeakMap<Flow, Timed>();

function timedIn(flow: Flow): Timed {
  let found = timed.get(flow);
  if (found === undefined) {
    const facts = [...flow.facts.values()];
    found = {
      clocks: facts.filter((fact) => fact.clock !== null),
      checkIns: facts.filter((fact) => fact.checkIn !== null),
    };
    timed.set(flow, found);
  }
  return found;
}

function shiftEnds(draft: Draft): void {
  lapse(draft, 'shift-end');
  draft.emit({ type: 'shift-noted', endsAt: null, at: draft.now });
}

function lapse(draft: Draft, on: LapseCause, cause: DoubtCause = on): void {
  const facts = [...draft.flow.facts.values()].filter((fact) => fact.lapse.on.includes(on));
  const ids = facts.map((fact) => fact.id);
  // Over the end of a shift nobody moves by that alone: what is under way may be reported.
  if (on === 'shift-end') draft.doubt(cause, changesOfDoubt(draft.flow.rules, ids, draft.value));
  else draft.lapse(cause, ids);
}

/** A tester that failed its second proving has proved nothing today, here and wherever else it was used. */
export function testerLapses(draft: Draft): void {
  lapse(draft, 'tester', 'tester-failed');
  lapse(draft, 'gear', 'tester-failed');
}

/** Gloves hurt or soiled, gear taken out: what rests on the gear is in doubt. */
export function gearLapses(draft: Draft): void {
  lapse(draft, 'gear');
}

/** Silence counts only while the open step needs a proof that lapses by it, and for a gate's visit. */
function silences(job: Job, flow: Flow, world: Pick<World, 'settings'>): Pending[] {
  const { asked } = job;
  // A gate that waits in silence for somebody to speak loses its proofs like any other.
  if (asked === null || (asked.ended && !asked.silent)) return [];
  const found: Pending[] = [];
  const step = stepOf(flow, asked.step);
  if (asked.what === 'step' && step.kind === 'gate' && !asked.ended) {
    found.push({
      at: asked.lastAt + world.settings.visitMinutes * MINUTE,
      happen: (draft) =>
        draft.emit({ type: 'visit-ended', step: step.id, because: 'silence', at: draft.now }),
    });
  }
  if (asked.what !== 'step') return found;
  for (const { id, minutes } of lapsingBy(flow, step)) {
    if (factOfJob(job, id) !== 'stands') continue;
    const lapsesAt = job.heardAt + minutes * MINUTE;
    if (job.stillThere === null) {
      found.push({
        at: lapsesAt - Math.min(WARNING_MINUTES, minutes / 2) * MINUTE,
        happen: (draft) => draft.emit({ type: 'still-there-asked', fact: id, lapsesAt, at: draft.now }),
      });
    }
    found.push({
      at: lapsesAt,
      happen: (draft) => draft.doubt('silence', changesOfDoubt(draft.flow.rules, [id], draft.value)),
    });
  }
  return found;
}

type Lapsing = { readonly id: FactId; readonly minutes: number };

const lapsing = new WeakMap<Step, readonly Lapsing[]>();

/** What a step needs that a silence puts in doubt. */
function lapsingBy(flow: Flow, step: Step): readonly Lapsing[] {
  let found = lapsing.get(step);
  if (found === undefined) {
    found = [...new Set(step.needs.flat(2))].flatMap((id) => {
      const minutes = flow.facts.get(id)?.lapse.silenceMinutes ?? null;
      return minutes === null ? [] : [{ id, minutes }];
    });
    lapsing.set(step, found);
  }
  return found;
}

/** The named standby says `here` while live parts are open; who does not is taken for gone. */
function checkIns(job: Job, flow: Flow, world: Pick<World, 'settings'>): Pending[] {
  const { standby, checkIn } = job;
  if (standby === null || checkIn === null) return [];
  for (const fact of timedIn(flow).checkIns) {
    if (fact.checkIn === null || factOfJob(job, fact.id) !== 'stands') continue;
    if (!fact.checkIn.open.some((id) => factOfJob(job, id) !== 'gone')) continue;
    if (checkIn.askedAt === null) {
      return [
        {
          at: checkIn.lastAt + fact.checkIn.everyMinutes * MINUTE,
          happen: (draft) => draft.emit({ type: 'check-in-asked', person: standby, at: draft.now }),
        },
      ];
    }
    return [
      {
        at: checkIn.askedAt + world.settings.checkInGraceMinutes * MINUTE,
        happen: (draft) => {
          presenceGone(draft, 'standby', 'check-in');
          draft.emit({ type: 'summoned', what: 'check-in', to: 'foreman', detail: standby, at: draft.now });
        },
      },
    ];
  }
  return [];
}

/** Parked is left on purpose, covered and barred; of a hold and a stop the foreman knows. */
const AFTER_A_CALL: ReadonlySet<Job['mode']> = new Set<Job['mode']>(['parked', 'held', 'stopped']);

/** Somebody is known to have gone; with any other cause the crew may be at work on making it stand again. */
const WENT: ReadonlySet<DoubtCause> = new Set<DoubtCause>(['away', 'elsewhere', 'check-in']);

/** What says that somebody stands by, where it does not stand and live parts lie open. */
export function exposedIn(job: Job, flow: Flow): readonly Fact[] {
  return timedIn(flow).checkIns.filter(
    ({ id, checkIn }) =>
      checkIn !== null &&
      factOfJob(job, id) !== 'stands' &&
      checkIn.open.some((open) => factOfJob(job, open) !== 'gone'),
  );
}

/** Live parts lie open, nobody stands by, and nobody of the job was heard for a while: the foreman is called, once. */
function exposures(job: Job, flow: Flow, { settings }: Pick<World, 'settings'>): Pending[] {
  for (const fact of exposedIn(job, flow)) {
    const standing = job.facts[fact.id];
    if (standing === undefined) continue;
    // Who releases or resumes has seen to it; the silence counts from then.
    const heardAt = Math.max(job.heardAt, job.checkIn?.lastAt ?? 0, job.modeSince);
    if (job.exposedTold !== null && job.exposedTold >= Math.max(heardAt, standing.since)) continue;
    const went = standing.why !== null && WENT.has(standing.why);
    const silence = (went ? settings.checkInGraceMinutes : settings.pauseMinutes) * MINUTE;
    return [
      {
        at: Math.max(standing.since, heardAt + silence),
        happen: (draft) =>
          draft.emit({ type: 'summoned', what: 'exposed', to: 'foreman', detail: fact.id, at: draft.now }),
      },
    ];
  }
  return [];
}
