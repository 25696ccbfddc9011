import type { Amount, Flow, Step, ValueRef } from '../flow/flow.js';
import { valuesOfStep as valuesUsedBy } from '../flow/values.js';
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
  let known = keys.get(step);
  if (known === undefined) {
    const used = valuesUsedBy(flow.facts, step).filter((use) => !use.optional);
    known = [...new Set(used.map((use) => use.key))];
    keys.set(step, known);
  }
  return known;
}

/** Near zero: the shop's figure; common practice is 5 V or less, no source. */
export const DEAD_LIMIT: ValueRef = { from: 'shop', name: 'dead-limit' };
/** How far a proving reading may lie from its source, %. */
export const PROVING_TOLERANCE: ValueRef = { from: 'shop', name: 'proving-tolerance' };
export const PACK_VOLTAGE: ValueRef = { from: 'vehicle', name: 'pack-voltage' };
export const MAX_VOLTAGE: ValueRef = { from: 'vehicle', name: 'max-voltage' };
