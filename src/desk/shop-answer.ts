import type { StartRefusal } from '../talk/shop-talk.js';
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
  | { readonly type: 'office'; readonly answer: OfficeAnswer | null };
