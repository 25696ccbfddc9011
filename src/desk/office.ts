import { asGateWord, gateWordsOf } from '../job/gate.js';
import { type Input, wordsOf } from '../job/input.js';
import { foremenAt } from '../shop/world.js';
import { sayOfficeStop } from '../talk/office-talk.js';
import { baysNamed, hearForBay, OFFICE, officeSaid } from '../talk/office-words.js';
import type { Post } from '../talk/post.js';
import { hearStart, sayDiskFull } from '../talk/shop-talk.js';
import { stopWord } from '../talk/stop.js';
import type { DayTeller } from './day-teller.js';
import type { Lane } from './lane.js';
import type { Lanes } from './lanes.js';
import type { OfficeAnswer } from './office-answer.js';
import { commandOf, nearestWord } from './office-commands.js';
import { sayOffice } from './office-saying.js';
import type { Parts } from './parts.js';
import type { ShopLines } from './shop-lines.js';

/** The foreman's own thread: it belongs to no bay, reads all of them, and directs one that is named. */
export class Office {
  constructor(
    private readonly parts: Pick<Parts, 'shop' | 'clock'>,
    private readonly lanes: Lanes,
    private readonly lines: ShopLines,
    private readonly day: DayTeller,
  ) {}

  /** Hears an input of the foreman's thread. Every one is kept; what is not for us is not answered. */
  async hear(input: Input): Promise<void> {
    if (input.body.is === 'notice') return;
    const stopped = stopWord(wordsOf(input));
    if (stopped !== null) return this.stop(input, stopped.danger);
    const answer = await this.answerTo(input);
    const full: Post = { ...sayDiskFull(), to: 'foreman' };
    await this.lines.answer(input, { type: 'office', answer }, answer === null ? [] : [full]);
  }

  /** What an answer is told as, as things stand now. */
  async postsOf(answer: OfficeAnswer | null): Promise<readonly Post[]> {
    if (answer === null) return [];
    if (answer.is === 'day') return [await this.day.soFar()];
    if (answer.is === 'morning') return [await this.day.ahead()];
    if (answer.is === 'due') return [await this.day.due()];
    const ground = {
      register: this.parts.shop.register(),
      lanes: this.lanes.byBay,
      now: this.parts.clock.now(),
    };
    const post = sayOffice(answer, ground);
    return post === null ? [] : [post];
  }

  private async answerTo(input: Input): Promise<OfficeAnswer | null> {
    const { marks, body, by } = input;
    if (marks.bot === true || (body.is !== 'text' && body.is !== 'tap')) return null;
    const text = wordsOf(input);
    const register = this.parts.shop.register();
    const now = this.parts.clock.now();
    const foremen = foremenAt(register, now);
    const may = foremen.includes(by);
    const command = commandOf(text, register);
    const forBay = command === null ? hearForBay(text, [...register.bays.keys()]) : null;
    if (command === null && forBay === null) {
      // People also talk to each other; only from the foreman is everything meant for us.
      if (!may) return null;
      const said = text.trim();
      return { is: 'not-understood', said, nearest: nearestWord(officeSaid(text).word) };
    }
    if (!register.people.has(by)) return { is: 'not-registered' };
    if (command?.who !== 'registered') {
      if (!may) return { is: 'foreman-does', foremen };
      if (marks.edited || marks.forwarded || marks.quoted) return { is: 'write-anew' };
    }
    if (forBay !== null) return this.passOn(input, forBay.bay, forBay.words);
    return command === null
      ? null
      : command.answer({ input, text, rest: officeSaid(text).rest, register, now });
  }

  /** Says words in a bay as the foreman's. Nothing was seen there, so a question that is open there is not answered. */
  private async passOn(input: Input, bay: string, words: string): Promise<OfficeAnswer> {
    const lane = this.lanes.of(bay);
    if (lane.flow !== null && gateWordsOf(lane.flow).has(asGateWord(words)))
      return { is: 'not-from-here', bay, what: 'gate' };
    // Who starts a job holds it, and is in the bay.
    if (hearStart(words) !== null) return { is: 'not-from-here', bay, what: 'start' };
    const before = lane.toForeman;
    await this.say(lane, input, words);
    return { is: 'passed-on', bay, words, told: lane.toForeman > before };
  }

  /** Kept in the bay before it is kept here: what is sent again after a crash is known there by its key. */
  private say(lane: Lane, input: Input, text: string): Promise<void> {
    const { key, saidAt } = input;
    const body = { is: 'text', text } as const;
    const marks = { ...input.marks, afar: true } as const;
    return lane.add(
      { ...input, key: `${key}:bay:${lane.bay}`, bay: lane.bay, seen: '', marks, body },
      saidAt,
    );
  }

  /** Nobody is asked which bay: those that are named stop, else all with a job. On a full disk they do all the same. */
  private async stop(input: Input, danger: string | null): Promise<void> {
    const words = wordsOf(input);
    const busy = [...this.lanes.byBay.values()].filter(({ job }) => job !== null);
    const named = baysNamed(
      words,
      busy.map(({ bay }) => bay),
    );
    const lanes = named.length === 0 ? busy : busy.filter(({ bay }) => named.includes(bay));
    await Promise.allSettled(lanes.map((lane) => this.say(lane, input, words)));
    const bays = lanes.map(({ bay }) => bay);
    const card = sayOfficeStop(bays, this.parts.shop.register().shop.emergency);
    await this.lines.answer(input, { type: 'office', answer: { is: 'stop', bays, danger } }, [card]);
  }
}

/** Whether a lane is the foreman's own thread. */
export function isOffice(lane: Lane): boolean {
  return lane.bay === OFFICE;
}
