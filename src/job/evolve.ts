import type { Answer, Event, FactChange } from './event.js';
import { type Asked, type Job, on, type Standing } from './job.js';
import { poleVolts } from './judgement.js';
import { watchAsked, watched, watchedTakenBack } from './watch-fold.js';

/** A job before its first event. */
export function emptyJob(id: string): Job {
  return {
    id,
    number: '',
    flow: '',
    bundle: '',
    bay: '',
    car: { registration: '', model: '', odometerKm: null, kmPerYear: null },
    zone: 'UTC',
    startedAt: 0,
    emergency: [],
    names: {},
    seq: 0,
    now: 0,
    mode: 'working',
    modeBy: null,
    modeSince: 0,
    modeReason: '',
    holder: '',
    standby: null,
    offered: null,
    oldLock: null,
    facts: {},
    closed: {},
    shelved: null,
    front: null,
    route: 'job',
    choices: {},
    values: {},
    readings: {},
    watched: {},
    fields: {},
    figures: {},
    air: [],
    gear: {},
    asked: null,
    visits: 0,
    refusals: 0,
    again: {},
    warm: {},
    parkThen: null,
    missing: null,
    stillThere: null,
    checkIn: null,
    heardAt: 0,
    shiftEndsAt: null,
    shiftOver: false,
    pauseLapsed: false,
    waitingFor: null,
    catchUp: null,
    last: null,
    due: [],
    endedAt: null,
    places: {},
  };
}

/** Folds one event into the job. Knows no flow and no world: everything it needs stands in the event. */
export function evolve(job: Job, event: Event): Job {
  const folded = folding(job, event);
  const [id, name] = namedIn(event);
  if (id === null || folded.names[id] === name) return folded;
  return on(folded, { names: { ...folded.names, [id]: name } });
}

function namedIn(event: Event): readonly [string, string] | readonly [null, null] {
  if (event.type === 'standby-named') return [event.person, event.name];
  if (event.type === 'hand-over-offered') return [event.to, event.toName];
  if (event.type === 'holder-changed') return [event.to, event.name];
  return 'by' in event && 'name' in event ? [event.by, event.name] : [null, null];
}

