import type { Flow, Step } from '../flow/flow.js';
import type { ToldAbout } from '../job/event.js';
import type { Job } from '../job/job.js';
import { factOfJob } from '../job/view.js';
import { applies, type FactId } from '../rule/rules.js';
import { stoppedCure } from './change.js';
import { cap, listed, ln, stopped, when } from './line.js';
import { isPerhaps, openingsOf } from './mode.js';
import {
  bayOf,
  causeOf,
  filled,
  labelOf,
  labelsOf,
  modeName,
  personOf,
  standing,
  stepOf,
  titleOf,
  warningsOf,
} from './phrase.js';
import type { Line } from './post.js';
import { numberLines } from './stop-card.js';
import { reasonText } from './verdict.js';
import { watchLines } from './watch.js';

/** What somebody asked to be told: it reads the job and changes nothing. */
export function recap(job: Job, flow: Flow, what: ToldAbout): readonly Line[] {
  switch (what) {
    case 'help':
      return HELP.map((text) => ln`${text}`);
    case 'numbers':
      return numberLines(job.emergency);
    case 'where':
      return whereLines(job, flow);
    case 'why':
      return whyLines(job, flow);
    case 'list':
      return listLines(job, flow);
  }
}

const HELP = [
  'Hurt or smoke? Say STOP.',
  'Answer the question: OK, PROBLEM and what, the number with its unit.',
  'WHERE the job stands. WHY this step. LIST what else can be done.',
  'PAUSE, RESUME. HOLD and why. NOTE and text. NUMBERS to call.',
  'Wrong answer: "no, 30", or CORRECT.',
  'AWAY and HERE for the standby. STANDBY NAME for another one.',
  'HAND OVER NAME, then TAKE. PARK leaves it for the night.',
  'In doubt: stop, and call the foreman.',
] as const;

/** One screen: the step, what is open, what is in doubt, what stands, who has it, what runs, what comes next. */
export function whereLines(job: Job, flow: Flow): readonly Line[] {
  const at = (fact: FactId) => job.facts[fact]?.since ?? job.now;
  const step = currentStep(job, flow);
  const facts = flow.rules.facts;
  const open = openingsOf(job, flow);
  const openItems = open.map((id) => {
    const doubt = isPerhaps(job, id) ? ', perhaps' : factOfJob(job, id) === 'doubt' ? ', look due' : '';
    const owner =
      flow.facts.get(id)?.personal === true ? ` (${personOf(job, job.oldLock ?? job.holder)})` : '';
    return ln`${labelOf(flow, id)}${owner}${doubt}`;
  });
  const doubt = facts
    .filter((fact) => !fact.opening && fact.kind !== 'clock' && factOfJob(job, fact.id) === 'doubt')
    .map((fact) => fact.id);
  const proofs = facts
    .filter((fact) => fact.kind === 'proof' && factOfJob(job, fact.id) === 'stands')
    .map((fact) => fact.id);
  // What lies open is said in full, and the whole stays one screen.
  const proved = proofs.slice(doubt.length > 6 ? -1 : open.length > 8 ? -2 : -4);
  const later = [...(step === null ? [] : [step]), ...upcoming(job, flow, step)];
  const ahead = new Set(later.flatMap((one) => one.needs.flat(2)));
  const lost = facts
    .filter((fact) => fact.kind === 'proof' && job.facts[fact.id]?.value === 'gone' && ahead.has(fact.id))
    .map((fact) => fact.id);
  return [
    ln`${bayOf(job.bay)}, ${personOf(job, job.holder)} holds it. Standby: ${job.standby === null ? 'nobody' : personOf(job, job.standby)}.`,
    ...modeLine(job, flow),
    ...(step === null ? [] : [stepLine(job, flow, step)]),
    ...watchLines(job, flow),
    ...(openItems.length === 0 ? [] : [ln`Open: ${listed(openItems)}.`]),
    ...(job.oldLock === null ? [] : [ln`Old lock of ${personOf(job, job.oldLock)} still to come off.`]),
    ...(doubt.length === 0 ? [] : [ln`In doubt: ${labelsOf(flow, doubt)}.`]),
    ...(proved.length === 0
      ? []
      : [
          ln`Stands: ${listed(proved.map((id) => ln`${labelOf(flow, id)} (${when(at(id), job.now)})`))}.${warningsOf(flow, proved)}`,
        ]),
    ...(lost.length === 0 ? [] : [ln`Gone: ${labelsOf(flow, lost, doubt.length > 6 ? 2 : 4)}.`]),
    ...clockLines(job, flow),
    ...nextLine(job, flow, step),
  ];
}

