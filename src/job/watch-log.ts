import type { Sighted, WatchOutcome } from './event.js';

/** What was read of one thing over the whole job: a step that is opened again goes on with it. */
export type WatchLog = {
  readonly sightings: readonly Sighting[];
  /** The sighting from which the step that is open, or comes next, is judged: what settled before is over. */
  readonly from: number;
  /** The last prompt of the bot, and which one in a row without an answer. */
  readonly prompt: { readonly visit: number; readonly at: number; readonly times: number } | null;
};

export type Sighting = {
  readonly sighted: Sighted;
  /** When it was said, and when it was heard. */
  readonly saidAt: number;
  readonly at: number;
  readonly visit: number;
  /** `from` of the log when it was said. */
  readonly from: number;
  readonly outcome: WatchOutcome;
};

export const EMPTY_LOG: WatchLog = { sightings: [], from: 0, prompt: null };