function folding(job: Job, event: Event): Job {
  switch (event.type) {
    case 'job-started':
      return on(job, {
        id: event.job,
        number: event.number,
        flow: event.flow,
        bundle: event.bundle,
        bay: event.bay,
        car: event.car,
        zone: event.zone,
        holder: event.holder,
        values: event.values,
        choices: event.choices,
        startedAt: event.at,
        emergency: event.emergency,
        names: { [event.holder]: event.name },
        modeSince: event.at,
        heardAt: event.at,
        facts: Object.fromEntries(event.given.map((fact) => [fact, standing('stands', event.at)])),
      });
    case 'step-shown':
      return on(changed(job, event), {
        front: event.front,
        visits: event.visit,
        asked: asked(job, 'step', event.step, [], event.visit, event.at, event.word, event.plan),
        waitingFor: null,
      });
    case 'answered':
      return answered(job, event);
    case 'answer-taken-back':
      if (job.asked === null) return job;
      return on(job, { asked: { ...job.asked, answers: job.asked.answers.slice(0, event.ask) } });
    case 'watched':
      return watched(job, event);
    case 'watched-taken-back':
      return watchedTakenBack(job, event);
    case 'watch-asked':
      return watchAsked(job, event);
    case 'judged':
      return judged(job, event);
    case 'step-completed':
      return on(changed(job, event), {
        closed: { ...job.closed, [event.step]: true },
        choices: event.choice === null ? job.choices : { ...job.choices, ...event.choice },
        again: without(job.again, event.step),
        warm: without(job.warm, event.step),
        asked: null,
        waitingFor: null,
      });
    case 'step-closed':
      return on(job, { closed: { ...job.closed, [event.step]: true }, front: event.front });
    case 'steps-reopened':
      return on(job, {
        closed: event.steps.reduce(without, job.closed),
        // A step that waited for the resume is shown now after all, since parking itself needs it.
        shelved: job.shelved === null ? null : event.steps.reduce(without, job.shelved),
        asked: null,
        waitingFor: null,
      });
    case 'visit-ended':
      return job.asked === null ? job : on(job, { asked: { ...job.asked, ended: true, answers: [] } });
    case 'look-asked':
      return on(job, {
        visits: event.visit,
        asked: asked(
          job,
          event.which ? 'which' : 'look',
          event.forStep,
          event.facts,
          event.visit,
          event.at,
          null,
          null,
        ),
        waitingFor: null,
      });
    case 'looked':
      return on(changed(job, event), { asked: null });
    case 'waiting':
      return on(job, {
        asked: null,
        waitingFor: { step: event.step, facts: event.facts, until: event.until },
      });
    case 'doubted':
      return on(changed(job, event, event.cause), {
        pauseLapsed: job.pauseLapsed || event.cause === 'pause',
        stillThere: event.cause === 'silence' ? null : job.stillThere,
        checkIn: event.cause === 'check-in' ? null : job.checkIn,
      });
    case 'undone':
      // Whatever was put back may have charged what had been running down.
      return on(changed(job, event), { warm: {} });
    case 'deadline-passed':
    case 'clock-due':
    case 'clock-moved':
      return changed(job, event);
    case 'refused':
      return on(job, { refusals: event.counts ? job.refusals + 1 : job.refusals });
    case 'standby-named':
      return on(job, { standby: event.person, checkIn: { lastAt: event.at, askedAt: null } });
    case 'check-in-asked':
      return on(job, { checkIn: { lastAt: job.checkIn?.lastAt ?? event.at, askedAt: event.at } });
    case 'checked-in':
      return on(job, { checkIn: { lastAt: event.at, askedAt: null } });
    case 'still-there-asked':
      return on(job, { stillThere: { fact: event.fact, at: event.at } });
    case 'heard-from':
      if (event.person === job.holder) return on(job, { heardAt: event.at, stillThere: null });
      // Who speaks in the bay is in the bay.
      return on(job, { checkIn: { lastAt: event.at, askedAt: null } });
    case 'shift-noted':
      return on(job, { shiftEndsAt: event.endsAt, shiftOver: event.endsAt === null });
    case 'mode-changed':
      return on(job, {
        mode: event.to,
        modeBy: event.by,
        // A reason that comes after its hold makes it no later.
        modeSince: event.from === event.to ? job.modeSince : event.at,
        modeReason: event.reason,
        pauseLapsed: false,
        asked: null,
        waitingFor: null,
        stillThere: null,
        offered: event.to === 'handing-over' ? job.offered : null,
      });
    case 'stop-called':
      return job;
    case 'park-asked':
      return on(job, { parkThen: event.then });
    case 'parking-begun': {
      const shelved = Object.fromEntries(event.shelved.map((step) => [step, true as const]));
      return on(job, {
        route: 'park',
        shelved,
        closed: event.parkSteps.reduce(without, job.closed),
        choices: { ...job.choices, ...event.choices },
        asked: null,
        waitingFor: null,
      });
    }
    case 'parking-ended':
      return on(job, { route: 'job', shelved: null, parkThen: null, asked: null, waitingFor: null });
    case 'hand-over-offered':
      return on(job, { offered: { to: event.to, by: event.by } });
    case 'holder-changed':
      return on(changed(job, event, 'hand-over'), {
        holder: event.to,
        offered: null,
        // A lock that was still to come off before this handover is not forgotten by it.
        oldLock: oldLockAfter(job, event),
        heardAt: event.at,
        asked: null,
      });
    case 'old-lock-off':
      return on(job, { oldLock: null });
    case 'catch-up-offered':
      return on(job, { catchUp: { to: event.to, by: event.by, foreman: event.foreman } });
    case 'caught-up':
      return on(changed(job, event, 'catch-up'), {
        catchUp: null,
        closed: { ...job.closed, ...Object.fromEntries(event.closed.map((step) => [step, true as const])) },
        front: event.front,
        asked: null,
        waitingFor: null,
      });
    case 'air-logged':
      return on(job, {
        air: [...job.air, { at: event.at, celsius: event.celsius, percentRh: event.percentRh }],
      });
    case 'value-missing':
      return on(job, { missing: event.key, asked: null, waitingFor: null });
    case 'value-set':
      return on(job, {
        values: { ...job.values, [event.key]: event.value },
        missing: job.missing === event.key ? null : job.missing,
      });
    case 'values-loaded':
      return on(job, { values: { ...job.values, ...event.values } });
    case 'figures-kept':
      return on(job, {
        figures: {
          ...job.figures,
          ...Object.fromEntries(event.figures.map((figure) => [figure.name, figure.quantity])),
        },
      });
    case 'job-ended':
      return on(job, { mode: event.how, endedAt: event.at, due: event.due, asked: null, waitingFor: null });
    case 'gear-taken':
      return on(job, {
        gear: withGear(job, event.gear),
      });
    case 'noted':
    case 'told-about':
    case 'summoned':
    case 'told-danger':
    case 'told-gear':
    case 'told-value':
      return job;
  }
}