export function modeLine(job: Job, flow: Flow): readonly Line[] {
  if (job.mode === 'working') return [];
  const reason = job.modeReason.trim() === '' ? '' : `: ${reasonText(job, flow, job.modeReason)}`;
  const who = job.modeBy === null || job.modeBy === 'warden' ? '' : `, by ${personOf(job, job.modeBy)}`;
  return [ln`${cap(modeName(job.mode))} since ${when(job.modeSince, job.now)}${who}${stopped(reason)}`];
}

function stepLine(job: Job, flow: Flow, step: Step): Line {
  if (job.missing !== null) return ln`Waits for a value. Step: ${stopped(titleOf(job, flow, step.id))}`;
  const since = job.asked?.shownAt ?? null;
  const title = titleOf(job, flow, step.id);
  if (job.asked !== null && job.asked.what !== 'step') return ln`A look is due before: ${stopped(title)}`;
  return since === null
    ? ln`Step: ${stopped(title)}`
    : ln`Step since ${when(since, job.now)}: ${stopped(title)}`;
}

function clockLines(job: Job, flow: Flow): readonly Line[] {
  const runs = flow.rules.facts.flatMap(({ id, clock }) => {
    const { at, value, stopped } = job.facts[id] ?? { at: null };
    return clock === 'after' && value === 'running' && at !== null && stopped === undefined
      ? [{ id, at }]
      : [];
  });
  // Two or more share a line, so that the whole stays one screen.
  const together = runs.length > 1;
  const shared = runs.map(({ id, at }) => ln`${labelOf(flow, id)} ${when(at, job.now)}`);
  const each = flow.rules.facts.flatMap((fact): readonly Line[] => {
    const held = job.facts[fact.id];
    if (fact.clock === null || held === undefined) return [];
    const label = cap(labelOf(flow, fact.id));
    if (held.stopped !== undefined) return [ln`${label}: ${stoppedCure(job, held.stopped)}.`];
    if (held.at === null) return [];
    if (fact.clock === 'after' && held.value === 'running') {
      if (together) return [];
      return [ln`${label}: not before ${when(held.at, job.now)}.`];
    }
    if (fact.clock === 'within' && held.value === 'stands')
      return [ln`${label}: until ${when(held.at, job.now)}.`];
    return [];
  });
  return together ? [ln`Not before: ${listed(shared)}.`, ...each] : each;
}

function nextLine(job: Job, flow: Flow, step: Step | null): readonly Line[] {
  const next = upcoming(job, flow, step)[0];
  return next === undefined ? [] : [ln`Next: ${stopped(titleOf(job, flow, next.id))}`];
}

/** The step that is asked, or waits, or that a look or a value is due for; else the front. */
export function currentStep(job: Job, flow: Flow): Step | null {
  return stepOf(flow, job.asked?.step ?? job.waitingFor?.step ?? job.front);
}

/** Steps still open after this one, in route order, as far as the choices made so far tell. */
function upcoming(job: Job, flow: Flow, step: Step | null): readonly Step[] {
  const from = step === null ? -1 : flow.steps.indexOf(step);
  return flow.steps.filter(
    (one, index) =>
      index > from && one.route === job.route && job.closed[one.id] !== true && applies(one, job.choices),
  );
}

