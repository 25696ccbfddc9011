import type { OutPost } from '../../desk/port.js';
import type { Place } from '../../job/input.js';
import type { Disk } from '../../journal/disk.js';
import { type Entry, type PostEntry, type SaidEntry, threadOf } from './entry.js';
import { KEPT_ENTRIES, type LedgerFiles, newestOfThreads, openLedgerFiles } from './ledger-files.js';

/** What somebody writes, before it has a place. */
export type Saying = Omit<SaidEntry, 'is' | 'place'>;

/**
 * Everything that stands on the floor page, by place. Places are one order for the whole page, `RUN.COUNT`, they
 * compare as text and go on over restarts, lost lines and a clock set back.
 */
export type Ledger = {
  /** The newest place given, and before everything if there is none. */
  readonly last: Place;
  /** Writes a post down and gives its place. The same key again gives the place it has. */
  post(out: OutPost, at: number): Promise<Place>;
  /** Writes down what somebody said; null when the same key was said before. */
  say(saying: Saying): Promise<SaidEntry | null>;
  /** Puts back a post that the journal knows to stand at this place and that a crash took from the ledger. */
  restore(entry: PostEntry): Promise<void>;
  /** Where the post with this key stands, or null. */
  find(key: string): Place | null;
  /** Entries newer than a place; null when some of them are not kept any more. */
  after(place: Place): readonly Entry[] | null;
  /** The newest entries of each thread, in order. */
  newest(): readonly Entry[];
  /** Posts of a thread, newest first. */
  posts(thread: string): readonly PostEntry[];
  /** What its sender had seen: the newest post of the thread at or before a place; before everything for none. */
  seen(thread: string, place: Place | null): Place;
  /** Called with each entry as it is written down. */
  watch(seen: (entry: Entry) => void): void;
  close(): Promise<void>;
};

/** More than this is not kept in memory, a busy week in a large shop. */
const MOST = 20_000;
const DIGITS = 9;
const NOTHING = '';

/** Opens the ledger of a data folder. */
export async function openLedger(disk: Disk, now: number): Promise<Ledger> {
  const files: LedgerFiles = await openLedgerFiles(disk, now);
  let entries: Entry[] = [...files.entries];
  const keys = new Map<string, Place>();
  const said = new Set<string>();
  const threads = new Map<string, PostEntry[]>();
  const watchers: ((entry: Entry) => void)[] = [];
  let count = 0;
  /** Everything newer than this is kept. */
  let from: Place = entries[0]?.place ?? NOTHING;
  let last: Place = entries.at(-1)?.place ?? NOTHING;

  const index = (entry: Entry) => {
    if (entry.is === 'said') return void said.add(entry.key);
    keys.set(entry.key, entry.place);
    const posts = threads.get(threadOf(entry));
    if (posts === undefined) threads.set(threadOf(entry), [entry]);
    else posts.push(entry);
  };
  for (const entry of entries) index(entry);

  const shorten = () => {
    if (entries.length <= MOST) return;
    const kept = newestOfThreads(entries, KEPT_ENTRIES);
    const cut = entries.length - MOST / 2;
    from = entries[cut - 1]?.place ?? from;
    entries = entries.filter((entry, at) => at >= cut || kept.has(entry));
    keys.clear();
    said.clear();
    threads.clear();
    for (const entry of entries) index(entry);
  };

  const nextPlace = () => {
    last = `${files.run}.${String(++count).padStart(DIGITS, '0')}`;
    return last;
  };

  const add = async (entry: Entry) => {
    entries.push(entry);
    index(entry);
    shorten();
    // Whoever looks is told at once; the file is not what they wait for.
    for (const watcher of watchers) watcher(entry);
    await files.write(entry);
  };

  return {
    get last() {
      return last;
    },
    post: async ({ key, bay, job, post, again }, at) => {
      const known = again ? undefined : keys.get(key);
      if (known !== undefined) return known;
      const place = nextPlace();
      await add({ is: 'post', place, key, bay, job, at, post, again });
      return place;
    },
    say: async (saying) => {
      if (said.has(saying.key)) return null;
      const entry: SaidEntry = { is: 'said', place: nextPlace(), ...saying };
      await add(entry);
      return entry;
    },
    restore: async (entry) => {
      if (keys.has(entry.key)) return;
      entries.push(entry);
      entries.sort((a, b) => (a.place < b.place ? -1 : 1));
      if (entry.place > last) last = entry.place;
      index(entry);
      threads.get(threadOf(entry))?.sort((a, b) => (a.place < b.place ? -1 : 1));
      await files.write(entry);
    },
    find: (key) => keys.get(key) ?? null,
    after: (place) => (place < from ? null : entries.slice(firstAfter(entries, place))),
    newest: () => {
      const kept = newestOfThreads(entries, KEPT_ENTRIES);
      return entries.filter((entry) => kept.has(entry));
    },
    posts: (thread) => threads.get(thread)?.toReversed() ?? [],
    seen: (thread, place) => {
      // Nobody has seen what was not yet there.
      if (place === null || place > last) return NOTHING;
      const posts = threads.get(thread) ?? [];
      return posts[firstAfter(posts, place) - 1]?.place ?? NOTHING;
    },
    watch: (seen) => void watchers.push(seen),
    close: () => files.close(),
  };
}

/** The index of the first entry behind a place; entries stand in order. */
function firstAfter(entries: readonly Entry[], place: Place): number {
  let [low, high] = [0, entries.length];
  while (low < high) {
    const middle = (low + high) >> 1;
    if ((entries[middle]?.place ?? '') <= place) low = middle + 1;
    else high = middle;
  }
  return low;
}
