import type { Event } from '../job/event.js';
import { noteBay, readBay, removeBay } from './bay-note.js';
import { type BundleTexts, hasBundle, keepBundle, readBundle } from './bundle.js';
import { type Appended, Chain } from './chain.js';
import type { Disk } from './disk.js';
import { JournalError } from './fault.js';
import { type Journal, printFault, readJournal } from './journal.js';
import { GENESIS, type Lifts, type NewLine, type Told } from './line.js';
import { type KnownKey, keepKeys, keysOf, readKeys } from './recent.js';

/** The journals of all jobs. A job under way is `open/JOB.jsonl`, a finished one `done/YYYY-MM/JOB.jsonl`. */
export type Store = {
  /** Reads and verifies the journals of all jobs under way. Cuts off torn lines. Once, at the start. */
  openJobs(now: number): Promise<OpenJobs>;
  /** A job's journal, under way or finished; null when there is none. */
  read(job: string): Promise<Journal | null>;
  /** Whether there is a journal of this job, under way or finished. */
  has(job: string): Promise<boolean>;
  /**
   * Adds a line, on the disk when this returns. The first line of a job holds its `job-started`, whose bundle was
   * kept before.
   *
   * @throws {JournalError} see `Chain.append`; `no-start`, `no-bundle`, `finished`, `bad-id`.
   */
  append(job: string, expectedSeq: number, line: NewLine): Promise<Appended>;
  /** Notes that a post of the job has arrived, also after its end. Without a sync of its own. */
  tell(job: string, told: Told): Promise<void>;
  /** Moves an ended job to `done/MONTH/`, MONTH as `YYYY-MM`; its keys of the last 25 hours are kept. */
  finish(job: string, month: string, now: number): Promise<void>;
  keepBundle(hash: string, texts: BundleTexts): Promise<void>;
  readBundle(hash: string): Promise<BundleTexts | null>;
  /** Flushes and closes all files. */
  close(): Promise<void>;
};

export type OpenJobs = {
  readonly jobs: readonly OpenJob[];
  /** Keys of the last 25 hours, of jobs under way and finished. */
  readonly keys: readonly KnownKey[];
};

export type OpenJob = {
  readonly job: string;
  /** From the journal, or from the note beside it when its first line cannot be read; null when neither says. */
  readonly bay: string | null;
  readonly journal: Journal;
  /** `stopped`: damaged, takes no lines. `read-only`: written by a later version. */
  readonly state: 'good' | 'read-only' | 'stopped';
  /** What was found and what to do, for the console; null when all is well. */
  readonly report: string | null;
  /** It had ended when the program stopped and still has to be moved: call `finish`. */
  readonly ended: boolean;
};

const JOB_ID = /^[A-Z0-9][A-Za-z0-9-]{0,40}$/;
const MONTH = /^\d{4}-\d{2}$/;

