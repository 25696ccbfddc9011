import type { StartRefusal } from '../talk/shop-talk.js';
import type { DoneDay, DuePost } from './day-due.js';
import type { OfficeAnswer } from './office-answer.js';

/** What words in a bay without a job were answered, in codes: it is said anew when a crash kept it from being told. */
export type ShopAnswer =
  | { readonly is: 'bays' }
  | { readonly is: 'what-to-start' }
  | { readonly is: 'not-started'; readonly refusal: StartRefusal }
  | { readonly is: 'stop'; readonly danger: string | null };

/** What a line of the shop journal says; `answer` is null for words that asked for none. */
export type ShopEvent =
  /** Words in a bay without a job. */
  | {
      readonly type: 'said';
      readonly bay: string;
      /** Not there in lines of the first days, whose answers are not told again. */
      readonly answer?: ShopAnswer | null;
    }
  /** Words in the foreman's own thread. */
  | { readonly type: 'office'; readonly answer: OfficeAnswer | null }
  | DayPosted
  | DayVoided;

/** The post of a working day was made, for the hour that it stands for. */
export type DayPosted = DuePost & { readonly type: 'day-post' };

/** It was made while the clock stood wrong: the day is still to come, and gets its own. */
export type DayVoided = DoneDay & { readonly type: 'day-post-void' };
