import type { Flow } from '../flow/flow.js';
import { changesOfLook, changesOfLoss } from '../rule/change.js';
import { next } from '../rule/next.js';
import { advance } from './advance.js';
import { answerStep, staleness } from './answer.js';
import { leaveBalance } from './balance.js';
import { agreeCatchUp, catchUp, correctLast, correctStep, setValue } from './correct.js';
import { Draft, type Speaker } from './draft.js';
import type { Event, GearUsed, Summons, Value } from './event.js';
import { faultOf, usedNow } from './fit.js';
import { isGateWord, wordHere } from './gate.js';
import type { GlobalWord, Heard } from './heard.js';
import { type Input, type Notice, wordsOf } from './input.js';
import type { Job } from './job.js';
import { leaveOut } from './leave-out.js';
import { logAirNow } from './meanwhile.js';
import type { Refusal } from './refusal.js';
import { bringUp, gearLapses, testerLapses } from './time.js';
import { indexOfStep, viewOfJob } from './view.js';
import { logOf, watchOpen } from './watch.js';
import { correctSighting, takeBackSighting } from './watching.js';
import {
  doubtAll,
  givesReason,
  handOver,
  hold,
  nameOf,
  oldLockOff,
  park,
  pause,
  presenceGone,
  release,
  resume,
  stop,
  take,
} from './ways.js';
import type { World } from './world.js';

export type Cause = { readonly input: Input; readonly heard: Heard } | 'time-passed';

/**
 * Judges what reached a job, or what time has done to it, and says what is concluded. Pure: the same job, cause and
 * world give the same events. The job is first brought up to the present; a job that has ended concludes nothing.
 */
export function decide(job: Job, flow: Flow, cause: Cause, world: World): Event[] {
  return decision(job, flow, cause, world).events;
}

/** What was concluded, and the job as these events leave it: the same as folding them into it once more. */
export type Decision = { readonly events: Event[]; readonly job: Job };

/** `decide`, with the job that follows. */
export function decision(job: Job, flow: Flow, cause: Cause, world: World): Decision {
  const draft = new Draft(job, flow, world);
  if (job.mode === 'done' || job.mode === 'called-off') return draft;
  bringUp(draft);
  if (cause !== 'time-passed') hearInput(draft, cause.input, cause.heard);
  else if (draft.events.length > 0 && !staysSilent(draft)) advance(draft);
  return draft;
}

/** A gate that nobody answered is put once more when somebody speaks, and not to an empty bay every quarter of an hour. */
function staysSilent({ job, flow }: Draft): boolean {
  const { asked } = job;
  if (asked === null || !asked.silent) return false;
  const what = next(flow.rules, viewOfJob(job, flow));
  return what.do === 'show' && what.index === indexOfStep(flow, asked.step);
}

/** The first conclusion after a job was started: its first question. */
export function begin(job: Job, flow: Flow, world: World): Event[] {
  const draft = new Draft(job, flow, world);
  noteShift(draft);
  advance(draft);
  return draft.events;
}

function hearInput(draft: Draft, input: Input, heard: Heard): void {
  const who: Speaker = { by: input.by, name: input.name };
  if (input.body.is === 'notice') {
    hearNotice(draft, input.body.notice);
    return advance(draft);
  }
  if (input.marks.bot === true) return;
  if (heard.heard === 'stop') return stop(draft, who, heard.danger);
  if (heard.heard === 'stop-maybe') return draft.refuse({ why: 'stop-maybe', danger: heard.danger }, who);
  const reads = heard.heard === 'word' && READS.has(heard.word);
  if (!draft.world.people.has(input.by) && !reads) {
    const speaks = heard.heard === 'yes' || heard.heard === 'readings' || isGateWord(draft, wordsOf(input));
    if (speaks || heard.heard === 'word') draft.refuse({ why: 'not-registered' }, who);
    if (isGateWord(draft, wordsOf(input))) callFor(draft, 'stranger', input.name);
    return;
  }
  if (input.marks.edited === true) return edited(draft, input, who);
  heardFrom(draft, who);
  if (heard.heard === 'word') globalWord(draft, heard.word, heard.rest, input, who);
  else if (heard.heard === 'undone') {
    undone(draft, heard.facts, who);
    if (heard.stopMaybe === true) draft.refuse({ why: 'stop-maybe', danger: null }, who);
  } else if (heard.heard === 'correction') correction(draft, heard.to, input, who);
  else if (heard.heard === 'unclear' && heard.because === 'undone-or-not') {
    // Whoever says it, in whatever words: hands may be in the pack.
    draft.refuse({ why: 'unclear', because: heard.because, detail: heard.detail }, who);
  } else answer(draft, input, heard, who);
  advance(draft);
}

