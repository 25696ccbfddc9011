import type { Flow } from '../flow/flow.js';
import { sealed } from '../job/fold.js';
import type { Job } from '../job/job.js';
import { JournalError } from '../journal/fault.js';
import type { NewLine } from '../journal/line.js';
import type { Post } from '../talk/post.js';
import { say } from '../talk/say.js';
import { sayDiskFull } from '../talk/shop-talk.js';
import { type Between, DESK } from './between.js';
import type { Lane } from './lane.js';
import { noticesOf } from './notices.js';
import type { Outbox } from './outbox.js';
import { NotTaken } from './port.js';

/** What is said when an input could not be kept. */
export class Unkept {
  constructor(
    private readonly outbox: Outbox,
    private readonly between: Between,
  ) {}

  /**
   * The line is not on disk: it has had no effect, except that a stop card is shown all the same. `after` is the job
   * as it would be.
   *
   * @throws {NotTaken} always.
   */
  async refuse(lane: Lane, after: Job, flow: Flow, line: NewLine, error: unknown): Promise<never> {
    const code = error instanceof JournalError ? error.code : null;
    if (code === 'stopped' || code === 'read-only') lane.shut = String(error);
    const seq = lane.seq + 1;
    const urgent = line.events.some(({ type }) => type === 'stop-called' || type === 'told-danger');
    const told = sealed(after, { seq, at: line.at });
    // Nobody spoke in a bay that time or another bay speaks to: nobody there has to say anything again.
    const spoken = line.via !== 'clock' && line.via !== DESK;
    const posts = urgent ? say(told, flow, line.events) : spoken ? [sayDiskFull()] : [];
    for (const post of posts) await this.say(lane.bay, line.key, post);
    if (urgent) this.between.notify(lane, told, seq, noticesOf(told, line.events));
    throw new NotTaken(error);
  }

  /**
   * A post that rests on no line. It lives in memory only, and that is enough: an input that could not be kept is not
   * acknowledged, so its channel sends it again after a start, and then it gets an answer that is kept.
   */
  async say(bay: string, key: string, post: Post): Promise<void> {
    const out = { key: `unkept:${key}:${post.to}`, bay, job: null, post, again: false };
    await this.outbox.send(out, async () => undefined);
  }
}
