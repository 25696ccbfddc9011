import type { Step } from '../flow/flow.js';
import { changesOfCompleting, changesOfShowing } from '../rule/change.js';
import { detourTo, inStretch, openChoices, settleNext } from '../rule/course.js';
import { firstOpen, type Next, next } from '../rule/next.js';
import type { FactId } from '../rule/rules.js';
import { valueIn } from '../units/quantity.js';
import type { Draft, Speaker } from './draft.js';
import { NOBODY } from './draft.js';
import { endJob, parkedOpen } from './end.js';
import type { GateEvidence } from './event.js';
import { competence, gearFor } from './fit.js';
import { moveReleases } from './meanwhile.js';
import { type TightenPlan, tightenPlan } from './tighten.js';
import { valueOfRef, valuesOfStep } from './value.js';
import { courseOfJob, frontWith, indexOfStep, lacksAtAnswer, stepOfIndex, viewOfJob } from './view.js';
import { changeMode } from './ways.js';

/**
 * Takes the job on to its next question: closes what stands already, opens again what is missing, asks for looks,
 * waits, shows the step, or ends. Does nothing when the open question is still the right one.
 */
export function advance(draft: Draft): void {
  for (let turn = 0; turn < 4 * draft.flow.steps.length + 16; turn++) {
    if (draft.job.mode !== 'working' && draft.job.mode !== 'parking') return;
    if (draft.job.oldLock !== null && lockIsOn(draft)) return;
    landThenPark(draft);
    const what = upcoming(draft);
    if (what === null || !take(draft, what)) return;
  }
  // The checker has proved that this cannot be; if it happens all the same, nobody is sent round for ever.
  changeMode(draft, 'held', NOBODY, 'the flow goes round in a circle');
}

/** After a handover the newcomer's lock is on: the old one comes off before anything else. */
function lockIsOn(draft: Draft): boolean {
  return [...draft.flow.facts.values()].some((fact) => fact.personal && draft.value(fact.id) === 'stands');
}

/** What comes next, or null when the question that is open stays. */
function upcoming(draft: Draft): Next | null {
  const { job, flow } = draft;
  const { asked } = job;
  const view = viewOfJob(job, flow);
  if (asked === null || asked.ended) return next(flow.rules, view);
  if (asked.what !== 'step') {
    const what = next(flow.rules, view);
    const same = what.do === 'look' && sameFacts(what.facts, asked.facts);
    return same || asked.what === 'which' ? null : what;
  }
  const index = indexOfStep(flow, asked.step);
  if (firstOpen(flow.rules, view) !== index) return next(flow.rules, view);
  // What the open step itself made or ended went in doubt when it was shown, and says nothing now.
  const lost = lacksAtAnswer(job, flow, index);
  if (lost !== null) {
    draft.emit({ type: 'visit-ended', step: asked.step, because: 'lapse', at: draft.now });
  }
  return lost;
}

/** Does what comes next; false when people have to answer, or time to pass, before anything more can. */
function take(draft: Draft, what: Next): boolean {
  const { flow, now } = draft;
  switch (what.do) {
    case 'close': {
      const step = stepOfIndex(flow, what.index);
      const front = frontWith(draft.job, flow, what.index);
      draft.emit({ type: 'step-closed', step: step.id, front, facts: step.makes, at: now });
      return true;
    }
    case 'reopen':
      reopen(draft, what);
      return true;
    case 'look':
      draft.emit({
        type: 'look-asked',
        facts: what.facts,
        forStep: stepOfIndex(flow, what.index).id,
        visit: draft.job.visits + 1,
        which: false,
        at: now,
      });
      return false;
    case 'wait':
      waitFor(draft, stepOfIndex(flow, what.index), what.facts);
      return false;
    case 'show':
      return showStep(draft, what.index);
    case 'stuck':
      changeMode(draft, 'held', NOBODY, `nothing brings back ${what.fact}`);
      return false;
    case 'end':
      if (draft.job.route === 'park') parkingEnds(draft);
      else endJob(draft, 'done', NOBODY);
      return false;
  }
}

function sameFacts(a: readonly FactId[], b: readonly FactId[]): boolean {
  return a.length === b.length && a.every((fact) => b.includes(fact));
}

