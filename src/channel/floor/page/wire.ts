import type { Place } from '../../../job/input.js';
import type { Button, Line, PostKind, Thread } from '../../../talk/post.js';

/** What comes over the wire from the floor server, as its live stream and its answers carry it. */

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
  /** Nothing has been done with this workshop yet. */
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

/** 3: stopped or danger. 2: held, refused, or exposed with nobody there. 1: waits for a person. 0: calm. */
export type Attention = 0 | 1 | 2 | 3;

export type BoardRow = {
  readonly bay: string;
  readonly label: string;
  readonly attention: Attention;
  readonly job: {
    readonly id: string;
    readonly number: string;
    readonly car: string;
    readonly flow: string;
    readonly title: string;
  } | null;
  readonly step: Line | null;
  readonly asked: Line | null;
  readonly holder: string | null;
  readonly standby: string | null;
  readonly since: number;
  readonly proved: readonly Line[];
  readonly notProved: readonly Line[];
  readonly locks: readonly Line[];
  readonly waits: readonly Wait[];
  readonly open: readonly Line[];
  readonly why: Line | null;
};

/** `until` null: nobody can say yet. Not firm: it may become later. */
export type Wait = { readonly label: string; readonly until: number | null; readonly firm: boolean };

export type Board = { readonly at: number; readonly rows: readonly BoardRow[] };

export type Curve = {
  readonly id: string;
  readonly title: string;
  readonly alt: string;
  readonly kind: 'curve';
  readonly x: { readonly label: string; readonly unit: string; readonly values: readonly number[] };
  readonly series: readonly {
    readonly label: string;
    readonly unit: string;
    readonly values: readonly (number | null)[];
    readonly dashed?: boolean;
  }[];
  readonly marks: readonly { readonly at: number; readonly label: string }[];
};

export type Pattern = {
  readonly id: string;
  readonly title: string;
  readonly alt: string;
  readonly kind: 'pattern';
  readonly bolts: readonly {
    readonly n: number;
    readonly x: number;
    readonly y: number;
    readonly order: number;
    readonly value: number | null;
  }[];
  readonly unit: string;
};

export type Picture = Curve | Pattern;
