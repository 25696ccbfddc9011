import { type Job, on } from './job.js';

type Writable<T> = { -readonly [K in keyof T]: T[K] };

/** How events are written into a job: who has the job or one of its records already never sees it change. */
export type Pen = {
  /** The job with these changes. */
  on(job: Job, changes: Partial<Job>): Job;
  /** The record with the same content, to be written to. */
  own<T extends object>(record: T): Writable<T>;
};

/** Every change makes a new job, and new records where they differ. */
export const COPYING: Pen = { on, own: (record) => ({ ...record }) };

/**
 * Copies the job and each record once, when they are first written to, and goes on in these copies. For events in
 * a row between which nobody looks at the job: what has been given away is written to no more.
 */
export function newPen(): Pen {
  const mine = new Set<object>();
  const keep = <T extends object>(copy: T): T => {
    mine.add(copy);
    return copy;
  };
  return {
    on: (job, changes) => (mine.has(job) ? Object.assign(job, changes) : keep(on(job, changes))),
    own: (record) => (mine.has(record) ? record : keep({ ...record })),
  };
}

/** The record with this key set. */
export function plus<T>(
  pen: Pen,
  record: Readonly<Record<string, T>>,
  key: string,
  value: T,
): Readonly<Record<string, T>> {
  const own = pen.own(record);
  own[key] = value;
  return own;
}

/** The record without these keys. */
export function without<T>(
  pen: Pen,
  record: Readonly<Record<string, T>>,
  ...keys: readonly string[]
): Readonly<Record<string, T>> {
  const there = keys.filter((key) => key in record);
  if (there.length === 0) return record;
  const own: Record<string, T> = pen.own(record);
  for (const key of there) delete own[key];
  return own;
}
