import type { Disk, DiskFile } from '../../journal/disk.js';
import { type Entry, parseEntry, printEntry, threadOf } from './entry.js';

/** The folder under the data folder that is the floor page's own. */
export const FOLDER = 'floor';

const CARRIED = `${FOLDER}/carried.jsonl`;
const RUN = `${FOLDER}/run`;
/** Days, by world time, that are kept whole. */
export const KEPT_DAYS = 7;
/** So many entries of a thread are kept however old they are: a bay that stood still for weeks. */
export const KEPT_ENTRIES = 60;
const DAY_MS = 86_400_000;

/** The ledger on disk: a file a day, appended to and not flushed line by line; the journals are the record. */
export type LedgerFiles = {
  /** Everything that is kept, in the order of its places. */
  readonly entries: readonly Entry[];
  /** The number of this run of the program, 14 digits, above that of every run before. */
  readonly run: string;
  /**
   * Writes an entry down. A disk that takes nothing keeps nobody from being told: what could not be written is tried
   * again with the next one.
   */
  write(entry: Entry): Promise<void>;
  close(): Promise<void>;
};

/** Opens the ledger, reads what is kept and clears away what is too old. `now` in ms since 1970. */
export async function openLedgerFiles(disk: Disk, now: number): Promise<LedgerFiles> {
  await disk.makeFolder(FOLDER);
  const run = await nextRun(disk, now);
  const entries = await readKept(disk, now);
  let file: { readonly day: string; readonly open: DiskFile } | null = null;
  let owed: string[] = [];
  let torn = false;
  let turn: Promise<unknown> = Promise.resolve();

  const fileOf = async (day: string): Promise<DiskFile> => {
    if (file?.day === day) return file.open;
    await file?.open.close().catch(() => undefined);
    file = { day, open: await disk.open(pathOf(day)) };
    torn = true;
    return file.open;
  };

  const flush = async (at: number): Promise<void> => {
    const lines = [...owed];
    try {
      const open = await fileOf(dayOf(at));
      // A line that was cut off before, by a full disk or a crash, may not swallow the next one.
      await open.append(Buffer.from((torn ? '\n' : '') + lines.join('')), false);
      torn = false;
      owed = owed.slice(lines.length);
    } catch {
      torn = true;
      owed = owed.slice(-MOST_OWED);
    }
  };

  const inTurn = (work: () => Promise<void>): Promise<void> => {
    const next = turn.then(work);
    turn = next.catch(() => undefined);
    return next;
  };

  return {
    entries,
    run,
    write: (entry) => {
      owed.push(printEntry(entry));
      return inTurn(() => flush(entry.at));
    },
    close: () =>
      inTurn(async () => {
        if (file === null) return;
        if (owed.length > 0) await flush(Date.parse(file.day));
        await file.open.sync().catch(() => undefined);
        await file.open.close();
        file = null;
      }),
  };
}

const MOST_OWED = 2000;
const pathOf = (day: string) => `${FOLDER}/ledger-${day}.jsonl`;
const dayOf = (at: number) => new Date(at).toISOString().slice(0, 10);

/**
 * A place that was given and lost with the power may never be given again: a page that has it open would have seen
 * another post. So every run has a number of its own, on the disk before the first place is given.
 */
async function nextRun(disk: Disk, now: number): Promise<string> {
  const before = Number((await disk.read(RUN))?.toString() ?? 0);
  const run = Math.max(now, Number.isFinite(before) ? before + 1 : 0);
  await disk.write(`${RUN}.new`, Buffer.from(String(run)));
  await disk.rename(`${RUN}.new`, RUN);
  return String(run).padStart(14, '0');
}

async function readKept(disk: Disk, now: number): Promise<readonly Entry[]> {
  const names = (await disk.list(FOLDER)).filter((name) => /^ledger-\d{4}-\d\d-\d\d\.jsonl$/.test(name));
  const oldest = `ledger-${dayOf(now - KEPT_DAYS * DAY_MS)}.jsonl`;
  const old = names.filter((name) => name < oldest);
  const carried = await readEntries(disk, CARRIED);
  const aged: Entry[] = [...carried];
  for (const name of old) aged.push(...(await readEntries(disk, `${FOLDER}/${name}`)));
  const recent: Entry[] = [];
  for (const name of names.filter((one) => one >= oldest))
    recent.push(...(await readEntries(disk, `${FOLDER}/${name}`)));
  if (old.length === 0) return inOrder([...carried, ...recent]);
  const kept = newestOfThreads(inOrder([...aged, ...recent]), KEPT_ENTRIES);
  const carry = aged.filter((entry) => kept.has(entry));
  try {
    await disk.write(`${CARRIED}.new`, Buffer.from(carry.map(printEntry).join('')));
    await disk.rename(`${CARRIED}.new`, CARRIED);
    for (const name of old) await disk.remove(`${FOLDER}/${name}`);
  } catch {
    // A full disk: the next start clears it away.
  }
  return inOrder([...carry, ...recent]);
}

async function readEntries(disk: Disk, path: string): Promise<readonly Entry[]> {
  const text = (await disk.read(path))?.toString('utf8') ?? '';
  return text.split('\n').flatMap((line) => (line === '' ? [] : (parseEntry(line) ?? [])));
}

/** By place; the same place once. */
function inOrder(entries: readonly Entry[]): readonly Entry[] {
  const sorted = entries.toSorted((a, b) => (a.place < b.place ? -1 : a.place > b.place ? 1 : 0));
  return sorted.filter((entry, at) => sorted[at - 1]?.place !== entry.place);
}

/** The newest so many of each thread. */
export function newestOfThreads(entries: readonly Entry[], most: number): ReadonlySet<Entry> {
  const counts = new Map<string, number>();
  const kept = new Set<Entry>();
  for (const entry of entries.toReversed()) {
    const thread = threadOf(entry);
    const count = (counts.get(thread) ?? 0) + 1;
    counts.set(thread, count);
    if (count <= most) kept.add(entry);
  }
  return kept;
}