export function openStore(disk: Disk, lifts?: Lifts): Store {
  const chains = new Map<string, Chain>();
  let late: Promise<unknown> = Promise.resolve();

  const openPath = (job: string) => {
    if (!JOB_ID.test(job)) throw new JournalError('bad-id', 'open', `"${job}" is not the id of a job`);
    return `open/${job}.jsonl`;
  };

  /** Newest month first: who asks for a finished job asks for a recent one. */
  const findDone = async (job: string): Promise<string | null> => {
    for (const month of (await disk.list('done')).toReversed()) {
      const path = `done/${month}/${job}.jsonl`;
      if (await disk.exists(path)) return path;
    }
    return null;
  };

  const find = async (job: string) => {
    const path = openPath(job);
    return (await disk.exists(path)) ? path : findDone(job);
  };

  const load = async (path: string): Promise<{ chain: Chain; journal: Journal } | null> => {
    const bytes = await disk.read(path);
    if (bytes === null) return null;
    const journal = readJournal(bytes, lifts);
    const chain = new Chain(disk, path, journal, lifts);
    if (journal.fault !== null) await chain.heal(journal.fault).catch(() => undefined);
    return { chain, journal };
  };

  const chainOf = async (job: string): Promise<Chain> => {
    const known = chains.get(job);
    if (known !== undefined) return known;
    const path = openPath(job);
    const chain =
      (await load(path))?.chain ?? new Chain(disk, path, { seq: 0, hash: GENESIS, goodBytes: 0 }, lifts);
    // Somebody else may have asked for it meanwhile.
    const first = chains.get(job) ?? chain;
    chains.set(job, first);
    return first;
  };

  /** One at a time: two that opened the same finished journal would each rest on the same last line. */
  const tellLate = async (job: string, told: Told): Promise<void> => {
    const path = await find(job);
    const loaded = path === null ? null : await load(path);
    if (loaded === null) throw new JournalError('unknown-job', openPath(job), `there is no job ${job}`);
    await loaded.chain.tell(told);
    await loaded.chain.close();
  };

  const mayStart = async (job: string, line: NewLine): Promise<void> => {
    const path = openPath(job);
    const first = line.events.find((event) => event.type === 'job-started');
    if (first === undefined) {
      throw new JournalError('no-start', path, `${path}: the first line of a job must say how it started`);
    }
    if (!(await hasBundle(disk, first.bundle))) {
      throw new JournalError('no-bundle', path, `${path}: keep bundle ${first.bundle} before the first line`);
    }
    if ((await findDone(job)) !== null) {
      throw new JournalError('finished', path, `there is a finished job ${job}: take the next number`);
    }
    try {
      await noteBay(disk, job, first.bay);
    } catch (error) {
      throw new JournalError('not-written', path, `the bay of ${job} could not be noted`, error);
    }
  };

  const appendFirst = async (job: string, expectedSeq: number, line: NewLine): Promise<Appended> => {
    const chain = await chainOf(job);
    if (chain.last.seq === 0) await mayStart(job, line);
    return chain.append(expectedSeq, line);
  };

  const openJob = async (name: string): Promise<OpenJob | null> => {
    const job = name.slice(0, -'.jsonl'.length);
    const path = `open/${name}`;
    const loaded = await load(path);
    if (loaded === null) return null;
    const { chain, journal } = loaded;
    if (journal.goodBytes === 0 && (journal.fault === null || journal.fault.is === 'torn')) {
      // It was never acknowledged that this job started.
      await chain.close();
      await disk.remove(path);
      await removeBay(disk, job);
      return null;
    }
    chains.set(job, chain);
    const shut = chain.fault;
    const state = shut === null ? 'good' : shut.code === 'read-only' ? 'read-only' : 'stopped';
    const report = shut?.message ?? (journal.fault === null ? null : printFault(path, journal.fault));
    const bay = bayIn(journal) ?? (await readBay(disk, job));
    return { job, bay, journal, state, report, ended: state === 'good' && hasEnded(journal) };
  };

  return {
    openJobs: async (now) => {
      for (const folder of ['open', 'done', 'bundles', 'recent']) await disk.makeFolder(folder);
      const jobs: OpenJob[] = [];
      const keys = await readKeys(disk, now);
      for (const name of await disk.list('open')) {
        if (name.endsWith('.jsonl.new')) await disk.remove(`open/${name}`);
        if (!name.endsWith('.jsonl')) continue;
        const opened = await openJob(name);
        if (opened === null) continue;
        jobs.push(opened);
        keys.push(...keysOf(opened.job, opened.journal.lines, now));
      }
      return { jobs, keys };
    },
    read: async (job) => {
      await chains.get(job)?.settle();
      const path = await find(job);
      const bytes = path === null ? null : await disk.read(path);
      return bytes === null ? null : readJournal(bytes, lifts);
    },
    has: async (job) => (await find(job)) !== null,
    append: (job, expectedSeq, line) => {
      const chain = chains.get(job);
      // Most lines follow another one of a journal that is open.
      return chain === undefined || chain.last.seq === 0
        ? appendFirst(job, expectedSeq, line)
        : chain.append(expectedSeq, line);
    },
    tell: (job, told) => {
      const chain = chains.get(job);
      if (chain !== undefined) return chain.tell(told);
      const run = late.then(() => tellLate(job, told));
      late = run.catch(() => undefined);
      return run;
    },
    finish: async (job, month, now) => {
      const path = openPath(job);
      if (!MONTH.test(month))
        throw new JournalError('bad-id', path, `"${month}" is not a month, write 2026-03`);
      await chains.get(job)?.close();
      chains.delete(job);
      const bytes = await disk.read(path);
      // Asked a second time after a power cut.
      if (bytes === null) return;
      // The keys first: a power cut between the two leaves them in both places, never in none.
      await keepKeys(disk, job, keysOf(job, readJournal(bytes, lifts).lines, now));
      await disk.makeFolder(`done/${month}`);
      await disk.rename(path, `done/${month}/${job}.jsonl`);
      await removeBay(disk, job);
    },
    keepBundle: (hash, texts) => keepBundle(disk, hash, texts),
    readBundle: (hash) => readBundle(disk, hash),
    close: async () => {
      const all = [...chains.values()];
      chains.clear();
      await Promise.all(all.map((chain) => chain.close()));
    },
  };
}

function hasEnded(journal: Journal): boolean {
  const ends = (event: Event) => event.type === 'job-ended';
  return journal.lines.some((line) => line.events.some(ends));
}

function bayIn(journal: Journal): string | null {
  const first = journal.lines[0]?.events.find((event) => event.type === 'job-started');
  return first?.bay ?? null;
}