function callFor(draft: Draft, what: Summons, detail: string): void {
  draft.emit({ type: 'summoned', what, to: 'foreman', detail, at: draft.now });
}

/** Words that anybody may say, registered or not: they read and change nothing. */
const READS: ReadonlySet<GlobalWord> = new Set(['where', 'why', 'list', 'help', 'numbers']);

function heardFrom(draft: Draft, who: Speaker): void {
  const { holder, standby } = draft.job;
  if (who.by !== holder && who.by !== standby) return;
  const { heardAt } = draft.job;
  const silentMs = draft.now - heardAt;
  draft.emit({ type: 'heard-from', person: who.by, at: draft.now });
  // Nobody was here between the shifts: a break like any other, though nobody said so.
  const unattended = silentMs > draft.world.settings.pauseMinutes * 60_000;
  if (who.by === holder && draft.job.shiftOver && unattended) doubtAll(draft, 'unattended', heardAt);
  if (who.by === standby && draft.job.checkIn?.askedAt != null) {
    draft.emit({ type: 'checked-in', person: who.by, at: draft.now });
  }
  noteShift(draft);
}

function noteShift(draft: Draft): void {
  const { shiftEndsAt } = draft.world;
  if (draft.job.shiftEndsAt === null && shiftEndsAt !== null && shiftEndsAt > draft.now) {
    draft.emit({ type: 'shift-noted', endsAt: shiftEndsAt, at: draft.now });
  }
}

function globalWord(draft: Draft, word: GlobalWord, rest: string, input: Input, who: Speaker): void {
  switch (word) {
    case 'where':
    case 'why':
    case 'list':
    case 'help':
    case 'numbers':
      return draft.emit({ type: 'told-about', what: word, by: who.by, name: who.name, at: draft.now });
    case 'note':
      return draft.emit({
        type: 'noted',
        text: rest,
        photo: input.body.is === 'photo' ? input.body.sha256 : null,
        step: draft.job.asked?.step ?? null,
        by: who.by,
        name: who.name,
        at: draft.now,
      });
    case 'pause':
      return pause(draft, who);
    case 'resume':
      return resume(draft, who);
    case 'hold':
      return hold(draft, who, rest);
    case 'release':
      return release(draft, who, rest);
    case 'park':
      return park(draft, who, 'parked');
    case 'call-off':
      return park(draft, who, 'called-off');
    case 'hand-over':
      return handOver(draft, who, rest);
    case 'take':
      return take(draft, who);
    case 'away':
      return away(draft, who);
    case 'here':
      return here(draft, who);
    case 'air':
      return logAirNow(draft, rest, who);
    case 'balance-unknown':
      return leaveBalance(draft, who, rest);
    case 'correct':
      if (rest.trim() === '' && takeBackSighting(draft, who)) return;
      return rest.trim() === '' ? correctLast(draft, who) : correctStep(draft, who, rest);
    case 'catch-up':
      return catchUp(draft, who, rest);
    case 'agree':
      return agreeCatchUp(draft, who);
    case 'value':
      return setValue(draft, who, rest, false);
    case 'adopt':
      return setValue(draft, who, rest, true);
    case 'lock-off':
      return oldLockOff(draft, who, null);
    case 'lock-removed':
      return oldLockOff(draft, who, rest);
    case 'leave-out':
      return leaveOut(draft, who, rest);
    case 'gear':
      return rest.trim() === '' ? gearTrouble(draft, who) : takeGear(draft, rest, who);
    case 'standby':
    case 'seen':
      return answer(draft, input, { heard: 'word', word, rest }, who);
    case 'back':
      return draft.refuse({ why: 'unclear', because: 'back-which', detail: '' }, who);
  }
}

/** Away: the standby's, or the holder's, presence is no longer there. */
function away(draft: Draft, who: Speaker): void {
  const { holder, standby } = draft.job;
  if (who.by !== standby && who.by !== holder) return;
  presenceGone(draft, who.by === standby ? 'standby' : 'holder', 'away');
}

function here(draft: Draft, who: Speaker): void {
  if (who.by === draft.job.standby) {
    draft.emit({ type: 'checked-in', person: who.by, at: draft.now });
  }
}

/** Gloves hurt, soiled, gear dropped: what rests on the gear has to be proved again. */
function gearTrouble(draft: Draft, who: Speaker): void {
  const { holder, standby } = draft.job;
  if (who.by !== holder && who.by !== standby) {
    return draft.refuse({ why: 'not-holder', holder: nameOf(draft, holder) }, who);
  }
  gearLapses(draft);
}

