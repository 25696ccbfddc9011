import { changesOfLoss } from '../rule/change.js';
import { inStretch } from '../rule/course.js';
import type { Draft, Speaker } from './draft.js';
import { endJob } from './end.js';
import type { DoubtCause, Mode } from './event.js';
import { competence } from './fit.js';
import type { Danger } from './heard.js';

/** Changes the mode of the job, and puts in doubt what may not stand through it. */
export function changeMode(draft: Draft, to: Mode, who: Speaker, reason: string): void {
  draft.emit({
    type: 'mode-changed',
    to,
    from: draft.job.mode,
    reason,
    by: who.by,
    name: who.name,
    at: draft.now,
  });
  // With the reason of a hold nothing new happens to the car.
  const cause = DOUBTS[to];
  if (cause !== undefined) doubtAll(draft, cause);
  if (to === 'held') {
    draft.emit({ type: 'summoned', what: 'hold', to: 'foreman', detail: reason, at: draft.now });
  }
}

const DOUBTS: Partial<Record<Mode, DoubtCause>> = { held: 'hold', stopped: 'stop', parked: 'park' };

/** Puts every state and proof that stands in doubt. Openings too: doubt about an opening is still open. */
export function doubtAll(draft: Draft, cause: DoubtCause, since?: number): void {
  const facts = draft.flow.rules.facts.filter((fact) => fact.kind !== 'clock').map((fact) => fact.id);
  draft.lapse(cause, facts, since);
}

/** Who may act as foreman now. The holder never waves his own job on. */
export function isForeman(draft: Draft, who: Speaker): boolean {
  return draft.world.foremen.includes(who.by);
}

/** Stop: anybody in the thread, in any mode but an ended job. */
export function stop(draft: Draft, who: Speaker, danger: Danger | null): void {
  const { job, now } = draft;
  // Whoever shouts a second time gets the first actions of where the work stood.
  const step = job.asked?.step ?? job.waitingFor?.step ?? job.front;
  draft.emit({ type: 'stop-called', danger, step, by: who.by, name: who.name, at: now });
  if (job.mode !== 'stopped') changeMode(draft, 'stopped', who, danger ?? 'stop');
  draft.emit({ type: 'summoned', what: 'stop', to: 'foreman', detail: danger ?? '', at: now });
  if (danger === 'fire' || danger === 'smoke' || danger === 'gas') {
    draft.emit({ type: 'summoned', what: 'danger-elsewhere', to: 'shop', detail: danger, at: now });
  }
}

/** Hold: anybody registered, at once; the reason may come after it. */
export function hold(draft: Draft, who: Speaker, reason: string): void {
  if (givesReason(draft, who, reason)) return;
  if (draft.job.mode === 'held' || draft.job.mode === 'stopped') {
    return draft.refuse({ why: 'mode', mode: draft.job.mode }, who);
  }
  changeMode(draft, 'held', who, reason);
}

/** Takes the reason of a hold that was called without one, from whoever called it. */
export function givesReason(draft: Draft, who: Speaker, reason: string): boolean {
  const { mode, modeBy, modeReason } = draft.job;
  const waits = mode === 'held' && modeReason.trim() === '' && modeBy === who.by;
  if (!waits || reason.trim() === '') return false;
  changeMode(draft, 'held', who, reason.trim());
  return true;
}

/** Release of a hold or a stop: the foreman or a deputy, who is not turning the bolts; a stop needs a reason. */
export function release(draft: Draft, who: Speaker, reason: string): void {
  const { mode, holder } = draft.job;
  if (mode !== 'held' && mode !== 'stopped') return draft.refuse({ why: 'mode', mode }, who);
  if (!isForeman(draft, who)) return draft.refuse({ why: 'not-foreman' }, who, true);
  if (who.by === holder) return draft.refuse({ why: 'own-hold' }, who, true);
  if (mode === 'stopped' && reason.trim() === '') return draft.refuse({ why: 'reason-needed' }, who);
  backToWork(draft, who, reason);
}