function standing(value: Standing['value'], since: number): Standing {
  return { value, since, at: null, why: null };
}

function asked(
  job: Job,
  what: Asked['what'],
  step: string,
  facts: readonly string[],
  visit: number,
  at: number,
  word: string | null,
  plan: Asked['plan'],
): Asked {
  const seq = job.seq + 1;
  return { what, step, facts, visit, shownAt: at, lastAt: at, answers: [], seq, word, plan, ended: false };
}

function changed(
  job: Job,
  event: { readonly changes: readonly FactChange[]; readonly at: number },
  why: Standing['why'] = null,
): Job {
  if (event.changes.length === 0) return job;
  const facts: Record<string, Standing> = { ...job.facts };
  for (const change of event.changes) {
    const old = facts[change.fact];
    const at = change.at ?? (change.to === 'gone' ? null : (old?.at ?? null));
    facts[change.fact] = {
      value: change.to,
      since: sinceOf(old, change, event.at),
      at,
      why: change.to === 'doubt' ? (why ?? old?.why ?? null) : null,
      ...(change.stopped === undefined ? {} : { stopped: change.stopped }),
    };
  }
  return on(job, { facts });
}

/** The owner himself has nothing to take off when the job comes back to him. */
function oldLockAfter(job: Job, event: Event & { type: 'holder-changed' }): string | null {
  const due = event.locked ? event.from : job.oldLock;
  return due === event.to ? null : due;
}

/** A clock counts from its start, through doubt and after it has ended; anything else from its last change. */
function sinceOf(old: Standing | undefined, change: FactChange, at: number): number {
  if (old === undefined || change.starts === true) return at;
  return old.at !== null || old.value === change.to ? old.since : at;
}

function answered(job: Job, event: Event & { type: 'answered' }): Job {
  if (job.asked === null) return job;
  const { answer } = event;
  return on(job, {
    last: { step: event.step, ask: event.ask, by: event.by },
    asked: {
      ...job.asked,
      answers: [...job.asked.answers, { answer, by: event.by, at: event.at }],
      lastAt: event.at,
      seq: job.seq + 1,
    },
    ...keptOf(job, answer),
  });
}

/** What the job keeps of an answer besides the answer itself. */
function keptOf(job: Job, answer: Answer): Partial<Job> | null {
  switch (answer.ask) {
    case 'reading':
      return { readings: { ...job.readings, [answer.name]: [answer.reading] } };
    case 'dead-test':
    case 'values':
      return { readings: { ...job.readings, [answer.name]: answer.readings } };
    case 'field':
      return { fields: { ...job.fields, [answer.name]: answer.text } };
    case 'gear':
      return { gear: withGear(job, answer.gear) };
    default:
      return null;
  }
}

/** New gear takes the place of its kind; wrenches stay side by side, each for its own range. */
function withGear(job: Job, taken: readonly Job['gear'][string][]): Job['gear'] {
  const kept = Object.entries(job.gear).filter(
    ([, used]) => used.kind === 'wrench' || !taken.some((piece) => piece.kind === used.kind),
  );
  return Object.fromEntries([...kept, ...taken.map((used) => [used.id, used] as const)]);
}

function judged(job: Job, event: Event & { type: 'judged' }): Job {
  const seen = event.because === WARM ? stillWarm(job, event) : job;
  if (event.verdict !== 'again') return seen;
  return on(seen, { again: { ...seen.again, [event.step]: (seen.again[event.step] ?? 0) + 1 } });
}

/** Why a test has to be made again: between near zero and the hazard line. */
const WARM = 'wait-and-test-again';

function stillWarm(job: Job, { step, figures, at }: Event & { type: 'judged' }): Job {
  return on(job, { warm: { ...job.warm, [step]: { at, volts: poleVolts(figures) } } });
}

function without<T>(record: Readonly<Record<string, T>>, key: string): Readonly<Record<string, T>> {
  if (!(key in record)) return record;
  const { [key]: _gone, ...rest } = record;
  return rest;
}
