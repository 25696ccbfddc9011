import type { Flow, Step } from '../flow/flow.js';
import type { Job } from '../job/job.js';
import type { TightenPlan } from '../job/tighten.js';
import { amount, titleOf } from '../talk/phrase.js';
import { printNumber } from '../units/notation.js';
import { valueIn } from '../units/quantity.js';
import type { RecordLine } from './line.js';
import type { Pattern } from './picture.js';

/** The bolts of every tightening step that was shown, in the order they are tightened, with the values that were told. */
export function boltPatterns(job: Job, flow: Flow, lines: readonly RecordLine[]): readonly Pattern[] {
  const plans = new Map<string, TightenPlan>();
  for (const { events } of lines) {
    for (const event of events)
      if (event.type === 'step-shown' && event.plan !== null) plans.set(event.step, event.plan);
  }
  return flow.steps.flatMap((step) => {
    const plan = plans.get(step.id);
    return plan === undefined ? [] : [patternOf(job, flow, step, plan)];
  });
}

function patternOf(job: Job, flow: Flow, step: Step, plan: TightenPlan): Pattern {
  const ask = step.asks.find((one) => one.ask === 'values');
  const told = ask?.ask === 'values' ? (job.readings[ask.name] ?? []) : [];
  const { unit } = plan.torque;
  const bolts = Array.from({ length: plan.bolts }, (_, at) => {
    const reading = told[at];
    return {
      n: at + 1,
      ...placeOf(at, plan.bolts, inRows(job, step)),
      order: plan.order.indexOf(at + 1) + 1,
      value: reading === undefined ? null : Number(valueIn(reading.quantity, unit).toFixed(2)),
    };
  });
  const values = bolts.filter(({ value }) => value !== null);
  const title = titleOf(job, flow, step.id);
  const passes = plan.stages.map(({ torque }) => amount(torque)).join(', then ');
  return {
    id: `bolts-${step.id.replaceAll('/', '-')}`,
    title,
    alt:
      `${title}: ${plan.bolts} bolts, in the order ${plan.order.join(', ')}, to ${passes}. ` +
      (values.length === 0
        ? 'No values told.'
        : `Told: ${values.map(({ n, value }) => `bolt ${n} ${printNumber(value ?? 0, 4)} ${unit}`).join(', ')}.`) +
      ' The places are drawn, not measured.',
    kind: 'pattern',
    bolts,
    unit,
  };
}

/** A spiral is given for two rows of equal length; every other order for a ring numbered clockwise from the top. */
function inRows(job: Job, step: Step): boolean {
  const ref = step.tighten?.pattern;
  const text = ref === undefined ? null : (job.values[`${ref.from}.${ref.name}`]?.text ?? null);
  return text?.trim().toLowerCase() === 'spiral';
}

function placeOf(at: number, count: number, rows: boolean): { readonly x: number; readonly y: number } {
  if (!rows) {
    const turn = (2 * Math.PI * at) / count;
    return { x: round(0.5 + 0.5 * Math.sin(turn)), y: round(0.5 - 0.5 * Math.cos(turn)) };
  }
  const columns = count % 2 === 0 ? count / 2 : count;
  const column = at % columns;
  return {
    x: columns === 1 ? 0.5 : round(column / (columns - 1)),
    y: columns === count ? 0.5 : Math.floor(at / columns),
  };
}

function round(value: number): number {
  return Number(value.toFixed(4));
}
