import type { Summons } from '../job/event.js';
import type { StartRefusal } from '../talk/shop-talk.js';
import type { DoneDay, DuePost } from './day-due.js';
import type { OfficeAnswer } from './office-answer.js';

/** What words in a bay without a job were answered, in codes: it is said anew when a crash kept it from being told. */
export type ShopAnswer =
  | { readonly is: 'bays' }
  | { readonly is: 'what-to-start' }
  | { readonly is: 'not-started'; readonly refusal: StartRefusal }
  | { readonly is: 'stop'; readonly danger: string | null };

/** What a line of the shop journal says. */
export type ShopEvent = Said | Office | Waits | Joined | RemindedOf | DayPosted | DayVoided;

/** The post of a working day was made, for the hour that it stands for. */
export type DayPosted = DuePost & { readonly type: 'day-post' };

/** It was made while the clock stood wrong: the day is still to come, and gets its own. */
export type DayVoided = DoneDay & { readonly type: 'day-post-void' };

/** Words without a job; `answer` is null when they asked for none. */
export type Said = {
  readonly type: 'said';
  readonly bay: string;
  /** Not there in lines of the first days, whose answers are not told again. */
  readonly answer?: ShopAnswer | null;
};

/** Words in the foreman's own thread. */
export type Office = { readonly type: 'office'; readonly answer: OfficeAnswer | null };

/** A line of a job that has something to say to the foreman. */
export type JobLine = { readonly bay: string; readonly job: string; readonly line: number };

/** Its post waits to be joined with others. */
export type Waits = JobLine & {
  readonly type: 'waits';
  readonly at: number;
  readonly urgency: 'call' | 'news';
};

/** What waited goes out as one post. */
export type Joined = {
  readonly type: 'joined';
  readonly of: readonly JobLine[];
  /** Seen to while it waited: not told any more, after a start neither. */
  readonly over?: readonly JobLine[];
};

/** Something that nobody has seen to yet. */
export type Reminded = {
  readonly bay: string;
  readonly job: string;
  readonly what: Summons;
  readonly detail: string;
};

/** The foreman is told once more. */
export type RemindedOf = { readonly type: 'reminded'; readonly of: readonly Reminded[] };
