import type { Flow, Step } from '../flow/flow.js';
import type { Job } from '../job/job.js';
import type { TightenPlan } from '../job/tighten.js';
import { ln } from './line.js';
import { amount, filled } from './phrase.js';
import type { Line } from './post.js';

/** What to do, as the flow words it with this car's values: the text, what to set and in which order, the card. */
export function instruction(job: Job, step: Step, plan: TightenPlan | null, prefix: string): readonly Line[] {
  const text = filled(job, step.text);
  return [
    ln`${prefix}${step.kind === 'gate' ? 'Gate: ' : ''}${text}`,
    ...planLines(plan),
    ...step.card.map((card) => ln`${filled(job, card)}`),
  ];
}

/** `Wrench W3, dial 2.3 N·m (30 %): bolts 1 5 3 7`. */
export function planLines(plan: TightenPlan | null): readonly Line[] {
  if (plan === null) return [];
  const [first, ...more] = plan.stages;
  if (first === undefined) return [];
  const tool = plan.wrench === null ? 'No wrench taken fits' : `Wrench ${plan.wrench.id}`;
  const order = `bolts ${plan.order.join(' ')}`;
  const dials = plan.stages.map((stage) => stage.setting ?? null);
  const set = dials.every((dial) => dial !== null);
  const values = plan.stages.map((stage) => amount(stage.setting ?? stage.torque)).join(', then ');
  const percents = `${plan.stages.map((stage) => stage.percent).join('/')} %`;
  const verb = set ? 'dial' : 'at the bolt';
  const { angle } = plan;
  const onward = angle === undefined ? [] : [ln`Then on by ${amount(angle)} each, marked before: ${order}`];
  if (more.length === 0)
    return [ln`${tool}, ${verb} ${values} (${percents} of ${amount(plan.torque)}): ${order}`, ...onward];
  return [
    ln`${tool}, ${verb} ${values}`,
    ln`${plan.stages.length} passes ${percents}, each: ${order}`,
    ...onward,
  ];
}

/** How to make still what is left behind before a detour: from the facts that the step being left needs. */
export function makeStill(flow: Flow, step: Step): readonly string[] {
  if (step.hazard === 'none') return [];
  const texts = step.needs.flat(2).flatMap((fact) => flow.facts.get(fact)?.makeStill ?? []);
  return [...new Set(texts)];
}
