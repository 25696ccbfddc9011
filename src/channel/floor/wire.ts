import type { Place } from '../../job/input.js';
import type { Button, Line, PostKind, Thread } from '../../talk/post.js';

/** The shapes of what goes over the live stream, for the server that sends it and the page that hears it. */

/** What a page is told first: where it is, who is here and who it speaks for. */
export type Hello = {
  /** The workshop's name. */
  readonly name: string;
  /** The workshop's time zone; every clock on the page shows it. */
  readonly zone: string;
  /** The server's clock, ms since 1970. */
  readonly now: number;
  readonly bays: readonly { readonly id: string; readonly label: string }[];
  readonly people: readonly { readonly id: string; readonly name: string; readonly pin: boolean }[];
  /** Who this browser speaks for; `own` is false on a shared screen. */
  readonly me: { readonly id: string; readonly name: string; readonly own: boolean } | null;
  readonly shop: 'demo' | 'own';
  /** Nothing has been said here yet. */
  readonly first: boolean;
  readonly flows: readonly { readonly id: string; readonly title: string }[];
  readonly cars: readonly string[];
};

export type WirePost = {
  readonly place: Place;
  readonly key: string;
  readonly thread: Thread;
  readonly bay: string;
  readonly job: string | null;
  readonly kind: PostKind;
  readonly at: number;
  readonly lines: readonly Line[];
  readonly buttons: readonly Button[];
  readonly visit: string | null;
  readonly again: boolean;
};

export type WireSaid = {
  readonly place: Place;
  readonly bay: string;
  readonly thread: Thread;
  readonly by: string;
  readonly name: string;
  readonly words: string;
  readonly at: number;
  readonly photo: string | null;
};
