import { type Appended, Chain } from './chain.js';
import type { Disk } from './disk.js';
import { type Journal, printFault, readJournal } from './journal.js';
import { GENESIS, type Lifts, type NewLine, type Told } from './line.js';
import { KEYS_MS, type KnownKey, keysOf } from './recent.js';

/** First event of a month's file: the end of the file before, so that no month can be taken out unseen. */
export type MonthOpened = {
  readonly type: 'month-opened';
  readonly after: { readonly month: string; readonly hash: string } | null;
};

/**
 * What belongs to no job: words said in a channel, changes of the register, day posts told. A file a month,
 * `shop/YYYY-MM.jsonl`, in the same format and with the same chain as a job. What its events are, the desk says.
 */
export type ShopJournal<E extends { readonly type: string }> = {
  /** The report of what was found wrong at the start, for the console; null when all is well. */
  readonly report: string | null;
  /** Keys of the last 25 hours at the start. */
  readonly keys: readonly KnownKey[];
  /** What was read at the start: the newest part first, back to one that began 25 hours ago or earlier. */
  readonly recent: readonly Part<E>[];
  /** The parts before those, by their names, newest first: what `read` takes. */
  readonly older: readonly string[];
  /**
   * Adds a line to the month it falls in, on the disk when this returns, and says in which part it stands. A month
   * already closed is not opened again.
   */
  append(month: string, line: NewLine<E>): Promise<Appended & { readonly part: string }>;
  /** Notes that a post of a line of this part has arrived. A part already closed takes no note any more. */
  tell(part: string, told: Told): Promise<void>;
  /** A month's journal, or null when there is none. */
  read(month: string): Promise<Journal<E | MonthOpened> | null>;
  close(): Promise<void>;
};

/** A month's file, or what follows a damaged one: `2026-03`, `2026-03-b`. */
export type Part<E> = { readonly part: string; readonly journal: Journal<E | MonthOpened> };

type Current = { readonly month: string; readonly chain: Chain };

/** Opens the shop journal at its newest month. A damaged month is left as it is and a new part of it begun. */
export async function openShopJournal<E extends { readonly type: string }>(
  disk: Disk,
  now: number,
  lifts?: Lifts,
): Promise<ShopJournal<E>> {
  await disk.makeFolder('shop');
  const parts = await partsOf(disk);
  const keys: KnownKey[] = [];
  const recent: Part<E>[] = [];
  let current: Current | null = null;
  let report: string | null = null;
  let turn: Promise<unknown> = Promise.resolve();

  for (const month of parts.toReversed()) {
    const journal = await readMonth<E>(disk, month, lifts);
    if (journal === null) continue;
    if (current === null) {
      const chain = new Chain(disk, pathOf(month), journal, lifts);
      if (journal.fault !== null) {
        await chain.heal(journal.fault).catch(() => undefined);
        report = chain.fault?.message ?? printFault(pathOf(month), journal.fault);
      }
      current = { month, chain };
    }
    recent.push({ part: month, journal });
    keys.push(...keysOf(null, journal.lines, now));
    if ((journal.lines[0]?.at ?? 0) < now - KEYS_MS) break;
  }

  const chainFor = async (month: string, line: Pick<NewLine<E>, 'at'>): Promise<Chain> => {
    const open = current;
    const sound = open !== null && open.chain.fault === null;
    if (open !== null && sound && month <= open.month.slice(0, MONTH_LENGTH)) return open.chain;
    const name = nameFor(month, open?.month ?? null);
    await open?.chain.close();
    const chain = new Chain(disk, pathOf(name), { seq: 0, hash: GENESIS, goodBytes: 0 }, lifts);
    const after = open === null ? null : { month: open.month, hash: open.chain.last.hash };
    const opened: MonthOpened = { type: 'month-opened', after };
    const { at } = line;
    const first = { at, saidAt: at, by: '', name: '', via: 'clock', key: `shop:${name}`, words: '' };
    await chain.append(1, { ...first, events: [opened] });
    current = { month: name, chain };
    return chain;
  };

  const read = new Set(recent.map(({ part }) => part));
  const older = parts.toReversed().filter((part) => !read.has(part));

  const inTurn = <T>(work: () => Promise<T>): Promise<T> => {
    const run = turn.then(work);
    turn = run.catch(() => undefined);
    return run;
  };

  return {
    get report() {
      return report;
    },
    keys,
    recent,
    older,
    append: (month, line) =>
      inTurn(async () => {
        const chain = await chainFor(month, line);
        const appended = await chain.append(chain.last.seq + 1, line);
        return { ...appended, part: current?.month ?? month };
      }),
    tell: (part, told) =>
      inTurn(async () => {
        // Numbers of lines are those of one part: in the next one they would mean other lines.
        if (current?.month === part && current.chain.fault === null) await current.chain.tell(told);
      }),
    read: (month) => readMonth<E>(disk, month, lifts),
    close: () => inTurn(async () => current?.chain.close()),
  };
}

const MONTH_LENGTH = 'YYYY-MM'.length;

const pathOf = (month: string) => `shop/${month}.jsonl`;

function readMonth<E>(disk: Disk, month: string, lifts?: Lifts): Promise<Journal<E | MonthOpened> | null> {
  return disk.read(pathOf(month)).then((bytes) => (bytes === null ? null : readJournal(bytes, lifts)));
}

async function partsOf(disk: Disk): Promise<readonly string[]> {
  const names = await disk.list('shop');
  return names.filter((name) => name.endsWith('.jsonl')).map((name) => name.slice(0, -'.jsonl'.length));
}

/** `2026-03`; after a damaged `2026-03` comes `2026-03-b`, then `-c`. */
function nameFor(month: string, before: string | null): string {
  if (before === null || before.slice(0, MONTH_LENGTH) < month) return month;
  const part = before.slice(MONTH_LENGTH + 1) || 'a';
  return `${before.slice(0, MONTH_LENGTH)}-${String.fromCharCode(part.charCodeAt(0) + 1)}`;
}
