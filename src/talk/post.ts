/**
 * What a person sees. No platform's words: instants stay instants and are printed by the channel in the reader's
 * time, buttons are labels, and everything that matters stands in the text, for a screen reader and a glance alike.
 */
export type Post = {
  readonly to: Thread;
  readonly kind: PostKind;
  readonly lines: readonly Line[];
  /** At most three, the safe choice first; none passes a gate. */
  readonly buttons: readonly Button[];
  /** How many of the last lines ask something; the others tell. None where it is not given. */
  readonly asking?: number;
  /** The visit of the question in this post: a tap on an older one is stale. Null where nothing is asked. */
  readonly visit: string | null;
};

export const THREADS = ['bay', 'foreman', 'shop'] as const;
export type Thread = (typeof THREADS)[number];

/** `question` asks something, `card` is for a danger, `alert` calls somebody, `summary` ends a job. */
export const POST_KINDS = ['question', 'told', 'card', 'alert', 'summary'] as const;
export type PostKind = (typeof POST_KINDS)[number];

export type Line = readonly Part[];
export type Part = string | { readonly instant: number; readonly as: 'time' | 'day-time' | 'date' };

/** A tap says these words for its owner, as if typed. */
export type Button = { readonly label: string; readonly says: string };
