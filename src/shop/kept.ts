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
  /** When the job ended that made it due, ms since 1970; not there in entries of the first days. */
  filedAt: z.number().optional(),
});
export type DueEntry = z.output<typeof DUE_ENTRY>;

export const DUE = z.object({ due: z.array(DUE_ENTRY) });
export type DueDocument = z.output<typeof DUE>;

/** What a car has due, each kind of work once: the job that did it last says when it is next. */
export const CAR_DUE = z.object({ registration: z.string(), due: z.array(DUE_ENTRY) });
export type CarDue = z.output<typeof CAR_DUE>;

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

/** The jobs that ended on a day of the workshop, by their ids. */
export const ENDED_ON = z.object({ jobs: z.array(z.string()) });

const STAGE_TIME = z.object({
  stage: z.string(),
  workedMs: z.number(),
  waitedMs: z.number(),
  stoodMs: z.number(),
});
const JOB_TIME = z.object({ job: z.string(), stages: z.array(STAGE_TIME.readonly()).readonly() });
/** How long the stages of one job took. */
export type JobTime = z.output<typeof JOB_TIME>;

/** The last jobs of a flow and how long their stages took. */
export const TIMES = z.object({ flow: z.string(), jobs: z.array(JOB_TIME).readonly() });
export type Times = z.output<typeof TIMES>;

/** So many jobs of a flow say what is usual; older ones were another crew, another year. */
export const USUAL_JOBS = 20;

/** The times of a flow with one more job in them; the same document when the job is in it already. */
export function fileTime(times: Times, job: JobTime): Times {
  if (times.jobs.some((one) => one.job === job.job)) return times;
  return { ...times, jobs: [...times.jobs, job].slice(-USUAL_JOBS) };
}

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
  /** ms since 1970. */
  readonly endedAt?: number;
};

/** What a job makes due, as it is filed. */
export function entriesOf({ job, seq, registration, due, endedAt }: JobDue): readonly DueEntry[] {
  return due.map(({ what, on, atKm, rule }) => ({
    ...{ job, seq, registration, what, on, atKm, rule },
    ...(endedAt === undefined ? {} : { filedAt: endedAt }),
  }));
}

/** A look and a change of the same part are one kind of work: which of them is due, the part fitted last says. */
const kindOf = ({ what }: Pick<DueEntry, 'what'>): string => what.replace(/-look$/, '');

/** Whether an entry speaks of what another one speaks of, from a later job on the same car. */
export function replaces(entry: DueEntry, before: DueEntry): boolean {
  if (kindOf(entry) !== kindOf(before)) return false;
  if (entry.job === before.job) return entry.what === before.what && entry.seq > before.seq;
  return (entry.filedAt ?? 0) >= (before.filedAt ?? 0);
}

const isSame = (a: DueEntry, b: DueEntry): boolean => a.job === b.job && a.what === b.what && a.seq === b.seq;

/** What a car has due after a job, and which entries of before are settled by it; `null` where nothing changes. */
export function fileForCar(
  car: CarDue,
  entries: readonly DueEntry[],
): { readonly car: CarDue; readonly fresh: readonly DueEntry[]; readonly settled: readonly DueEntry[] } {
  const fresh = entries.filter(
    (entry) => !car.due.some((one) => isSame(one, entry) || (replaces(one, entry) && !replaces(entry, one))),
  );
  const settled = car.due.filter((one) => fresh.some((entry) => replaces(entry, one)));
  const due = [...car.due.filter((one) => !settled.includes(one)), ...fresh];
  return { car: { ...car, due }, fresh, settled };
}

/** A day's document with an entry filed; the same document when it, or a later one of its job, was filed before. */
export function fileEntry(document: DueDocument, entry: DueEntry): DueDocument {
  const own = ({ job, what }: DueEntry) => job === entry.job && what === entry.what;
  if (document.due.some((one) => own(one) && one.seq >= entry.seq)) return document;
  return { due: [...document.due.filter((one) => !own(one)), entry] };
}

/** A day's document without an entry; the same document when it is not in it. */
export function takeEntry(document: DueDocument, entry: DueEntry): DueDocument {
  return document.due.some((one) => isSame(one, entry))
    ? { due: document.due.filter((one) => !isSame(one, entry)) }
    : document;
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
