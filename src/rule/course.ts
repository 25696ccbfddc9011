import { type Change, type Sheet, writeCompleting, writeLook, writeShowing } from './change.js';
import { type Next, next, type View } from './next.js';
import {
  applies,
  type Choices,
  FACT_VALUES,
  type FactId,
  type FactValue,
  type Known,
  openKey,
  placeOf,
  type Route,
  type Rules,
  stepAt,
} from './rules.js';

/**
 * A job reduced to what the rules turn on, cheap to copy: the checker walks thousands of them, the engine
 * uses one to say how many steps a detour takes. Values and flags are by index of fact and step.
 */
export type Course = {
  readonly values: Uint8Array;
  readonly closed: Uint8Array;
  readonly shelved: Uint8Array;
  front: number;
  route: Route;
  choices: Choices;
};

const GONE = FACT_VALUES.indexOf('gone');

/** A job that has not begun: the given facts stand, all others are gone. */
export function newCourse(rules: Rules, choices: Choices, given: readonly FactId[]): Course {
  const course: Course = {
    values: new Uint8Array(rules.facts.length).fill(GONE),
    closed: new Uint8Array(rules.steps.length),
    shelved: new Uint8Array(rules.steps.length),
    front: -1,
    route: 'job',
    choices,
  };
  for (const fact of given) setValue(rules, course, fact, 'stands');
  return course;
}

export function copyCourse(course: Course): Course {
  const { front, route, choices } = course;
  return {
    values: course.values.slice(),
    closed: course.closed.slice(),
    shelved: course.shelved.slice(),
    front,
    route,
    choices,
  };
}

/** Makes `to` the same as `from`, for whoever walks so many that making new ones tells. Both of the same rules. */
export function copyOver(from: Course, to: Course): void {
  to.values.set(from.values);
  to.closed.set(from.closed);
  to.shelved.set(from.shelved);
  to.front = from.front;
  to.route = from.route;
  to.choices = from.choices;
}

export function factValue(rules: Rules, course: Course, fact: FactId): FactValue {
  const value = FACT_VALUES[course.values[placeOf(rules, fact)] ?? GONE];
  return value ?? 'gone';
}

export function setValue(rules: Rules, course: Course, fact: FactId, value: FactValue): void {
  course.values[placeOf(rules, fact)] = FACT_VALUES.indexOf(value);
}

/** The course as the sheet on which acts write what they do. */
export function sheetOf(rules: Rules, course: Course): Sheet {
  return {
    value: (fact) => factValue(rules, course, fact),
    write: (fact, to) => setValue(rules, course, fact, to),
  };
}

export function applyChanges(rules: Rules, course: Course, changes: readonly Change[]): void {
  for (const change of changes) setValue(rules, course, change.fact, change.to);
}

/** What turns on the choices alone, kept for as long as the object that holds them. */
export type Given = {
  /** By index of step: 1 where it belongs to the job. */
  readonly applies: Uint8Array;
  readonly known: Known;
};

const givens = new WeakMap<Rules, WeakMap<Choices, Given>>();

/** The same object for the same rules and choices. */
export function givenBy(rules: Rules, choices: Choices): Given {
  let table = givens.get(rules);
  if (table === undefined) {
    table = new WeakMap();
    givens.set(rules, table);
  }
  let given = table.get(choices);
  if (given === undefined) {
    given = {
      applies: Uint8Array.from(rules.steps, (step) => (applies(step, choices) ? 1 : 0)),
      known: new Map(),
    };
    table.set(choices, given);
  }
  return given;
}

/** Whether the step at `index` belongs to the job as it was chosen. */
export function appliesIn(rules: Rules, course: Course, index: number): boolean {
  return givenBy(rules, course.choices).applies[index] === 1;
}