function backToWork(draft: Draft, who: Speaker, reason: string): void {
  changeMode(draft, draft.job.route === 'park' ? 'parking' : 'working', who, reason);
}

/** Pause: the holder, outside a stretch without a place to stop. */
export function pause(draft: Draft, who: Speaker): void {
  const { mode, holder } = draft.job;
  if (who.by !== holder) return draft.refuse({ why: 'not-holder', holder: nameOf(draft, holder) }, who);
  if (mode !== 'working' && mode !== 'parking') return draft.refuse({ why: 'mode', mode }, who);
  if (inStretch(draft.flow.rules, draft.value)) return draft.refuse({ why: 'no-stop' }, who);
  changeMode(draft, 'paused', who, '');
}

/** Resume: the holder, after a pause or a park, or while parking is under way. */
export function resume(draft: Draft, who: Speaker): void {
  const { mode, holder } = draft.job;
  if (mode === 'held' || mode === 'stopped') return draft.refuse({ why: 'held', mode }, who);
  if (who.by !== holder) return draft.refuse({ why: 'not-holder', holder: nameOf(draft, holder) }, who);
  if (mode === 'parking') {
    // What the foreman called off is not taken up again by anybody else.
    const calledOff = draft.job.parkThen === 'called-off' && !isForeman(draft, who);
    if (calledOff) return draft.refuse({ why: 'not-foreman' }, who);
    draft.emit({ type: 'parking-ended', done: false, open: [], at: draft.now });
    changeMode(draft, 'working', who, '');
    return;
  }
  if (mode === 'handing-over') return changeMode(draft, 'working', who, '');
  if (mode !== 'paused' && mode !== 'parked') return draft.refuse({ why: 'mode', mode }, who);
  backToWork(draft, who, '');
}

/** Park, or call off: parking's own route runs first, after the landing where the job cannot be left. */
export function park(draft: Draft, who: Speaker, then: 'parked' | 'called-off'): void {
  const { mode, holder, parkThen } = draft.job;
  const foreman = isForeman(draft, who);
  if (then === 'called-off' && !foreman) return draft.refuse({ why: 'not-foreman' }, who, true);
  if (!foreman && who.by !== holder) {
    return draft.refuse({ why: 'not-holder', holder: nameOf(draft, holder) }, who);
  }
  if (mode !== 'working' && mode !== 'paused') {
    const again = parkThen !== null && then === 'called-off' && mode === 'parking';
    if (!again) return draft.refuse({ why: 'mode', mode }, who);
  }
  const landing = inStretch(draft.flow.rules, draft.value);
  draft.emit({ type: 'park-asked', then, landing, by: who.by, name: who.name, at: draft.now });
  if (!draft.flow.steps.some((step) => step.route === 'park')) {
    if (then === 'called-off') return endJob(draft, 'called-off', who);
    return changeMode(draft, 'parked', who, '');
  }
  if (mode === 'paused' && landing) return changeMode(draft, 'working', who, '');
  if (mode !== 'parking' && !landing) changeMode(draft, 'parking', who, '');
}

/** Offers the job to somebody else. Nothing moves until that one takes it. */
export function handOver(draft: Draft, who: Speaker, to: string): void {
  const { job, now } = draft;
  const foreman = isForeman(draft, who);
  if (!foreman && who.by !== job.holder) {
    return draft.refuse({ why: 'not-holder', holder: nameOf(draft, job.holder) }, who);
  }
  const movable = job.mode === 'working' || job.mode === 'paused' || job.mode === 'parked';
  if (!movable && !(foreman && (job.mode === 'held' || job.mode === 'stopped'))) {
    return draft.refuse({ why: 'mode', mode: job.mode }, who);
  }
  if (inStretch(draft.flow.rules, draft.value)) return draft.refuse({ why: 'no-stop' }, who);
  // One old lock at a time: with the new one on, the one before comes off before the job goes on to a third.
  if (job.oldLock !== null && personalFacts(draft).some((fact) => draft.value(fact) !== 'gone')) {
    return draft.refuse({ why: 'old-lock', owner: nameOf(draft, job.oldLock) }, who);
  }
  const person = personNamed(draft, to);
  if (person === null) return draft.refuse({ why: 'unknown-person', said: to }, who);
  if (job.mode === 'working' || job.mode === 'paused') changeMode(draft, 'handing-over', who, '');
  const offered = { to: person, toName: nameOf(draft, person) };
  draft.emit({ type: 'hand-over-offered', ...offered, by: who.by, name: who.name, at: now });
}

