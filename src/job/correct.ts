import type { Step } from '../flow/flow.js';
import { valuesUsed, valuesOfStep as valuesUsedBy } from '../flow/values.js';
import { changesOfCompleting, changesOfDoubt } from '../rule/change.js';
import { applyChanges, copyCourse, factValue, inStretch } from '../rule/course.js';
import { applies, type FactId } from '../rule/rules.js';
import { parseQuantity } from '../units/notation.js';
import { dimensionOf } from '../units/unit.js';
import { clockInstant } from './clock.js';
import type { Draft, Speaker } from './draft.js';
import type { FactChange, Mode, Value } from './event.js';
import { keyOf, valuesOfStep } from './value.js';
import { courseOfJob, indexOfStep, stepOf } from './view.js';
import { isForeman, nameOf } from './ways.js';

/**
 * A correction only opens steps again and puts facts in doubt, so a hold is no hindrance: what is held is asked after the
 * release. A stop, a pause, a park and a handover come to their own end first.
 */
const CORRECTABLE: ReadonlySet<Mode> = new Set<Mode>(['working', 'parking', 'held']);

/** Opens the step again whose last answer was wrong. At a gate everything is asked anew. */
export function correctLast(draft: Draft, who: Speaker): void {
  const { asked, last, holder } = draft.job;
  if (who.by !== holder) return draft.refuse({ why: 'not-holder', holder: nameOf(draft, holder) }, who);
  const { mode } = draft.job;
  if (!CORRECTABLE.has(mode)) return draft.refuse({ why: 'mode', mode }, who);
  if (asked !== null && asked.what === 'step' && asked.answers.length > 0) {
    draft.emit({ type: 'visit-ended', step: asked.step, because: 'correction', at: draft.now });
    return;
  }
  if (last === null || draft.job.closed[last.step] !== true) {
    // What was answered in the step that is held is asked afresh after the release.
    return draft.refuse(
      last !== null && mode === 'held' ? { why: 'asked-afresh' } : { why: 'nothing-asked' },
      who,
    );
  }
  reopenForCorrection(draft, [last.step], 'correction');
}

/** Opens a named step again. */
export function correctStep(draft: Draft, who: Speaker, said: string): void {
  const { holder, closed } = draft.job;
  if (who.by !== holder && !isForeman(draft, who)) {
    return draft.refuse({ why: 'not-holder', holder: nameOf(draft, holder) }, who);
  }
  if (/^last$/i.test(said.trim())) return correctLast(draft, who);
  const { mode } = draft.job;
  if (!CORRECTABLE.has(mode)) return draft.refuse({ why: 'mode', mode }, who);
  // A step of the night before is not shown in the morning: opened again, it would only forget what was told in it.
  const done = draft.flow.steps.filter((step) => closed[step.id] === true && step.route === draft.job.route);
  const step = stepNamed(done, said);
  if (step === null) return draft.refuse({ why: 'unknown-value', said }, who);
  reopenForCorrection(draft, [step.id], 'correction');
}

function reopenForCorrection(draft: Draft, steps: readonly string[], because: 'correction' | 'value'): void {
  const first = steps[0];
  if (first === undefined) return;
  const { flow } = draft;
  const shaken = steps.flatMap((id) => stepOf(flow, id).makes);
  draft.doubt('correction', changesOfDoubt(flow.rules, shaken, draft.value));
  const opened = new Set(steps);
  // As with any reopened step: what it opens is closed again by the steps that closed it before.
  for (const id of steps) {
    for (const made of stepOf(flow, id).makes) {
      if (flow.facts.get(made)?.opening !== true) continue;
      for (const later of flow.steps.slice(indexOfStep(flow, id) + 1)) {
        if (draft.job.closed[later.id] === true && later.ends.includes(made)) opened.add(later.id);
      }
    }
  }
  const inOrder = [...opened].sort((a, b) => indexOfStep(flow, a) - indexOfStep(flow, b));
  draft.emit({
    type: 'steps-reopened',
    steps: inOrder,
    fact: null,
    because,
    forStep: first,
    detour: null,
    at: draft.now,
  });
}

