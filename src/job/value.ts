import { CALCULATIONS } from '../flow/calc.js';
import type { Amount, Ask, Flow, Step, ValueRef } from '../flow/flow.js';
import type { Quantity } from '../units/quantity.js';
import type { Job } from './job.js';

/** The key under which a job keeps a value: `vehicle.pack-voltage`. */
export function keyOf(ref: ValueRef): string {
  return `${ref.from}.${ref.name}`;
}

/** The quantity of a value, or null when the job does not have it. */
export function valueOfRef(job: Job, ref: ValueRef): Quantity | null {
  return job.values[keyOf(ref)]?.quantity ?? null;
}

/** A literal quantity or the value it names; null when the job does not have it. */
export function amountOf(job: Job, amount: Amount): Quantity | null {
  return 'value' in amount ? amount : valueOfRef(job, amount);
}

const keys = new WeakMap<Step, readonly string[]>();

/** The values that a step cannot do without, by key, those of its clocks included. */
export function valuesOfStep(flow: Flow, step: Step): readonly string[] {
  const known = keys.get(step);
  if (known !== undefined) return known;
  const found = new Set<string>();
  const add = (amount: Amount | null) => {
    if (amount !== null && !('value' in amount)) found.add(keyOf(amount));
  };
  if (step.tighten !== null) {
    add(step.tighten.torque);
    add(step.tighten.bolts);
    add(step.tighten.pattern);
  }
  for (const ask of step.asks) for (const ref of refsOfAsk(ask)) add(ref);
  for (const id of step.makes) {
    const time = flow.facts.get(id)?.time ?? null;
    if (time !== null && !('value' in time) && time.from !== 'figure') add(time);
  }
  const calculation = step.judge === null ? undefined : CALCULATIONS[step.judge];
  for (const value of calculation?.values ?? []) if (value.optional !== true) found.add(value.key);
  if (step.gear.includes('gloves')) found.add('vehicle.max-voltage');
  for (const text of [step.text, ...step.card]) {
    for (const match of text.matchAll(/\{((?:vehicle|shop|sealant|lift)\.[a-z0-9-]+)\}/g)) {
      if (match[1] !== undefined) found.add(match[1]);
    }
  }
  const list = [...found];
  keys.set(step, list);
  return list;
}

function refsOfAsk(ask: Ask): Amount[] {
  if (ask.ask === 'dead-test') return [ask.source, ask.pack, DEAD_LIMIT, PROVING_TOLERANCE];
  if (ask.ask !== 'reading' || ask.limits === null) return [];
  if (ask.limits.is === 'nil') return [DEAD_LIMIT, PACK_VOLTAGE];
  return [ask.limits.min, ask.limits.max].filter((amount) => amount !== null);
}

/** Near zero: the shop's figure; common practice is 5 V or less, no source. */
export const DEAD_LIMIT: ValueRef = { from: 'shop', name: 'dead-limit' };
/** How far a proving reading may lie from its source, %. */
export const PROVING_TOLERANCE: ValueRef = { from: 'shop', name: 'proving-tolerance' };
export const PACK_VOLTAGE: ValueRef = { from: 'vehicle', name: 'pack-voltage' };
export const MAX_VOLTAGE: ValueRef = { from: 'vehicle', name: 'max-voltage' };
