import * as z from 'zod';
import type { Place } from '../../job/input.js';
import type { Post, Thread } from '../../talk/post.js';
import { POST_KINDS, THREADS } from '../../talk/post.js';

/** What stands in the floor page's ledger: what the bot posted, and what people wrote. */
export type Entry = PostEntry | SaidEntry;

export type PostEntry = {
  readonly is: 'post';
  readonly place: Place;
  /** The key of the desk, the same for every attempt. */
  readonly key: string;
  readonly bay: string;
  readonly job: string | null;
  readonly at: number;
  readonly post: Post;
  readonly again: boolean;
};

export type SaidEntry = {
  readonly is: 'said';
  readonly place: Place;
  /** The key of the input: the same message sent twice is said once. */
  readonly key: string;
  readonly bay: string;
  readonly thread: Thread;
  readonly by: string;
  readonly name: string;
  readonly words: string;
  readonly at: number;
  readonly photo: string | null;
};

/** Where an entry stands. What is said to the foreman or the shop without a bay is answered there. */
export function placeOfThread(entry: Entry): Thread {
  const thread = entry.is === 'post' ? entry.post.to : entry.thread;
  return thread === 'bay' && (entry.bay === 'foreman' || entry.bay === 'shop') ? entry.bay : thread;
}

/** A thread of the page: one for each bay, one for the foreman, one for the shop. */
export function threadOf(entry: Entry): string {
  return threadName(placeOfThread(entry), entry.bay);
}

export function threadName(thread: Thread, bay: string): string {
  return thread === 'bay' ? `bay:${bay}` : thread;
}

const PART = z.union([
  z.string(),
  z.strictObject({ instant: z.number(), as: z.enum(['time', 'day-time', 'date']) }),
]);

const POST = z.strictObject({
  to: z.enum(THREADS),
  kind: z.enum(POST_KINDS),
  lines: z.array(z.array(PART)),
  buttons: z.array(z.strictObject({ label: z.string(), says: z.string() })),
  visit: z.string().nullable(),
});

const ENTRY = z.discriminatedUnion('is', [
  z.strictObject({
    is: z.literal('post'),
    place: z.string(),
    key: z.string(),
    bay: z.string(),
    job: z.string().nullable(),
    at: z.number(),
    post: POST,
    again: z.boolean(),
  }),
  z.strictObject({
    is: z.literal('said'),
    place: z.string(),
    key: z.string(),
    bay: z.string(),
    thread: z.enum(THREADS),
    by: z.string(),
    name: z.string(),
    words: z.string(),
    at: z.number(),
    photo: z.string().nullable(),
  }),
]);

/** An entry as it was written; null for a line that a crash left in part or that is none of ours. */
export function parseEntry(line: string): Entry | null {
  try {
    const parsed = ENTRY.safeParse(JSON.parse(line));
    return parsed.success ? parsed.data : null;
  } catch {
    return null;
  }
}

/** One line of the ledger's file. */
export function printEntry(entry: Entry): string {
  return `${JSON.stringify(entry)}\n`;
}
