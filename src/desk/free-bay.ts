import type { Event } from '../job/event.js';
import { type Input, wordsOf } from '../job/input.js';
import type { Post } from '../talk/post.js';
import { say } from '../talk/say.js';
import {
  hearStart,
  type StartRefusal,
  sayBays,
  sayDiskFull,
  sayNotStarted,
  sayShut,
  sayStopToForeman,
  sayStopWithoutJob,
  sayWhatToStart,
} from '../talk/shop-talk.js';
import { stopWord } from '../talk/stop.js';
import type { Between } from './between.js';
import type { Lane } from './lane.js';
import type { Parts } from './parts.js';
import type { ShopAnswer } from './shop-answer.js';
import type { ShopLines } from './shop-lines.js';
import type { Unkept } from './unkept.js';

/** Starts a job; gives why not, or null when it has started. */
type Start = (
  lane: Lane,
  input: Input,
  asked: NonNullable<ReturnType<typeof hearStart>>,
) => Promise<StartRefusal | null>;

/** Words in a bay that has no job, or one whose record takes no more lines. */
export class FreeBay {
  constructor(
    private readonly parts: Pick<Parts, 'shop' | 'clock' | 'flows'>,
    private readonly lanes: ReadonlyMap<string, Lane>,
    private readonly lines: ShopLines,
    private readonly between: Between,
    private readonly unkept: Unkept,
    private readonly start: Start,
  ) {}

  /** Start a job, stop, be told what can be started; whatever else is said is kept and not answered. */
  async hear(lane: Lane, input: Input): Promise<void> {
    if (input.body.is === 'notice') return;
    const words = wordsOf(input);
    const asked = hearStart(words);
    if (asked !== null && input.marks.bot !== true) {
      const refusal = await this.start(lane, input, asked);
      return refusal === null ? undefined : this.answer(lane, input, { is: 'not-started', refusal });
    }
    const stopped = stopWord(words);
    if (stopped !== null) {
      this.between.tellDanger(lane, input.key, stopped.danger);
      return this.answer(lane, input, { is: 'stop', danger: stopped.danger });
    }
    if (input.body.is !== 'text' || input.marks.bot === true) return this.answer(lane, input, null);
    if (/^(where|list)\b/i.test(words.trim())) return this.answer(lane, input, { is: 'bays' });
    if (/^(start|help)\b/i.test(words.trim())) return this.answer(lane, input, { is: 'what-to-start' });
    return this.answer(lane, input, null);
  }

  /** The job's record takes no more lines. A stop shows its card all the same, and the foreman is called. */
  async hearShut(lane: Lane, input: Input): Promise<void> {
    const { job, flow } = lane;
    if (input.body.is === 'notice') {
      const { notice } = input.body;
      if (notice.of !== 'danger' || job === null || flow === null) return;
      const { bay, danger } = notice;
      const events: Event[] = [{ type: 'told-danger', danger, bay, at: this.parts.clock.now() }];
      for (const post of say(job, flow, events)) await this.unkept.say(lane.bay, input.key, post);
      return;
    }
    const stopped = stopWord(wordsOf(input));
    if (stopped === null) return this.unkept.say(lane.bay, input.key, sayShut(lane.shut ?? ''));
    for (const post of this.stopCards(lane.bay, stopped.danger))
      await this.unkept.say(lane.bay, input.key, post);
    this.between.tellDanger(lane, input.key, stopped.danger);
  }

  private async answer(lane: Lane, input: Input, answer: ShopAnswer | null): Promise<void> {
    // Who was not speaking to the desk is not told that the desk did not hear.
    const instead =
      answer === null ? [] : answer.is === 'stop' ? this.postsOf(lane.bay, answer) : [sayDiskFull()];
    await this.lines.answer(input, { type: 'said', bay: lane.bay, answer }, instead);
  }

  /** What an answer is told as, as things stand now. */
  postsOf(bay: string, answer: ShopAnswer | null): readonly Post[] {
    switch (answer?.is) {
      case undefined:
        return [];
      case 'bays':
        return [
          sayBays([...this.lanes.values()].map(({ bay, job, flow, shut }) => ({ bay, job, flow, shut }))),
        ];
      case 'what-to-start':
        return [
          sayWhatToStart(
            this.parts.flows.startable(),
            [...this.parts.shop.register().cars.values()].map((car) => car.registration),
          ),
        ];
      case 'not-started':
        return [sayNotStarted(answer.refusal)];
      case 'stop':
        return this.stopCards(bay, answer.danger);
    }
  }

  /** Stop where there is no job to be stopped: the card all the same, and the foreman is called. */
  private stopCards(bay: string, danger: string | null): readonly Post[] {
    const { shop, bays } = this.parts.shop.register();
    return [sayStopWithoutJob(shop.emergency), sayStopToForeman(bays.get(bay)?.label ?? bay, danger)];
  }
}
