import type { Body, Marks } from '../../job/input.js';
import type { Who } from './people.js';

/** Something that somebody said or did, before it is known for which lane it is. */
export type Said = {
  readonly key: string;
  readonly stamp: string;
  readonly channel: string;
  readonly thread: string | null;
  readonly user: string;
  readonly who: Who;
  readonly marks: Marks;
  readonly body: Body;
  readonly late: boolean;
  /** It names us. */
  readonly toUs?: boolean;
};
