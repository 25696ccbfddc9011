import type { Place } from '../../../job/input.js';
import type { Board, BoardRow } from '../../../record/board.js';
import type { Thread } from '../../../talk/post.js';
import type { Hello, WirePost, WireSaid } from '../wire.js';

export type Entry = ({ readonly is: 'post' } & WirePost) | ({ readonly is: 'said' } & WireSaid);
export type PostEntry = Entry & { readonly is: 'post' };

/** Whether what is drawn is what is. Nothing is sent but STOP unless it is `live`. */
export type Link =
  | { readonly is: 'opening' }
  | { readonly is: 'catching-up' }
  | { readonly is: 'live' }
  /** Instant by the workshop's clock from which on nothing is known. */
  | { readonly is: 'cut-off'; readonly since: number };

/** A thread of the page: one for each bay, one for the foreman, one for the shop. */
export type ThreadId = `bay:${string}` | 'foreman' | 'shop';

export type State = {
  readonly hello: Hello | null;
  readonly board: Board | null;
  readonly threads: ReadonlyMap<ThreadId, readonly Entry[]>;
  /** Places of posts whose question is over. */
  readonly over: ReadonlySet<Place>;
  /** The newest place that reached this page. */
  readonly place: Place | null;
  readonly link: Link;
};

export const NOTHING: State = {
  hello: null,
  board: null,
  threads: new Map(),
  over: new Set(),
  place: null,
  link: { is: 'opening' },
};

/** A page left open for weeks forgets the oldest of a thread. */
const MOST_ENTRIES = 400;

export function threadIdOf(thread: Thread, bay: string): ThreadId {
  return thread === 'bay' ? `bay:${bay}` : thread;
}

/** The state with one more thing written down. What stands there already, by its place, is not written twice. */
export function withEntry(state: State, entry: Entry): State {
  const id = threadIdOf(entry.thread, entry.bay);
  const before = state.threads.get(id) ?? [];
  const same = before.findIndex(({ place }) => place === entry.place);
  const next = same >= 0 ? before.with(same, entry) : inOrder([...before, entry]);
  const threads = new Map(state.threads);
  threads.set(id, next.slice(-MOST_ENTRIES));
  return { ...state, threads, place: later(state.place, entry.place) };
}

export function withOver(state: State, place: Place): State {
  return { ...state, over: new Set(state.over).add(place) };
}

export function later(one: Place | null, other: Place | null): Place | null {
  if (one === null || other === null) return one ?? other;
  return one > other ? one : other;
}

function inOrder(entries: Entry[]): readonly Entry[] {
  const [before, last] = entries.slice(-2);
  if (before === undefined || last === undefined || before.place < last.place) return entries;
  return entries.sort((one, other) => (one.place < other.place ? -1 : 1));
}

export function entriesOf(state: State, id: ThreadId): readonly Entry[] {
  return state.threads.get(id) ?? [];
}

export function rowOf(state: State, bay: string): BoardRow | null {
  return state.board?.rows.find((row) => row.bay === bay) ?? null;
}

/** Attention first; bays of the same attention in the order of the register. */
export function rowsByAttention(state: State): readonly BoardRow[] {
  const order = new Map(state.hello?.bays.map(({ id }, at) => [id, at]));
  const at = (row: BoardRow) => order.get(row.bay) ?? order.size;
  return [...(state.board?.rows ?? [])].sort(
    (one, other) => other.attention - one.attention || at(one) - at(other),
  );
}

/** What a bay is called; without one, the workshop itself. */
export function bayLabel(state: State, bay: string): string {
  if (bay === '') return 'the workshop';
  if (bay === 'foreman') return 'the office';
  return state.hello?.bays.find(({ id }) => id === bay)?.label ?? `Bay ${bay}`;
}