/** A step by its id, or by the end of one where that names only one. */
export function stepNamed(steps: readonly Step[], said: string): Step | null {
  const wanted = said.trim().toLowerCase();
  if (wanted === '') return null;
  const exact = steps.find((step) => step.id === wanted);
  if (exact !== undefined) return exact;
  const ends = steps.filter((step) => step.id.endsWith(`/${wanted}`));
  return ends.length === 1 ? (ends[0] ?? null) : null;
}

/** Foreman and holder together say that reality ran ahead; the first of the two offers, the other agrees. */
export function catchUp(draft: Draft, who: Speaker, said: string): void {
  const { job, flow } = draft;
  const foreman = isForeman(draft, who);
  if (!foreman && who.by !== job.holder) {
    return draft.refuse({ why: 'not-holder', holder: nameOf(draft, job.holder) }, who);
  }
  const to = stepNamed(flow.steps, said.replace(/^to\b/i, ''));
  const now = job.asked?.step ?? job.front;
  const ahead =
    to !== null && to.route === 'job' && (now === null || indexOfStep(flow, to.id) > indexOfStep(flow, now));
  if (to === null || !ahead) return draft.refuse({ why: 'unknown-value', said }, who);
  const at = draft.now;
  draft.emit({ type: 'catch-up-offered', to: to.id, foreman, by: who.by, name: who.name, at });
}

/**
 * Both agree: the steps up to the named one are passed over, marked as not witnessed by the bot. No gate is
 * back-dated: every proof is in doubt and every state is looked at.
 */
export function agreeCatchUp(draft: Draft, who: Speaker): void {
  const { job, flow } = draft;
  const offer = job.catchUp;
  if (offer === null) return draft.refuse({ why: 'nothing-asked' }, who);
  const foreman = isForeman(draft, who);
  const other = offer.foreman ? who.by === job.holder : foreman;
  if (!other || who.by === offer.by) {
    return draft.refuse(
      offer.foreman ? { why: 'not-holder', holder: nameOf(draft, job.holder) } : { why: 'not-foreman' },
      who,
    );
  }
  const course = copyCourse(courseOfJob(job, flow));
  const target = indexOfStep(flow, offer.to);
  const passed: string[] = [];
  const started = new Map<FactId, number | null>();
  flow.steps.forEach((step, index) => {
    if (index >= target || step.route === 'park' || course.closed[index] === 1) return;
    if (!applies(step, job.choices)) return;
    const changes = changesOfCompleting(flow.rules, step, (fact) => factValue(flow.rules, course, fact));
    applyChanges(flow.rules, course, changes);
    for (const change of changes) {
      if (change.starts === true) started.set(change.fact, clockInstant(job, flow, change.fact, draft.now));
    }
    passed.push(step.id);
  });
  const value = (fact: FactId) => factValue(flow.rules, course, fact);
  const unsure = flow.rules.facts.filter((fact) => fact.kind !== 'clock').map((fact) => fact.id);
  applyChanges(flow.rules, course, changesOfDoubt(flow.rules, unsure, value));
  const changes: FactChange[] = [];
  for (const { id } of flow.rules.facts) {
    const to = value(id);
    if (to === draft.value(id) && !started.has(id)) continue;
    const at = started.get(id) ?? null;
    changes.push(at === null ? { fact: id, to } : { fact: id, to, at, starts: true });
  }
  const before = passed.at(-1);
  const further =
    before !== undefined && (job.front === null || indexOfStep(flow, before) > indexOfStep(flow, job.front));
  draft.emit({
    type: 'caught-up',
    to: offer.to,
    front: further ? before : job.front,
    closed: passed,
    agreed: [offer.by, who.by],
    by: who.by,
    name: who.name,
    at: draft.now,
    changes,
  });
}

