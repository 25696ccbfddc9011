import type { Answer, Event, FactChange } from './event.js';
import type { Asked, Job, Standing } from './job.js';
import { poleVolts } from './judgement.js';
import { COPYING, type Pen, plus, without } from './pen.js';
import { poured, takenBack } from './pour.js';
import type { Refusal } from './refusal.js';
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
    poured: {},
    balanceLeft: null,
    fields: {},
    figures: {},
    air: [],
    gear: {},
    asked: null,
    visits: 0,
    refusedAt: {},
    again: {},
    warm: {},
    parkThen: null,
    missing: null,
    stillThere: null,
    checkIn: null,
    exposedTold: null,
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

/**
 * Folds one event into the job. Knows no flow and no world: everything it needs stands in the event. Without a pen of
 * the caller's own, the job and all it holds stay as they are.
 */
export function evolve(job: Job, event: Event, pen: Pen = COPYING): Job {
  const folded = folding(job, event, pen);
  const [id, name] = namedIn(event);
  if (id === null || folded.names[id] === name) return folded;
  return pen.on(folded, { names: plus(pen, folded.names, id, name) });
}

function namedIn(event: Event): readonly [string, string] | readonly [null, null] {
  if (event.type === 'standby-named') return [event.person, event.name];
  if (event.type === 'hand-over-offered') return [event.to, event.toName];
  if (event.type === 'holder-changed') return [event.to, event.name];
  return 'by' in event && 'name' in event ? [event.by, event.name] : [null, null];
}

