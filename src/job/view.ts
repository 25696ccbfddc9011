import type { Flow, Step } from '../flow/flow.js';
import { type Course, givenBy, newCourse, setValue } from '../rule/course.js';
import { lackingAtAnswer, type Next, type View } from '../rule/next.js';
import { FACT_VALUES, type FactId, type FactValue, type Rules, type StepId, stepAt } from '../rule/rules.js';
import type { Job } from './job.js';

/** The value of a fact in a job; one that was never made is gone. Clocks are kept up to date by `time.ts`. */
export function factOfJob(job: Job, fact: FactId): FactValue {
  return job.facts[fact]?.value ?? 'gone';
}

/** The job as the fact rules see it. */
export function viewOfJob(job: Job, flow: Flow): View {
  const { rules } = flow;
  const value = (fact: FactId) => factOfJob(job, fact);
  const { applies, known } = givenBy(rules, job.choices);
  const closed = closedIn(rules, job.closed);
  return {
    route: job.route,
    front: frontOf(job, flow),
    look: value,
    peek: value,
    closed: (index) => closed[index] === 1,
    applies: (index) => applies[index] === 1,
    shelved: (index) => job.shelved?.[stepAt(rules, index).id] === true,
    known,
    cells: { values: valuesIn(rules, job.facts), closed, applies },
  };
}

const GONE = FACT_VALUES.indexOf('gone');

/** A record of a job by number, as the rules count facts and steps. */
type Numbered = { readonly rules: Rules; readonly cells: Uint8Array };

// A job's records never change; most messages leave one of the two as it was.
const values = new WeakMap<Job['facts'], Numbered>();
const closings = new WeakMap<Job['closed'], Numbered>();

function valuesIn(rules: Rules, facts: Job['facts']): Uint8Array {
  const known = values.get(facts);
  if (known?.rules === rules) return known.cells;
  const cells = new Uint8Array(rules.facts.length).fill(GONE);
  for (const [id, { value }] of Object.entries(facts)) {
    const place = rules.places.get(id);
    if (place !== undefined) cells[place] = FACT_VALUES.indexOf(value);
  }
  values.set(facts, { rules, cells });
  return cells;
}

function closedIn(rules: Rules, closed: Job['closed']): Uint8Array {
  const known = closings.get(closed);
  if (known?.rules === rules) return known.cells;
  const cells = new Uint8Array(rules.steps.length);
  for (const id of Object.keys(closed)) {
    const index = rules.indexOf.get(id);
    if (index !== undefined) cells[index] = 1;
  }
  closings.set(closed, { rules, cells });
  return cells;
}

/** What an answer to the step at `index` lacks (`lackingAtAnswer`); null when it may be taken. */
export function lacksAtAnswer(job: Job, flow: Flow, index: number): Next | null {
  return lackingAtAnswer(flow.rules, viewOfJob(job, flow), index);
}

/** The same, as a course that can be walked ahead. */
export function courseOfJob(job: Job, flow: Flow): Course {
  const { rules } = flow;
  const course = newCourse(rules, job.choices, []);
  for (const fact of rules.facts) setValue(rules, course, fact.id, factOfJob(job, fact.id));
  rules.steps.forEach((step, index) => {
    course.closed[index] = job.closed[step.id] === true ? 1 : 0;
    course.shelved[index] = job.shelved?.[step.id] === true ? 1 : 0;
  });
  course.front = frontOf(job, flow);
  course.route = job.route;
  return course;
}

function frontOf(job: Job, flow: Flow): number {
  return job.front === null ? -1 : indexOfStep(flow, job.front);
}

/** The index of a step on the route. Throws a `RangeError` for one the flow does not have: a slip of ours. */
export function indexOfStep(flow: Flow, id: StepId): number {
  const index = flow.rules.indexOf.get(id);
  if (index === undefined) throw new RangeError(`no step "${id}" in ${flow.id}`);
  return index;
}

/** The step with this id. Throws as `indexOfStep`. */
export function stepOf(flow: Flow, id: StepId): Step {
  return stepOfIndex(flow, indexOfStep(flow, id));
}

/** The step at an index of the route. Throws a `RangeError` outside it: a slip of ours. */
export function stepOfIndex(flow: Flow, index: number): Step {
  const step = flow.steps[index];
  if (step === undefined) throw new RangeError(`no step ${index} in ${flow.id}`);
  return step;
}

/** The further of the front and this step; steps of parking do not move it. */
export function frontWith(job: Job, flow: Flow, index: number): StepId | null {
  const step = stepAt(flow.rules, index);
  return step.route === 'job' && index > frontOf(job, flow) ? step.id : job.front;
}