/** Whether a value can be changed now, and the value as typed: `discharge-wait 10 min manual 4.2`. */
export function setValue(draft: Draft, who: Speaker, said: string, adopted: boolean): void {
  if (!isForeman(draft, who)) return draft.refuse({ why: 'not-foreman' }, who, true);
  const words = /^(\S+)\s+(.+)$/s.exec(said.trim());
  const key = words?.[1] === undefined ? null : keyNamed(draft, words[1]);
  const value = words?.[2] === undefined ? null : valueFrom(words[2], who.name);
  if (key === null || value === null) return draft.refuse({ why: 'unknown-value', said }, who);
  if (!fitsKey(draft, key, value)) return draft.refuse({ why: 'wrong-kind', key, said }, who);
  if (value.reference === '') return draft.refuse({ why: 'source-needed' }, who);
  if (!adopted && draft.job.values[key] !== undefined)
    return draft.refuse({ why: 'unknown-value', said }, who);
  if (adopted && inStretch(draft.flow.rules, draft.value)) return draft.refuse({ why: 'no-stop' }, who);
  draft.emit({ type: 'value-set', key, value, adopted, by: who.by, name: who.name, at: draft.now });
  if (!adopted) return;
  moveClocks(draft, key);
  const used = draft.flow.steps.filter(
    (step) => draft.job.closed[step.id] === true && worksWith(draft, step, key),
  );
  const clocked = used.filter((step) => step.makes.every((id) => draft.flow.facts.get(id)?.clock == null));
  reopenForCorrection(
    draft,
    clocked.map((step) => step.id),
    'value',
  );
  draft.emit({ type: 'summoned', what: 'value-changed', to: 'shop', detail: key, at: draft.now });
}

/** Whether a step turned or judged something by this value, and not only said it. */
function worksWith(draft: Draft, step: Step, key: string): boolean {
  // How long a stretch takes is asked before it is entered, and of no use after.
  const stretch = step.makes.flatMap((id) => draft.flow.facts.get(id)?.lasts ?? []);
  if (stretch.some((part) => keyOf(part) === key)) return false;
  return valuesUsedBy(draft.flow.facts, step).some((use) => use.key === key && use.dimension !== null);
}

/** A clock whose time was wrong is moved to the careful side: a wait later, a deadline earlier. */
function moveClocks(draft: Draft, key: string): void {
  const changes: FactChange[] = [];
  for (const fact of draft.flow.facts.values()) {
    const standing = draft.job.facts[fact.id];
    const time = fact.time;
    if (standing === undefined || standing.at === null || time === null || 'value' in time) continue;
    if (`${time.from}.${time.name}` !== key || (standing.value !== 'running' && standing.value !== 'stands'))
      continue;
    const at = clockInstant(draft.job, draft.flow, fact.id, standing.since);
    if (at === null) continue;
    if (fact.clock === 'after' && at > standing.at) {
      changes.push({ fact: fact.id, to: at > draft.now ? 'running' : 'stands', at });
    }
    if (fact.clock === 'within' && at < standing.at) changes.push({ fact: fact.id, to: standing.value, at });
  }
  if (changes.length > 0) draft.emit({ type: 'clock-moved', because: 'value', at: draft.now, changes });
}

/** A value must be what the flow reads it as: minutes are no pressure. */
function fitsKey(draft: Draft, key: string, value: Value): boolean {
  const used = valuesUsed(draft.flow).find((one) => one.key === key);
  if (used === undefined || used.dimension === null) return true;
  if (used.dimension === 'text') return value.text !== null;
  return value.quantity !== null && dimensionOf(value.quantity.unit) === used.dimension;
}

function keyNamed(draft: Draft, said: string): string | null {
  const wanted = said.toLowerCase();
  const keys = new Set(draft.flow.steps.flatMap((step) => valuesOfStep(draft.flow, step)));
  if (keys.has(wanted)) return wanted;
  const named = [...keys].filter((key) => key.endsWith(`.${wanted}`));
  return named.length === 1 ? (named[0] ?? null) : null;
}

/** `10 min manual 4.2`: the amount, then where it stands. */
/** A value as typed, amount first: `10 min manual 4.2`; null for no words at all. */
export function valueFrom(text: string, enteredBy: string): Value | null {
  const words = text.trim().split(/\s+/);
  for (const take of [2, 3, 1]) {
    const amount = words.slice(0, take).join(' ');
    const quantity = parseQuantity(amount);
    const reference = words.slice(take).join(' ');
    if (quantity !== null) return { quantity, text: null, reference, enteredBy };
  }
  const [first, ...rest] = words;
  return first === undefined ? null : { quantity: null, text: first, reference: rest.join(' '), enteredBy };
}
