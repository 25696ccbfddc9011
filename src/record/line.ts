import type { Event } from '../job/event.js';

/** The part of a journal line that a record is made from: an input, and what was concluded from it. */
export type RecordLine = {
  readonly seq: number;
  /** When it was judged, ms since 1970. */
  readonly at: number;
  readonly by: string;
  readonly name: string;
  /** The words as they were typed. */
  readonly words: string;
  readonly via: string;
  readonly events: readonly Event[];
};
