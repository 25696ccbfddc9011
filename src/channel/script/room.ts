import type { OutPost } from '../../desk/port.js';
import type { Place } from '../../job/input.js';
import type { Post } from '../../talk/post.js';

/** What stands in a room: a post, something a person did, or something that befell everybody. */
export type Entry =
  | {
      readonly is: 'post';
      readonly place: Place;
      readonly thread: string;
      readonly at: number;
      readonly key: string;
      readonly post: Post;
      readonly again: boolean;
    }
  | {
      readonly is: 'said';
      readonly place: Place;
      readonly thread: string;
      readonly at: number;
      readonly who: string;
      readonly text: string;
    }
  | { readonly is: 'event'; readonly at: number; readonly text: string }
  /** A heading of a script. */
  | { readonly is: 'chapter'; readonly at: number; readonly text: string };

export type PostEntry = Entry & { readonly is: 'post' };

/**
 * Where threads stand: one for each bay, one for the foreman, one for the shop. It is the platform, so it outlives
 * a restart of the desk. Places are one counter for the whole room, zero-padded, and compare as text.
 */
export type Room = {
  readonly entries: readonly Entry[];
  /** Before everything that stands here. */
  readonly start: Place;
  post(out: OutPost, at: number): Place;
  say(thread: string, who: string, text: string, at: number): void;
  /** Adds words to the newest thing said, such as `(not kept)`. */
  remark(text: string): void;
  note(text: string, at: number): void;
  chapter(text: string, at: number): void;
  /** Where the post with this key stands, or null. */
  find(key: string): Place | null;
  /** Posts of a thread, oldest first, from the so-many-th entry on. */
  posts(thread: string, from?: number): readonly PostEntry[];
};

const DIGITS = 6;

/** The thread a post goes to: its bay's own, `foreman` or `shop`. */
export const threadOfPost = ({ bay, post }: OutPost): string => (post.to === 'bay' ? bay : post.to);

/** Opens an empty room. Places begin with `prefix`, which has to grow from one room to the next on the same data. */
export function openRoom(prefix = ''): Room {
  const entries: Entry[] = [];
  const keys = new Map<string, Place>();
  let count = 0;
  const place = (n: number) => `${prefix}${String(n).padStart(DIGITS, '0')}`;

  return {
    entries,
    start: place(0),
    post: (out, at) => {
      const { key, post, again } = out;
      const here = place(++count);
      entries.push({ is: 'post', place: here, thread: threadOfPost(out), at, key, post, again });
      for (const one of [key, ...(out.also ?? [])]) keys.set(one, here);
      return here;
    },
    say: (thread, who, text, at) => {
      entries.push({ is: 'said', place: place(++count), thread, who, text, at });
    },
    remark: (text) => {
      const at = entries.findLastIndex((entry) => entry.is === 'said');
      const entry = entries[at];
      if (entry?.is === 'said') entries[at] = { ...entry, text: `${entry.text} ${text}` };
    },
    note: (text, at) => {
      entries.push({ is: 'event', text, at });
    },
    chapter: (text, at) => {
      entries.push({ is: 'chapter', text, at });
    },
    find: (key) => keys.get(key) ?? null,
    posts: (thread, from = 0) =>
      entries.slice(from).filter((entry) => entry.is === 'post' && entry.thread === thread) as PostEntry[],
  };
}
