import { asGateWord, gateWordsOf } from '../job/gate.js';
import { type Input, type Notice, wordsOf } from '../job/input.js';
import type { Job } from '../job/job.js';
import type { RegisterChange } from '../shop/change.js';
import { foremenAt } from '../shop/world.js';
import { sayOfficeStop } from '../talk/office-talk.js';
import { baysNamed, hearForBay, OFFICE, officeSaid } from '../talk/office-words.js';
import type { Post } from '../talk/post.js';
import { hearStart, sayDiskFull } from '../talk/shop-talk.js';
import { stopWord } from '../talk/stop.js';
import type { DayTeller } from './day-teller.js';
import type { Lane } from './lane.js';
import type { Lanes } from './lanes.js';
import { todayIn } from './month.js';
import type { OfficeAnswer } from './office-answer.js';
import { agreedBy, commandOf, nearestWord } from './office-commands.js';
import { sayOffice } from './office-saying.js';
import type { Parts } from './parts.js';
import { NotTaken } from './port.js';
import { Proposals, YES_MS } from './proposals.js';
import { markOf, RegisterChanges } from './register-changes.js';
import { isSlip } from './register-slip.js';
import type { ShopLines } from './shop-lines.js';

/** The foreman's own thread: it belongs to no bay, reads all of them, and directs one that is named. */
export class Office {
  private readonly proposals = new Proposals();
  private readonly changes: RegisterChanges;

  constructor(
    private readonly parts: Pick<Parts, 'shop' | 'clock' | 'flows'>,
    private readonly lanes: Lanes,
    private readonly lines: ShopLines,
    private readonly day: DayTeller,
    notify: (key: string, notice: Notice, to: (job: Job) => boolean) => void,
  ) {
    this.changes = new RegisterChanges(parts, {
      announce: (key, answer) => this.lines.announce(key, { type: 'office', answer }),
      notify,
    });
  }

  /** After a start: what was agreed and not made is made, and what waited for a yes waits on. */
  async recover(): Promise<void> {
    this.proposals.recover(this.lines.recent);
    await this.changes.recover(this.lines.recent).catch(unlessFull);
  }

  /** What time and hand edits bring. */
  async tick(): Promise<void> {
    await this.changes.again().catch(unlessFull);
  }

  /** Hears an input of the foreman's thread. Every one is kept; what is not for us is not answered. */
  async hear(input: Input): Promise<void> {
    if (input.body.is === 'notice') return;
    const stopped = stopWord(wordsOf(input));
    if (stopped !== null) return this.stop(input, stopped.danger);
    const answer = await this.answerTo(input);
    const full: Post = { ...sayDiskFull(), to: 'foreman' };
    const now = this.parts.clock.now();
    await this.lines.answer(input, { type: 'office', answer }, answer === null ? [] : [full], {
      now,
      done: async (at) => {
        if (answer === null) return;
        this.proposals.take(input.by, input.via, now, answer);
        if (answer.is === 'changed') await this.changes.make(markOf(at), answer.changes);
      },
      stands: (place) => this.proposals.stands(input.by, now, place),
    });
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
      waits: (changes: readonly RegisterChange[]) => this.changes.waitsFor(changes),
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
    const agreed = agreedBy(text);
    if (agreed !== null) {
      const waits = this.proposals.of(by) !== null;
      return waits ? this.settle(input, agreed) : may ? { is: 'nothing-waits' } : null;
    }
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
    if (command === null) return null;
    const rest = officeSaid(text).rest;
    if ('answer' in command) return command.answer({ input, text, rest, register, now });
    return this.propose(input, text, 'first');
  }

  /** What words would change, echoed; or why they change nothing. */
  private async propose(
    { by, name }: Input,
    text: string,
    why: 'first' | 'late' | 'unseen' | 'moved',
    now = this.parts.clock.now(),
  ): Promise<OfficeAnswer> {
    const { shop, flows } = this.parts;
    const register = shop.register();
    const command = commandOf(text, register);
    if (command === null || !('change' in command))
      return { is: 'not-understood', said: text, nearest: null };
    if (this.changes.waits) return { is: 'wait' };
    const heard = command.change({
      ...{ text, rest: officeSaid(text).rest, register, now, flows },
      today: todayIn(register.shop.zone, now),
      name: register.people.get(by)?.name ?? name,
    });
    if (isSlip(heard)) return { is: 'slip', slip: heard };
    const { changes, consequence = null } = heard;
    const faults = await shop.would(changes);
    if (faults.length > 0) return { is: 'faults', faults };
    return { is: 'proposed', words: text, changes, consequence, why };
  }

  /** A yes or a no to what was echoed to the same person. A yes to anything but what stands there is asked back. */
  private async settle(input: Input, yes: boolean): Promise<OfficeAnswer> {
    const { by, via, seen, marks } = input;
    const waits = this.proposals.of(by);
    if (waits === null) return { is: 'nothing-waits' };
    if (!yes) return { is: 'dropped' };
    const { shop, clock } = this.parts;
    const now = clock.now();
    const foremen = foremenAt(shop.register(), now);
    if (!foremen.includes(by)) return { is: 'foreman-does', foremen };
    if (marks.edited || marks.forwarded || marks.quoted) return { is: 'write-anew' };
    const late = now - waits.at > YES_MS;
    const unseen = via === waits.via && seen !== null && waits.place !== null && seen < waits.place;
    // What was edited meanwhile, by hand or by somebody else, is looked at before anything is made of it.
    const why = late ? 'late' : unseen ? 'unseen' : 'moved';
    // 'from now' is from when it was said, not from the yes.
    const again = await this.propose(input, waits.words, why, late ? now : waits.at);
    if (late || unseen || again.is !== 'proposed') return again;
    return sameChanges(again.changes, waits.changes) ? { is: 'changed', changes: again.changes } : again;
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

function sameChanges(one: readonly RegisterChange[], other: readonly RegisterChange[]): boolean {
  return JSON.stringify(one) === JSON.stringify(other);
}

/** Whether a lane is the foreman's own thread. */
export function isOffice(lane: Lane): boolean {
  return lane.bay === OFFICE;
}

/** A disk that takes nothing is tried again with the next tick. */
function unlessFull(error: unknown): void {
  if (!(error instanceof NotTaken)) throw error;
}
