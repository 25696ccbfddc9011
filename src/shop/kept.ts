import * as z from 'zod';
import type { Due } from '../job/event.js';

/** The documents that the program keeps for itself. All of them can be applied again without a second effect. */

const DUE_ENTRY = z.object({
  job: z.string(),
  seq: z.int(),
  registration: z.string(),
  what: z.string(),
  on: z.string().nullable(),
  atKm: z.number().nullable(),
  rule: z.string(),
});
export type DueEntry = z.output<typeof DUE_ENTRY>;

export const DUE = z.object({ due: z.array(DUE_ENTRY) });
export type DueDocument = z.output<typeof DUE>;

const PAST_JOB = z.object({
  job: z.string(),
  flow: z.string(),
  bay: z.string(),
  startedAt: z.number(),
  endedAt: z.number(),
  how: z.string(),
});
export type PastJob = z.output<typeof PAST_JOB>;

export const HISTORY = z.object({ registration: z.string(), jobs: z.array(PAST_JOB) });

export const COUNTERS = z.object({
  /** Last number given, by year and month: `{ "2603": 14 }`. */
  numbers: z.record(z.string(), z.int()),
  /** The ids given last and the inputs they were given for. */
  given: z.array(z.object({ key: z.string(), id: z.string() })),
});
export type Counters = z.output<typeof COUNTERS>;

/** What an ended job files as due. */
export type JobDue = {
  readonly job: string;
  /** The line that said so. */
  readonly seq: number;
  readonly registration: string;
  readonly due: readonly Due[];
};

/** What is due, by the month it falls in, `YYYY-MM`; `undated` where only a distance counts. */
export function dueByMonth({
  job,
  seq,
  registration,
  due,
}: JobDue): ReadonlyMap<string, readonly DueEntry[]> {
  const months = new Map<string, DueEntry[]>();
  for (const { what, on, atKm, rule } of due) {
    const month = on?.slice(0, 7) ?? 'undated';
    const entries = months.get(month) ?? [];
    entries.push({ job, seq, registration, what, on, atKm, rule });
    months.set(month, entries);
  }
  return months;
}

/** A month's document with entries filed; the same document when all of them, or later ones, were filed before. */
export function fileEntries(document: DueDocument, entries: readonly DueEntry[]): DueDocument {
  const fresh = entries.filter(
    ({ job, what, seq }) =>
      !document.due.some((one) => one.job === job && one.what === what && one.seq >= seq),
  );
  if (fresh.length === 0) return document;
  const replaced = (one: DueEntry) => fresh.some(({ job, what }) => one.job === job && one.what === what);
  const due = [...document.due.filter((one) => !replaced(one)), ...fresh];
  return { due: due.toSorted((a, b) => (a.on ?? '').localeCompare(b.on ?? '')) };
}

/** A channel redelivers within hours: that many job starts are remembered. */
const REMEMBERED = 200;

/**
 * The next job id, `SITE-YYMM-NNN`, for the input `key`; the same id again for the same key. Ids that `isTaken`
 * are left out, so that a lost counter never gives a number twice.
 */
export async function nextId(
  counters: Counters,
  asked: { readonly site: string; readonly month: string; readonly key: string },
  isTaken: (id: string) => Promise<boolean>,
): Promise<{ readonly id: string; readonly counters: Counters }> {
  const known = counters.given.find(({ key }) => key === asked.key);
  if (known !== undefined) return { id: known.id, counters };
  const month = asked.month.slice(2).replace('-', '');
  for (let number = (counters.numbers[month] ?? 0) + 1; ; number++) {
    const id = `${asked.site}-${month}-${String(number).padStart(3, '0')}`;
    if (await isTaken(id)) continue;
    const given = [...counters.given, { key: asked.key, id }].slice(-REMEMBERED);
    return { id, counters: { numbers: { ...counters.numbers, [month]: number }, given } };
  }
}
