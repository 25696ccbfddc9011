import type { Input, Place } from '../job/input.js';
import type { Post } from '../talk/post.js';

/** A post on its way out. */
export type OutPost = {
  /** The same for every attempt: `JOB:LINE:THREAD`. */
  readonly key: string;
  /** The bay whose thread it belongs to; posts for the foreman or the shop name the bay they speak of. */
  readonly bay: string;
  readonly job: string | null;
  readonly post: Post;
  /** Keys of earlier posts that could not be delivered and are told in this one: it is found by each of them. */
  readonly also?: readonly string[];
  /** It may stand there already, and the channel cannot be asked. */
  readonly again: boolean;
};

export const UNDELIVERED = ['not-sent', 'unknown'] as const;

/** `not-sent`: surely not there, try again. `unknown`: it may be there; ask before it is sent again. */
export class Undelivered extends Error {
  constructor(
    readonly code: (typeof UNDELIVERED)[number],
    cause?: unknown,
  ) {
    super(code === 'not-sent' ? 'the channel is down' : 'nobody knows whether the post arrived', { cause });
    this.name = 'Undelivered';
  }
}

/** What a channel does for the desk. Rendering, in the reader's time zone, is the channel's own. */
export type Channel = {
  readonly name: string;
  /**
   * Delivers a post and says where it stands.
   *
   * @throws {Undelivered} and nothing else.
   */
  deliver(out: OutPost): Promise<Place>;
  /** Where the post with this key stands; null when it surely is not there; `cannot-ask` when nobody can know. */
  find(out: OutPost): Promise<Place | null | 'cannot-ask'>;
};

/** What a channel may ask of the desk. */
export type Receiver = {
  /**
   * Takes an input. Settles when it is on disk and all that follows from it has been said or is waiting to be:
   * only then may the channel acknowledge it. The same input may come any number of times. `kept` is called as soon as
   * it is on disk, for channels that have to acknowledge before what follows has been said; never for one that is not.
   *
   * @throws {NotTaken} when it could not be kept: it has had no effect and must be sent again.
   */
  receive(input: Input, kept?: () => void): Promise<void>;
};

/** The input is not on disk and has had no effect. The bay has been told in words. */
export class NotTaken extends Error {
  constructor(cause: unknown) {
    super('the input could not be kept', { cause });
    this.name = 'NotTaken';
  }
}
