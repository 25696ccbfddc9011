import { valueIn } from '../units/quantity.js';
import { dimensionOf, type Unit } from '../units/unit.js';
import type { Figure, Verdict } from './event.js';
import type { Job } from './job.js';

/** What readings were judged to be, with the numbers and limits for the record. */
export type Judgement = {
  readonly verdict: Verdict;
  /** Code of the reason; the words are in `talk/`. */
  readonly because: string;
  readonly figures: readonly Figure[];
  /** The foreman decides, whatever the flow says of readings out of limits. */
  readonly firm?: true;
  /** What the step names under `alarm:` is gone. */
  readonly alarm?: true;
  /** The tester did not prove itself again: it leaves service, and what it proved today is in doubt. */
  readonly testerOut?: true;
};

/** All is within its limits. */
export const passed = (figures: readonly Figure[] = []): Judgement => ({
  verdict: 'passed',
  because: 'in-limits',
  figures,
});

/** It goes to the foreman. */
export const hold = (because: string, figures: readonly Figure[] = []): Judgement => ({
  verdict: 'hold',
  because,
  figures,
});

/** A value of the register in this unit, or null when the job does not have it. */
export function needed(job: Job, key: string, unit: Unit): number | null {
  const quantity = job.values[key]?.quantity ?? null;
  return quantity === null ? null : valueIn(quantity, unit);
}

/** What a calculation says when a value or reading that it needs is not in the job. */
export const missing = (): Judgement => hold('value-missing');

/** The latest reading of this name in this unit; null where there is none, or it measures something else. */
export function read(job: Job, name: string, unit: Unit): number | null {
  const quantity = job.readings[name]?.[0]?.quantity;
  if (quantity === undefined || dimensionOf(quantity.unit) !== dimensionOf(unit)) return null;
  return valueIn(quantity, unit);
}

/** A figure is shown and kept to this many decimals. */
export function round(value: number, digits: number): number {
  return Number(value.toFixed(digits));
}

/** The volts of a judgement that had to be near zero, in their order. */
export function poleVolts(figures: readonly Figure[]): readonly number[] {
  return figures.flatMap(({ rule, quantity }) =>
    rule === 'dead-band' && dimensionOf(quantity.unit) === 'voltage' ? [valueIn(quantity, 'V')] : [],
  );
}