/** What the step needs and makes, and why it came back where it did. */
export function whyLines(job: Job, flow: Flow): readonly Line[] {
  const step = currentStep(job, flow);
  if (step === null) return [ln`Nothing is asked now. WHERE says where the job stands.`];
  const needs = step.needs.map((need) => need.map((way) => labelsOf(flow, way)).join(' or '));
  const lines = [ln`${stopped(titleOf(job, flow, step.id))}`];
  if (job.asked !== null && job.asked.what !== 'step') {
    lines.unshift(ln`A look is due: nobody can know whether it is still so.`);
    const causes = job.asked.facts.flatMap((id) => job.facts[id]?.why ?? []).map(causeOf);
    if (causes.length > 0) lines.push(ln`In doubt since: ${[...new Set(causes)].join(', ')}.`);
  }
  if (needs.length > 0) lines.push(ln`Needs: ${[...new Set(needs)].join(', ')}.`);
  if (step.makes.length > 0) lines.push(ln`Makes: ${labelsOf(flow, step.makes)}.`);
  const front = stepOf(flow, job.front);
  if (front !== null && front !== step && flow.steps.indexOf(front) > flow.steps.indexOf(step)) {
    const lost = step.makes.filter((id) => factOfJob(job, id) !== 'stands');
    const causes = lost.flatMap((id) => job.facts[id]?.why ?? []).map(causeOf);
    const cause = causes.length === 0 ? '' : ` (${[...new Set(causes)].join(', ')})`;
    const what =
      lost.length === 0 ? 'it has to be done again' : `${labelsOf(flow, lost)} does not stand${cause}`;
    lines.push(ln`Came back: ${what}. Needed on the way to: ${stopped(titleOf(job, flow, front.id))}`);
  }
  const hazard = step.hazard === 'none' ? undefined : flow.hazards.get(step.hazard);
  if (hazard !== undefined) {
    const level = hazard.level === null ? '' : `, level ${hazard.level}`;
    lines.push(ln`Hazard: ${hazard.label}${level}.`);
  }
  const stand = step.needs.flat(2).filter((id) => factOfJob(job, id) === 'stands');
  if (stand.length > 0) lines.push(ln`Stands now: ${standing(flow, [...new Set(stand)])}`);
  return lines;
}

/** What else can be done while it waits, and what comes after. */
export function listLines(job: Job, flow: Flow): readonly Line[] {
  const step = currentStep(job, flow);
  const wait = job.waitingFor;
  const lines: Line[] = [];
  const stopped = wait?.facts.flatMap((fact) => job.facts[fact]?.stopped ?? [])[0];
  if (stopped !== undefined) lines.push(ln`${stoppedCure(job, stopped)}. Meanwhile:`);
  else if (wait !== null) lines.push(ln`Waiting, not before ${when(wait.until, job.now)}. Meanwhile:`);
  const meanwhile = step === null ? [] : step.meanwhile.map((text) => ln`- ${filled(job, text)}`);
  lines.push(...meanwhile);
  const ahead = upcoming(job, flow, step);
  if (wait !== null) {
    const free = ahead.filter((one) => needsNoWait(job, one)).slice(0, 3);
    if (free.length > 0) lines.push(ln`Can be got ready; asked in its turn:`);
    for (const one of free) lines.push(ln`- ${titleOf(job, flow, one.id)}`);
    if (meanwhile.length === 0 && free.length === 0) lines.push(ln`Nothing of this job. Leave it as it is.`);
    return lines;
  }
  lines.push(ahead.length === 0 ? ln`Nothing comes after this.` : ln`Comes next:`);
  for (const one of ahead.slice(0, 5)) lines.push(ln`- ${titleOf(job, flow, one.id)}`);
  return lines;
}

/** No hazard of its own, no gate, no wait, and all that it needs stands already. */
function needsNoWait(job: Job, step: Step): boolean {
  if (step.hazard !== 'none' || step.kind === 'gate' || step.kind === 'wait') return false;
  return step.needs.every((need) => need.some((way) => way.every((id) => factOfJob(job, id) === 'stands')));
}