/** Other gear from here on: `gear W2`. New gloves, tester or source have to be tried like the first ones. */
function takeGear(draft: Draft, rest: string, who: Speaker): void {
  const { holder } = draft.job;
  if (who.by !== holder) return draft.refuse({ why: 'not-holder', holder: nameOf(draft, holder) }, who);
  const named = rest.split(/[\s,;+&]+/).filter((word) => word !== '' && !/^(and|plus|with)$/i.test(word));
  const taken: GearUsed[] = [];
  for (const id of named) {
    const piece = [...draft.world.gear.values()].find((one) => one.id.toLowerCase() === id.toLowerCase());
    // Not the id of a piece: it is a report about the gear, and the careful reading of it.
    if (piece === undefined) return gearTrouble(draft, who);
    const because = faultOf(draft.job, draft.world, null, piece);
    if (because !== null) {
      return draft.refuse({ why: 'gear', kind: piece.kind, id: piece.id, because, instead: [] }, who);
    }
    taken.push(usedNow(piece));
  }
  draft.emit({ type: 'gear-taken', gear: taken, by: who.by, name: who.name, at: draft.now });
  if (taken.some((used) => used.kind !== 'wrench' && used.kind !== 'gauge')) gearLapses(draft);
}

function undone(draft: Draft, facts: readonly string[], who: Speaker): void {
  const lost = facts.filter((fact) => draft.value(fact) !== 'gone');
  const changes = draft.timed(changesOfLoss(draft.flow.rules, lost, draft.value));
  draft.emit({ type: 'undone', facts: lost, by: who.by, name: who.name, at: draft.now, changes });
}

/** `no, 30` inside a step that is no gate: the number just told is taken back, and the new one answers. */
function takeBack(draft: Draft, to: Heard, input: Input, who: Speaker): boolean {
  const { asked, holder } = draft.job;
  if (asked === null || asked.what !== 'step' || asked.ended || who.by !== holder) return false;
  const open = watchOpen(draft.job, draft.flow);
  if (open !== null && logOf(draft.job, open.watch.name).sightings.length > 0) {
    correctSighting(draft, open.step, open.watch, to, input, who);
    return true;
  }
  const step = draft.flow.steps.find((one) => one.id === asked.step);
  const ask = asked.answers.length - 1;
  if (step === undefined || step.kind === 'gate' || step.asks[ask]?.ask !== 'reading') return false;
  const at = draft.now;
  draft.emit({ type: 'answer-taken-back', step: step.id, ask, by: who.by, name: who.name, at });
  answerStep(draft, input, to, who);
  return true;
}

function correction(draft: Draft, to: Heard, input: Input, who: Speaker): void {
  if (takeBack(draft, to, input, who)) return;
  const { asked, last } = draft.job;
  const wasReading = last !== null && asked?.answers.length === 0 && draft.job.closed[last.step] === true;
  correctLast(draft, who);
  if (draft.events.some((event) => event.type === 'refused')) return;
  advance(draft);
  const again = draft.job.asked;
  if (!wasReading || again === null || again.step !== last?.step) return;
  const step = draft.flow.steps.find((one) => one.id === again.step);
  const watched = watchOpen(draft.job, draft.flow);
  if (watched !== null) return correctSighting(draft, watched.step, watched.watch, to, input, who);
  // The step stands open again with the same question: the corrected number answers it. A gate asks all anew.
  const single = step?.kind === 'measure' && step.asks.length === 1;
  if (single) answerStep(draft, { ...input, seen: draft.job.places[again.seq] ?? input.seen }, to, who);
}

function edited(draft: Draft, input: Input, who: Speaker): void {
  if (draft.job.asked?.word != null && isGateWord(draft, wordsOf(input))) {
    return draft.refuse({ why: 'marked', mark: 'edited' }, who, true);
  }
  const { last, readings } = draft.job;
  const name = last === null ? undefined : Object.keys(readings).at(-1);
  const kept = name === undefined ? undefined : readings[name]?.[0]?.quantity;
  draft.refuse({ why: 'edit-kept', kept: kept === undefined ? '' : `${kept.value} ${kept.unit}` }, who);
}

function answer(draft: Draft, input: Input, heard: Heard, who: Speaker): void {
  const { job } = draft;
  const { asked } = job;
  if (job.mode !== 'working' && job.mode !== 'parking') {
    const words = heard.heard === 'yes' ? '' : wordsOf(input);
    if (input.body.is === 'text' && givesReason(draft, who, words)) return;
    if (who.by === job.holder) draft.refuse({ why: 'mode', mode: job.mode }, who);
    return;
  }
  if (asked?.ended === true) return;
  if (asked === null) return nothingAsked(draft, input, heard, who);
  if (asked.what === 'step') return answerStep(draft, input, heard, who);
  answerLook(draft, input, heard, who);
}

