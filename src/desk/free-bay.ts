import type { Event } from '../job/event.js';
import { type Input, wordsOf } from '../job/input.js';
import { KEYS_MS } from '../journal/recent.js';
import type { MonthOpened, ShopJournal } from '../journal/shop-journal.js';
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
import { type Between, UNTOLD_LINES } from './between.js';
import type { KnownKeys } from './known-keys.js';
import type { Lane } from './lane.js';
import { monthOf } from './month.js';
import { lineOf } from './new-line.js';
import type { Outbox } from './outbox.js';
import type { Parts } from './parts.js';
import { NotTaken } from './port.js';
import type { ShopAnswer, ShopEvent } from './shop-answer.js';
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
    private readonly journal: ShopJournal<ShopEvent>,
    private readonly outbox: Outbox,
    private readonly known: KnownKeys,
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
      for (const post of say(job, flow, events)) await this.unkept.say(lane, input.key, post);
      return;
    }
    const stopped = stopWord(wordsOf(input));
    if (stopped === null) return this.unkept.say(lane, input.key, sayShut(lane.shut ?? ''));
    for (const post of this.stopCards(lane.bay, stopped.danger)) await this.unkept.say(lane, input.key, post);
    this.between.tellDanger(lane, input.key, stopped.danger);
  }

  /** After a start: answers that may not have been told are told, as far as the channel can be asked once. */
  async tellAgain(): Promise<void> {
    const now = this.parts.clock.now();
    for (const { part, journal } of this.journal.recent.toReversed()) {
      const known = new Set(journal.told.map((one) => `${one.line}:${one.thread}`));
      for (const line of journal.lines.slice(-UNTOLD_LINES)) {
        if (line.at <= now - KEYS_MS) continue;
        for (const event of line.events) {
          if (!isSaid(event) || event.answer == null) continue;
          for (const post of this.postsOf(event.bay, event.answer)) {
            if (known.has(`${line.seq}:${post.to}`)) continue;
            await this.send(event.bay, line.key, post, { part, seq: line.seq }, true);
          }
        }
      }
    }
  }

  private async answer(lane: Lane, input: Input, answer: ShopAnswer | null): Promise<void> {
    const now = this.parts.clock.now();
    const posts = answer === null ? [] : this.postsOf(lane.bay, answer);
    const line = lineOf<ShopEvent>(input, now, [{ type: 'said', bay: lane.bay, answer }]);
    let at: { readonly part: string; readonly seq: number };
    try {
      at = await this.journal.append(monthOf(this.parts.shop.register().shop.zone, now), line);
    } catch (error) {
      // Who was not speaking to the desk is not told that the desk did not hear.
      const said = answer === null ? [] : answer.is === 'stop' ? posts : [sayDiskFull()];
      for (const post of said) await this.unkept.say(lane, input.key, post);
      throw new NotTaken(error);
    }
    this.known.keep(input.key, now);
    for (const post of posts) await this.send(lane.bay, input.key, post, at);
  }

  private async send(
    bay: string,
    key: string,
    post: Post,
    { part, seq }: { readonly part: string; readonly seq: number },
    unknown = false,
  ): Promise<void> {
    const out = { key: `shop:${key}:${post.to}`, bay, job: null, post, again: false };
    const told = (place: string) =>
      this.journal.tell(part, { line: seq, thread: post.to, place }).catch(() => undefined);
    await this.outbox.send(out, told, unknown);
  }

  private postsOf(bay: string, answer: ShopAnswer): readonly Post[] {
    switch (answer.is) {
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

function isSaid(event: ShopEvent | MonthOpened): event is ShopEvent {
  return event.type === 'said';
}
