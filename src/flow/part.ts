import { newCourse } from '../rule/course.js';
import { type Choices, type FactId, type Rules, rulesOf, type StepRule } from '../rule/rules.js';
import type { Flow } from './flow.js';

/** What the walk of a flow needs of it. */
export type Walked = {
  readonly flow: Flow;
  readonly steps: readonly StepRule[];
  readonly rules: Rules;
  /** Steps in front of the flow's own: the using flow's, one for each fact that it is given. */
  readonly before: number;
};

/**
 * A flow as it is walked by itself. What it is given somebody has made before it, and makes again when the flow has
 * undone it: a step in front for each fact, passed before the walk begins. Which steps those are, and whether they can
 * be shown then, is proved with the flows that use it.
 */
export function asWalked(flow: Flow): Walked {
  const givers = flow.given.map(giverOf);
  if (givers.length === 0) return { flow, steps: flow.steps, rules: flow.rules, before: 0 };
  const steps = [...givers, ...flow.steps];
  return { flow, steps, rules: rulesOf(flow.rules.facts, steps), before: givers.length };
}

function giverOf(fact: FactId): StepRule {
  return {
    id: `the step before that makes ${fact}`,
    needs: [],
    makes: [fact],
    ends: [],
    when: [],
    sets: null,
    again: false,
    route: 'job',
  };
}

/** The job at the first step of the flow itself. */
export function courseAtStart({ flow, rules, before }: Walked, choices: Choices) {
  const course = newCourse(rules, choices, flow.given);
  for (let index = 0; index < before; index++) course.closed[index] = 1;
  course.front = before - 1;
  return course;
}