function reopen(draft: Draft, what: Next & { do: 'reopen' }): void {
  const { job, flow } = draft;
  const forStep = stepOfIndex(flow, what.index).id;
  const steps = what.steps.map((index) => stepOfIndex(flow, index).id);
  const standing = job.facts[what.fact];
  const because = standing?.value === 'doubt' ? (standing.why ?? 'gone') : 'gone';
  const course = courseOfJob(job, flow);
  settleNext(flow.rules, course, what);
  const detour = detourTo(flow.rules, course, what.index);
  draft.emit({ type: 'steps-reopened', steps, fact: what.fact, because, forStep, detour, at: draft.now });
}

function waitFor(draft: Draft, step: Step, facts: readonly FactId[]): void {
  const until = Math.max(...facts.map((fact) => draft.job.facts[fact]?.at ?? draft.now));
  const { waitingFor } = draft.job;
  if (waitingFor?.step === step.id && waitingFor.until === until) return;
  draft.emit({ type: 'waiting', step: step.id, facts, until, at: draft.now });
}

/** Shows a step, or completes one that only waited. False when somebody has to answer it. */
function showStep(draft: Draft, index: number): boolean {
  const { flow } = draft;
  const step = stepOfIndex(flow, index);
  const missing = valuesOfStep(flow, step).find((key) => draft.job.values[key] === undefined);
  if (missing !== undefined) {
    if (draft.job.missing !== missing) askForValue(draft, missing, step.id);
    return false;
  }
  if (!stretchFits(draft, step)) return false;
  const afresh = draft.job.asked?.step === step.id && draft.job.asked.ended;
  const front = frontWith(draft.job, flow, index);
  const why = afresh ? 'afresh' : front === step.id || step.route === 'park' ? 'next' : 'detour';
  draft.emit({
    type: 'step-shown',
    step: step.id,
    front,
    visit: draft.job.visits + 1,
    word: drawWord(draft, step),
    why,
    plan: planOf(draft, step),
    at: draft.now,
    changes: draft.timed(changesOfShowing(flow.rules, step, draft.value)),
  });
  if (step.asks.length > 0) return false;
  completeStep(draft, step, NOBODY, null);
  return true;
}

function planOf(draft: Draft, step: Step): TightenPlan | null {
  if (step.tighten === null) return null;
  const gear = gearFor(draft.job, draft.world, step);
  const used = gear.ok ? gear.gear.find((piece) => piece.kind === 'wrench') : undefined;
  return tightenPlan(draft.job, step, used === undefined ? null : (draft.world.gear.get(used.id) ?? null));
}

function askForValue(draft: Draft, key: string, step: string): void {
  draft.emit({ type: 'value-missing', key, step, at: draft.now });
  draft.emit({ type: 'summoned', what: 'value-missing', to: 'foreman', detail: key, at: draft.now });
}

/** The word of this visit, drawn from the gate's own small set. */
function drawWord(draft: Draft, step: Step): string | null {
  const ask = step.asks.at(-1);
  if (ask?.ask !== 'word') return null;
  const at = Math.min(Math.floor(draft.world.draw * ask.words.length), ask.words.length - 1);
  return ask.words[at] ?? null;
}

/** Closes a step with what it makes and ends, and the evidence of who and with what. */
export function completeStep(draft: Draft, step: Step, who: Speaker, gate: GateEvidence | null): void {
  const { job, flow, world } = draft;
  const asked = job.asked?.what === 'step' && job.asked.step === step.id ? job.asked : null;
  const made = asked?.answers.flatMap(({ answer }) =>
    answer.ask === 'choice' ? [[answer.choice, answer.option] as const] : [],
  );
  const gear = gearFor(job, world, step);
  draft.emit({
    type: 'step-completed',
    step: step.id,
    visit: asked?.visit ?? job.visits,
    shownAt: asked?.shownAt ?? draft.now,
    gate,
    gear: gate?.gear ?? (gear.ok ? gear.gear : []),
    choice: made === undefined || made.length === 0 ? null : Object.fromEntries(made),
    by: who.by,
    name: who.name,
    at: draft.now,
    changes: draft.timed(changesOfCompleting(flow.rules, step, draft.value)),
  });
  holdIfNoInstant(draft, step);
  const { oldLock } = draft.job;
  const locks = step.makes.some((id) => flow.facts.get(id)?.personal === true);
  if (oldLock !== null && locks) {
    const detail = `lock of ${job.names[oldLock] ?? oldLock}`;
    draft.emit({ type: 'summoned', what: 'lock', to: 'foreman', detail, at: draft.now });
  }
}