function nothingAsked(draft: Draft, input: Input, heard: Heard, who: Speaker): void {
  const { job } = draft;
  const spoke = heard.heard !== 'unclear' && heard.heard !== 'text';
  if (who.by !== job.holder || (!spoke && !isGateWord(draft, wordsOf(input)))) return;
  if (isGateWord(draft, wordsOf(input)) && draft.world.elsewhere.has(who.by)) {
    return draft.refuse(wordHere(draft, who), who, true);
  }
  if (job.oldLock !== null) {
    return draft.refuse({ why: 'old-lock', owner: nameOf(draft, job.oldLock) }, who);
  }
  if (job.missing !== null) return draft.refuse({ why: 'value-missing', key: job.missing }, who);
  if (job.waitingFor === null) return;
  const stopped = job.waitingFor.facts.some((fact) => job.facts[fact]?.stopped !== undefined);
  draft.refuse({ why: 'waiting', until: stopped ? null : job.waitingFor.until }, who);
}

/** A look is answered by whoever holds the job; `no` to several asks which. */
function answerLook(draft: Draft, input: Input, heard: Heard, who: Speaker): void {
  const { asked, holder } = draft.job;
  if (asked === null) return;
  const stale = staleness(draft, input, null);
  if (stale !== null && who.by === holder) return draft.refuse(stale, who);
  if (isGateWord(draft, wordsOf(input))) return draft.refuse(wordHere(draft, who), who, true);
  const refusal: Refusal | null =
    who.by === holder ? null : { why: 'not-holder', holder: nameOf(draft, holder) };
  if (heard.heard === 'unclear') {
    if (refusal === null) draft.refuse({ why: 'unclear', because: heard.because, detail: heard.detail }, who);
    return;
  }
  if (heard.heard !== 'yes' && heard.heard !== 'no' && heard.heard !== 'choice') return;
  if (refusal !== null) return draft.refuse(refusal, who);
  if (asked.what === 'which') return answerWhich(draft, heard, who);
  if (heard.heard === 'choice') return;
  if (heard.heard === 'no' && asked.facts.length > 1) {
    draft.emit({
      type: 'look-asked',
      facts: asked.facts,
      forStep: asked.step,
      visit: draft.job.visits + 1,
      which: true,
      at: draft.now,
    });
    return;
  }
  looked(draft, asked.facts, heard.heard === 'yes', who);
}

function answerWhich(draft: Draft, heard: Heard, who: Speaker): void {
  const { asked } = draft.job;
  if (asked === null || heard.heard !== 'choice' || !asked.facts.includes(heard.option)) {
    return draft.refuse({ why: 'unclear', because: 'which-option', detail: '' }, who);
  }
  looked(draft, [heard.option], false, who);
}

function looked(draft: Draft, facts: readonly string[], found: boolean, who: Speaker): void {
  const changes = found ? changesOfLook : changesOfLoss;
  draft.emit({
    type: 'looked',
    facts,
    found,
    by: who.by,
    name: who.name,
    at: draft.now,
    changes: draft.timed(changes(draft.flow.rules, facts, draft.value)),
  });
}

/** Word from elsewhere: somebody has gone to another bay, a tester is out, there is smoke in the shop. */
function hearNotice(draft: Draft, notice: Notice): void {
  const { job } = draft;
  switch (notice.of) {
    case 'elsewhere':
      if (notice.person === job.standby) presenceGone(draft, 'standby', 'elsewhere');
      else if (notice.person === job.holder) presenceGone(draft, 'holder', 'elsewhere');
      return;
    case 'danger':
      return draft.emit({ type: 'told-danger', danger: notice.danger, bay: notice.bay, at: draft.now });
    case 'gear-out':
      if (!Object.values(job.gear).some((used) => used.id === notice.gear)) return;
      draft.emit({ type: 'told-gear', gear: notice.gear, bay: notice.bay, at: draft.now });
      return testerLapses(draft);
    case 'value-changed':
      // Adopted here already: nobody is asked twice.
      if (sameValue(job.values[notice.key] ?? null, notice.value)) return;
      return draft.emit({
        type: 'told-value',
        key: notice.key,
        value: notice.value,
        bay: notice.bay,
        at: draft.now,
      });
  }
}

function sameValue(one: Value | null, other: Value | null): boolean {
  if (one === null || other === null) return one === other;
  const { quantity: a, text } = one;
  const { quantity: b } = other;
  return text === other.text && a?.value === b?.value && a?.unit === b?.unit;
}
