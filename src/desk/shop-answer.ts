import type { StartRefusal } from '../talk/shop-talk.js';

/** What words in a bay without a job were answered, in codes: it is said anew when a crash kept it from being told. */
export type ShopAnswer =
  | { readonly is: 'bays' }
  | { readonly is: 'what-to-start' }
  | { readonly is: 'not-started'; readonly refusal: StartRefusal }
  | { readonly is: 'stop'; readonly danger: string | null };

/** What a line of the shop journal says: words without a job; `answer` is null when they asked for none. */
export type ShopEvent = {
  readonly type: 'said';
  readonly bay: string;
  /** Not there in lines of the first days, whose answers are not told again. */
  readonly answer?: ShopAnswer | null;
};