/** A wait whose formula refuses has no end: that is the foreman's to decide, not a timer's. */
function holdIfNoInstant(draft: Draft, step: Step): void {
  const lost = step.makes.find((id) => {
    const standing = draft.job.facts[id];
    return standing?.value === 'running' && standing.at === null;
  });
  if (lost === undefined) return;
  moveReleases(draft);
  // Air out of range stops a cure and is waited for.
  const stopped = draft.job.facts[lost]?.stopped;
  if (stopped === undefined || stopped.because === 'cure-not-computable')
    changeMode(draft, 'held', NOBODY, `cannot compute ${lost}`);
}

/**
 * Before a stretch in which the job cannot be left: people's levels, gear dates and the end of the shift must
 * cover all of it. A refusal is told and the step is not shown; the next message tries again.
 */
function stretchFits(draft: Draft, step: Step): boolean {
  const { flow, job, world } = draft;
  const entered = step.makes.flatMap((id) => {
    const fact = flow.facts.get(id);
    return fact?.noStop === true && draft.value(id) === 'gone' ? [fact] : [];
  });
  if (entered.length === 0) return true;
  const takes = entered
    .flatMap((fact) => fact.lasts)
    .map((part) => {
      const quantity = valueOfRef(job, part);
      return quantity === null ? 0 : valueIn(quantity, 'min');
    });
  const needMinutes = takes.reduce((sum, minutes) => sum + minutes, 0);
  const leftMinutes = world.shiftEndsAt === null ? null : (world.shiftEndsAt - draft.now) / 60_000;
  const who = { by: job.holder, name: world.people.get(job.holder)?.name ?? job.holder };
  if (leftMinutes !== null && leftMinutes < needMinutes) {
    refuseOnce(draft, { why: 'shift-end', needMinutes, leftMinutes: Math.floor(leftMinutes) }, who);
    return false;
  }
  for (const ahead of stretchFrom(draft, step)) {
    const level = flow.hazards.get(ahead.hazard)?.level ?? null;
    const held = level === null ? null : competence(world, flow, job.holder, level);
    const gear = gearFor(job, world, ahead);
    const refusal = held !== null && !held.ok ? held.refusal : gear.ok ? null : gear.refusal;
    if (refusal === null) continue;
    refuseOnce(draft, refusal, who);
    return false;
  }
  return true;
}

function refuseOnce(draft: Draft, refusal: Parameters<Draft['refuse']>[0], who: Speaker): void {
  const told = draft.events.some((event) => event.type === 'refused' && event.refusal.why === refusal.why);
  if (!told) draft.refuse(refusal, who);
}

/** The steps from here to the one that ends the stretch. */
function stretchFrom(draft: Draft, step: Step): Step[] {
  const noStop = step.makes.filter((id) => draft.flow.facts.get(id)?.noStop === true);
  const from = indexOfStep(draft.flow, step.id);
  const end = draft.flow.steps.findIndex(
    (s, index) => index > from && noStop.some((id) => s.ends.includes(id)),
  );
  return draft.flow.steps.slice(from, end < 0 ? from + 1 : end + 1);
}

/** A park that was asked inside a stretch begins as soon as the stretch is over. */
function landThenPark(draft: Draft): void {
  const { job, flow } = draft;
  if (job.parkThen === null || job.route === 'park' || inStretch(flow.rules, draft.value)) return;
  if (!flow.steps.some((step) => step.route === 'park')) return;
  const open = flow.steps.filter((step) => step.route === 'job' && job.closed[step.id] !== true);
  draft.emit({
    type: 'parking-begun',
    choices: openChoices(flow.rules, draft.value),
    shelved: open.map((step) => step.id),
    parkSteps: flow.steps.filter((step) => step.route === 'park').map((step) => step.id),
    at: draft.now,
  });
  const who = { by: job.holder, name: job.names[job.holder] ?? job.holder };
  if (job.mode === 'working') changeMode(draft, 'parking', who, '');
}

function parkingEnds(draft: Draft): void {
  const then = draft.job.parkThen ?? 'parked';
  const open = parkedOpen(draft);
  draft.emit({ type: 'parking-ended', done: true, open, at: draft.now });
  if (then === 'called-off') endJob(draft, 'called-off', NOBODY);
  else changeMode(draft, 'parked', NOBODY, '');
}
