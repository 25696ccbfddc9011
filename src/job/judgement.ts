import { valueIn } from '../units/quantity.js';
import type { Unit } from '../units/unit.js';
import type { Figure, Verdict } from './event.js';
import type { Job } from './job.js';

/** What readings were judged to be, with the numbers and limits for the record. */
export type Judgement = {
  readonly verdict: Verdict;
  /** Code of the reason; the words are in `talk/`. */
  readonly because: string;
  readonly figures: readonly Figure[];
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