function folding(job: Job, event: Event, pen: Pen): Job {
  switch (event.type) {
    case 'job-started':
      return pen.on(job, {
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
      return pen.on(changed(pen, job, event), {
        front: event.front,
        visits: event.visit,
        asked: asked(job, 'step', event.step, [], event.visit, event.at, event.word, event.plan),
        waitingFor: null,
      });
    case 'answered':
      return answered(pen, job, event);
    case 'answer-taken-back':
      if (job.asked === null) return job;
      return pen.on(job, { asked: { ...job.asked, answers: job.asked.answers.slice(0, event.ask) } });
    case 'watched':
      return watched(pen, job, event);
    case 'watched-taken-back':
      return watchedTakenBack(pen, job, event);
    case 'watch-asked':
      return watchAsked(pen, job, event);
    case 'judged':
      return judged(pen, job, event);
    case 'step-completed':
      return pen.on(changed(pen, job, event), {
        closed: plus(pen, job.closed, event.step, true),
        poured: poured(pen, job, event.step),
        choices: event.choice === null ? job.choices : { ...job.choices, ...event.choice },
        again: without(pen, job.again, event.step),
        refusedAt: without(pen, job.refusedAt, event.step),
        warm: without(pen, job.warm, event.step),
        asked: null,
        waitingFor: null,
      });
    case 'step-closed':
      return pen.on(job, { closed: plus(pen, job.closed, event.step, true), front: event.front });
    case 'steps-reopened':
      return pen.on(job, {
        closed: without(pen, job.closed, ...event.steps),
        poured: event.because === 'correction' ? takenBack(pen, job, event.forStep) : job.poured,
        // A step that waited for the resume is shown now after all, since parking itself needs it.
        shelved: job.shelved === null ? null : without(pen, job.shelved, ...event.steps),
        asked: null,
        waitingFor: null,
      });
    case 'visit-ended':
      if (job.asked === null) return job;
      return pen.on(job, {
        asked: { ...job.asked, ended: true, silent: event.because === 'silence', answers: [] },
      });
    case 'look-asked':
      return pen.on(job, {
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
      return pen.on(changed(pen, job, event), { asked: null });
    case 'waiting':
      return pen.on(job, {
        asked: null,
        waitingFor: { step: event.step, facts: event.facts, until: event.until },
      });
    case 'doubted':
      return pen.on(changed(pen, job, event, event.cause), {
        pauseLapsed: job.pauseLapsed || event.cause === 'pause',
        stillThere: event.cause === 'silence' ? null : job.stillThere,
        checkIn: event.cause === 'check-in' ? null : job.checkIn,
      });
    case 'undone':
      // Whatever was put back may have charged what had been running down.
      return pen.on(changed(pen, job, event), { warm: {} });
    case 'balance-left':
      return pen.on(job, { balanceLeft: { reason: event.reason, by: event.by, inMl: event.inMl } });
    case 'alarmed':
    case 'deadline-passed':
    case 'clock-due':
    case 'clock-moved':
      return changed(pen, job, event);
    case 'refused':
      return refused(pen, job, event);
    case 'standby-named':
      return pen.on(job, { standby: event.person, checkIn: { lastAt: event.at, askedAt: null } });
    case 'check-in-asked':
      return pen.on(job, { checkIn: { lastAt: job.checkIn?.lastAt ?? event.at, askedAt: event.at } });
    case 'checked-in':
      return pen.on(job, { checkIn: { lastAt: event.at, askedAt: null } });
    case 'still-there-asked':
      return pen.on(job, { stillThere: { fact: event.fact, at: event.at } });
    case 'heard-from':
      if (event.person === job.holder) return pen.on(job, { heardAt: event.at, stillThere: null });
      // Who speaks in the bay is in the bay.
      return pen.on(job, { checkIn: { lastAt: event.at, askedAt: null } });
    case 'shift-noted':
      return pen.on(job, { shiftEndsAt: event.endsAt, shiftOver: event.endsAt === null });
    case 'mode-changed':
      return pen.on(job, {
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
      return pen.on(job, { parkThen: event.then });
    case 'parking-begun': {
      const shelved = Object.fromEntries(event.shelved.map((step) => [step, true as const]));
      return pen.on(job, {
        route: 'park',
        shelved,
        closed: without(pen, job.closed, ...event.parkSteps),
        choices: { ...job.choices, ...event.choices },
        asked: null,
        waitingFor: null,
      });
    }
    case 'parking-ended':
      return pen.on(job, { route: 'job', shelved: null, parkThen: null, asked: null, waitingFor: null });
    case 'hand-over-offered':
      return pen.on(job, { offered: { to: event.to, by: event.by } });
    case 'holder-changed':
      return pen.on(changed(pen, job, event, 'hand-over'), {
        holder: event.to,
        offered: null,
        // A lock that was still to come off before this handover is not forgotten by it.
        oldLock: oldLockAfter(job, event),
        heardAt: event.at,
        asked: null,
      });
    case 'old-lock-off':
      return pen.on(job, { oldLock: null });
    case 'step-left-out':
      return pen.on(job, {
        closed: plus(pen, job.closed, event.step, true),
        asked: job.asked?.step === event.step ? null : job.asked,
        waitingFor: job.waitingFor?.step === event.step ? null : job.waitingFor,
      });
    case 'catch-up-offered':
      return pen.on(job, { catchUp: { to: event.to, by: event.by, foreman: event.foreman } });
    case 'caught-up':
      return pen.on(changed(pen, job, event, 'catch-up'), {
        catchUp: null,
        closed: { ...job.closed, ...Object.fromEntries(event.closed.map((step) => [step, true as const])) },
        front: event.front,
        asked: null,
        waitingFor: null,
      });
    case 'air-logged':
      return pen.on(job, {
        air: [...job.air, { at: event.at, celsius: event.celsius, percentRh: event.percentRh }],
      });
    case 'value-missing':
      return pen.on(job, { missing: event.key, asked: null, waitingFor: null });
    case 'value-set':
      return pen.on(job, {
        values: plus(pen, job.values, event.key, event.value),
        missing: job.missing === event.key ? null : job.missing,
      });
    case 'values-loaded':
      return pen.on(job, { values: { ...job.values, ...event.values } });
    case 'figures-kept':
      return pen.on(job, {
        figures: {
          ...job.figures,
          ...Object.fromEntries(event.figures.map((figure) => [figure.name, figure.quantity])),
        },
      });
    case 'job-ended':
      return pen.on(job, {
        mode: event.how,
        endedAt: event.at,
        due: event.due,
        asked: null,
        waitingFor: null,
      });
    case 'gear-taken':
      return pen.on(job, {
        gear: withGear(job, event.gear),
      });
    case 'summoned':
      return event.what === 'exposed' ? pen.on(job, { exposedTold: event.at }) : job;
    case 'noted':
    case 'told-about':
    case 'told-danger':
    case 'told-gear':
    case 'told-value':
      return job;
  }
}

/** What only a foreman may do was not meant as an answer at the gate. */
const NO_ANSWER: ReadonlySet<Refusal['why']> = new Set<Refusal['why']>(['not-foreman', 'own-hold']);

function refused(pen: Pen, job: Job, { step, counts, refusal }: Event & { type: 'refused' }): Job {
  if (!counts || step === null || NO_ANSWER.has(refusal.why)) return job;
  return pen.on(job, { refusedAt: plus(pen, job.refusedAt, step, (job.refusedAt[step] ?? 0) + 1) });
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
  return {
    what,
    step,
    facts,
    visit,
    shownAt: at,
    lastAt: at,
    answers: [],
    seq,
    word,
    plan,
    ended: false,
    silent: false,
  };
}

function changed(
  pen: Pen,
  job: Job,
  event: { readonly changes: readonly FactChange[]; readonly at: number },
  why: Standing['why'] = null,
): Job {
  if (event.changes.length === 0) return job;
  const facts: Record<string, Standing> = pen.own(job.facts);
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
  return pen.on(job, { facts });
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

function answered(pen: Pen, job: Job, event: Event & { type: 'answered' }): Job {
  if (job.asked === null) return job;
  const { answer } = event;
  return pen.on(job, {
    last: { step: event.step, ask: event.ask, by: event.by },
    asked: {
      ...job.asked,
      answers: [...job.asked.answers, { answer, by: event.by, at: event.at }],
      lastAt: event.at,
      seq: job.seq + 1,
    },
    ...keptOf(pen, job, answer),
  });
}

/** What the job keeps of an answer besides the answer itself. */
function keptOf(pen: Pen, job: Job, answer: Answer): Partial<Job> | null {
  switch (answer.ask) {
    case 'reading':
      return { readings: plus(pen, job.readings, answer.name, [answer.reading]) };
    case 'dead-test':
    case 'values':
      return { readings: plus(pen, job.readings, answer.name, answer.readings) };
    case 'field':
      return { fields: plus(pen, job.fields, answer.name, answer.text) };
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

function judged(pen: Pen, job: Job, event: Event & { type: 'judged' }): Job {
  const seen = event.because === WARM ? stillWarm(pen, job, event) : job;
  if (event.verdict !== 'again') return seen;
  return pen.on(seen, { again: plus(pen, seen.again, event.step, (seen.again[event.step] ?? 0) + 1) });
}

/** Why a test has to be made again: between near zero and the hazard line. */
const WARM = 'wait-and-test-again';

function stillWarm(pen: Pen, job: Job, { step, figures, at }: Event & { type: 'judged' }): Job {
  return pen.on(job, { warm: plus(pen, job.warm, step, { at, volts: poleVolts(figures) }) });
}