/** The course as the rules see it. `look` may answer for life; without it everything is as it was left. */
export function viewOf(rules: Rules, course: Course, look?: (fact: FactId) => FactValue): View {
  const peek = (fact: FactId) => factValue(rules, course, fact);
  const given = givenBy(rules, course.choices);
  return {
    route: course.route,
    front: course.front,
    look: look ?? peek,
    peek,
    closed: (index) => course.closed[index] === 1,
    applies: (index) => given.applies[index] === 1,
    shelved: (index) => course.shelved[index] === 1,
    known: given.known,
    cells: { values: course.values, closed: course.closed, applies: given.applies },
  };
}

export function showStep(rules: Rules, course: Course, index: number): void {
  const step = stepAt(rules, index);
  if (step.route === 'job') course.front = Math.max(course.front, index);
  writeShowing(rules, step, sheetOf(rules, course));
}

export function completeStep(rules: Rules, course: Course, index: number, option?: string): void {
  const step = stepAt(rules, index);
  writeCompleting(rules, step, sheetOf(rules, course));
  course.closed[index] = 1;
  const choice = step.sets?.choice;
  if (choice !== undefined && option !== undefined) course.choices = { ...course.choices, [choice]: option };
}

/** Takes a course through everything that needs no answer, in place. False when there is nothing to take. */
export function settleNext(rules: Rules, course: Course, what: Next): boolean {
  switch (what.do) {
    case 'close':
      course.closed[what.index] = 1;
      if (stepAt(rules, what.index).route === 'job') course.front = Math.max(course.front, what.index);
      return true;
    case 'look':
      writeLook(rules, what.facts, sheetOf(rules, course));
      return true;
    case 'reopen':
      // A step that waited for the resume is shown now after all, since parking itself needs it.
      for (const index of what.steps) {
        course.closed[index] = 0;
        course.shelved[index] = 0;
      }
      return true;
    case 'wait':
      for (const fact of what.facts) setValue(rules, course, fact, 'stands');
      return true;
    default:
      return false;
  }
}

/** Whether the job is in a stretch in which it can be neither left nor handed over. */
export function inStretch(rules: Rules, value: (fact: FactId) => FactValue): boolean {
  return rules.facts.some((fact) => fact.noStop && value(fact.id) !== 'gone');
}

/** What stands open when parking begins, as choices that the steps of parking read. */
export function openChoices(rules: Rules, value: (fact: FactId) => FactValue): Choices {
  return Object.fromEntries(
    rules.facts
      .filter((fact) => fact.opening)
      .map((fact) => [openKey(fact.id), value(fact.id) === 'gone' ? 'no' : 'yes']),
  );
}

/** Begins parking: the open steps of the job wait, the route of parking is walked from its first step. */
export function beginParking(rules: Rules, course: Course): void {
  course.choices = { ...course.choices, ...openChoices(rules, (fact) => factValue(rules, course, fact)) };
  shelve(rules, course);
}

/** The part of `beginParking` that leaves the choices alone. */
export function shelve(rules: Rules, course: Course): void {
  course.route = 'park';
  rules.steps.forEach((step, index) => {
    if (step.route === 'park') course.closed[index] = 0;
    else course.shelved[index] = course.closed[index] === 1 ? 0 : 1;
  });
}

/** Ends parking: the job's own route again, with what parking opened and closed left as it is. */
export function endParking(course: Course): void {
  course.route = 'job';
  course.shelved.fill(0);
}

/** How many steps and looks come before the step at `index` is shown, if all goes well; null if it never is. */
export function detourTo(rules: Rules, from: Course, index: number): number | null {
  const course = copyCourse(from);
  let asked = 0;
  for (let turn = 0; turn < 4 * rules.steps.length + 8; turn++) {
    const what = next(rules, viewOf(rules, course));
    if (what.do === 'end' || what.do === 'stuck') return null;
    if (what.do === 'show') {
      if (what.index === index) return asked;
      showStep(rules, course, what.index);
      completeStep(rules, course, what.index, stepAt(rules, what.index).sets?.options[0]);
      asked++;
      continue;
    }
    if (what.do === 'look') asked++;
    settleNext(rules, course, what);
  }
  return null;
}
