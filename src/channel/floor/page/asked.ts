import { type Entry, entriesOf, type PostEntry, rowOf, type State } from './state.js';

/** What a bay is told and asked now, out of all that stands in its thread. */
export type Now = {
  /** The large thing: the open question, the card, or the summary. Null: nothing is asked. */
  readonly main: PostEntry | null;
  /** Calls that stand beside the question, such as whether somebody is still here; newest first. */
  readonly calls: readonly PostEntry[];
  /** The newest word to the bay that came after `main`: a refusal, an answer to `where`. */
  readonly word: PostEntry | null;
};

const isPost = (entry: Entry): entry is PostEntry => entry.is === 'post';

/**
 * A question with a visit ends every older one. Questions without one (a wait, a pause, a call by name) stand until
 * the server says that they are over. A card stays until something newer is asked.
 */
export function nowOf(state: State, bay: string): Now {
  const posts = entriesOf(state, `bay:${bay}`).filter(isPost);
  const open = posts.filter((post) => post.kind === 'question' && !state.over.has(post.place));
  const latest = posts.findLast(({ visit }) => visit !== null) ?? null;
  const wait = open.findLast(
    (post) => isWait(post) && post.place > (latest?.place ?? '') && !troubled(state, bay, post),
  );
  const asked = open.findLast(({ visit }) => visit !== null) ?? null;
  const overtaken = asked !== null && (nothingAsked(state, bay, asked) || wait !== undefined);
  const visited = overtaken ? null : asked;
  const loose = open.filter(({ visit, buttons }) => visit === null && buttons.length > 0);
  const card = posts.findLast(({ kind }) => kind === 'card' || kind === 'summary') ?? null;

  let main = visited ?? wait ?? loose.at(-1) ?? null;
  let calls = loose.filter((post) => post !== main);
  if (card !== null && card.place > (main?.place ?? '') && standsStill(state, bay, card)) {
    // A card that asks as well is its own question; calls older than a card are over with it.
    calls = calls.filter(({ place }) => place > card.place);
    main = card;
  }
  const last = posts.findLast(({ kind }) => kind === 'told' || kind === 'alert') ?? null;
  const word = last !== null && last.place > (main?.place ?? '') ? last : null;
  return { main, calls: calls.toReversed(), word };
}

/** A wait is asked of nobody; the next question ends it, and it does not come back when that is over. */
const isWait = ({ visit, buttons }: PostEntry) => visit === null && buttons.length === 0;

/** A hold or a stop that the board knows of, where it is newer than a wait. */
function troubled(state: State, bay: string, post: PostEntry): boolean {
  return (state.board?.at ?? 0) >= post.at && (rowOf(state, bay)?.attention ?? 0) >= 2;
}

/** The board, where it is newer than a question, knows when nothing is asked any more: a hold, a stop, a wait. */
function nothingAsked(state: State, bay: string, post: PostEntry): boolean {
  const row = rowOf(state, bay);
  return row !== null && (state.board?.at ?? 0) > post.at && row.asked === null;
}

/** A summary is over once the bay has another job; a card stands until something newer is asked. */
function standsStill(state: State, bay: string, card: PostEntry): boolean {
  if (card.kind === 'card') return true;
  const job = rowOf(state, bay)?.job ?? null;
  return job === null || job.id === card.job;
}