/** What hangs on the person: the own lock. */
function personalFacts(draft: Draft): readonly string[] {
  return [...draft.flow.facts.values()].filter((fact) => fact.personal).map((fact) => fact.id);
}

/** Takes a job that was offered: everything is looked at afresh, and the old lock comes off after the new is on. */
export function take(draft: Draft, who: Speaker): void {
  const { job, flow, now, world } = draft;
  if (job.offered === null) return draft.refuse({ why: 'mode', mode: job.mode }, who);
  if (job.offered.to !== who.by) {
    return draft.refuse({ why: 'not-holder', holder: nameOf(draft, job.offered.to) }, who);
  }
  const personal = personalFacts(draft);
  const locked = personal.some((fact) => draft.value(fact) !== 'gone');
  const held = flow.levels.flatMap((level) => {
    const found = competence(world, flow, who.by, level);
    return found.ok ? [found.competence] : [];
  });
  const lost = changesOfLoss(flow.rules, personal, draft.value);
  draft.emit({
    type: 'holder-changed',
    from: job.holder,
    to: who.by,
    locked: locked && job.holder !== who.by,
    competence: held.slice(-1),
    name: who.name,
    at: now,
    changes: draft.timed(lost),
  });
  doubtAll(draft, 'hand-over');
  if (draft.job.mode === 'handing-over') changeMode(draft, 'working', who, '');
  if (draft.job.standby === who.by) presenceGone(draft, 'standby', 'new-person');
}

/** Somebody is no longer in the bay: the proofs that hang on this person's presence are in doubt. */
export function presenceGone(
  draft: Draft,
  who: 'holder' | 'standby',
  cause: 'away' | 'elsewhere' | 'check-in' | 'new-person',
): void {
  const on = who === 'standby' ? 'standby' : cause === 'elsewhere' ? 'elsewhere' : 'away';
  const facts = [...draft.flow.facts.values()].filter((fact) => fact.lapse.on.includes(on));
  const ids = facts.map((fact) => fact.id);
  draft.lapse(cause, ids);
}

/** The old holder confirms that his lock is off, or the foreman removes it in writing. */
export function oldLockOff(draft: Draft, who: Speaker, removedBecause: string | null): void {
  const { oldLock } = draft.job;
  if (oldLock === null) return draft.refuse({ why: 'nothing-asked' }, who);
  if (removedBecause === null && who.by !== oldLock) {
    return draft.refuse({ why: 'not-holder', holder: nameOf(draft, oldLock) }, who);
  }
  if (removedBecause !== null) {
    if (!isForeman(draft, who)) return draft.refuse({ why: 'not-foreman' }, who, true);
    if (removedBecause.trim() === '') return draft.refuse({ why: 'reason-needed' }, who);
  }
  draft.emit({
    type: 'old-lock-off',
    owner: oldLock,
    removed: removedBecause,
    by: who.by,
    name: who.name,
    at: draft.now,
  });
}

/** The id of the person with this id or name, or the start of one, whole and unambiguous; null for nobody. */
export function personNamed(draft: Draft, said: string): string | null {
  const wanted = said.trim().toLowerCase().replace(/^@/, '');
  if (wanted === '') return null;
  const people = [...draft.world.people.values()];
  const exact = people.find((person) => [person.id, person.name].some((n) => n.toLowerCase() === wanted));
  if (exact !== undefined) return exact.id;
  const begins = people.filter((person) => person.name.toLowerCase().split(' ').includes(wanted));
  const only = begins.length === 1 ? begins[0] : undefined;
  return only?.id ?? null;
}

/** The name by which a person is spoken to. */
export function nameOf(draft: Draft, id: string): string {
  return draft.world.people.get(id)?.name ?? id;
}
