import { isDeepStrictEqual } from 'node:util';
import { openRoom, type PostEntry } from '../../src/channel/script/room.js';
import { scriptChannel } from '../../src/channel/script/script-channel.js';
import { settled, tickKept, walkClock } from '../../src/channel/script/walk.js';
import { VirtualClock } from '../../src/desk/clock.js';
import { Desk } from '../../src/desk/desk.js';
import type { FlowSource } from '../../src/desk/flow-source.js';
import { NotTaken } from '../../src/desk/port.js';
import type { ShopEvent } from '../../src/desk/shop-answer.js';
import { memoryShop } from '../../src/desk/shops.js';
import type { Flow } from '../../src/flow/flow.js';
import { emptyJob } from '../../src/job/evolve.js';
import { fold, foldAll } from '../../src/job/fold.js';
import type { Body, Input, Marks, Place } from '../../src/job/input.js';
import type { Job } from '../../src/job/job.js';
import { auditJournal } from '../../src/journal/audit.js';
import type { Line, Told } from '../../src/journal/line.js';
import { openMemoryDisk } from '../../src/journal/memory-disk.js';
import type { Register } from '../../src/shop/register.js';
import type { Line as PostLine } from '../../src/talk/post.js';
import { say } from '../../src/talk/say.js';
import type { Chance } from './chance.js';
import { difference, sameJob, wordsIn } from './compare.js';
import { Model, type Sent } from './model.js';

/** What somebody does: words, a tap, a photo; `seen` unless it is the newest post. */
export type Doing = {
  readonly by: string;
  readonly body: Body;
  readonly marks?: Marks;
  readonly seen?: Place | null;
};

type Kept = { readonly seq: number; readonly told: Told };
type Followed = {
  readonly id: string;
  readonly bay: string;
  readonly flow: Flow;
  readonly model: Model;
  lines: Line[];
  told: Kept[];
  bytes: number;
  ended: boolean;
};

const lettersOf = (line: PostLine) =>
  line
    .map((part) => JSON.stringify(part))
    .join('')
    .replaceAll('"', '');

/** As long as news for the foreman waits for others, and one more minute, ms. */
const LONGEST_WAIT_MS = 61 * 60_000;

/** A workshop that is watched: the real desk on a disk in memory, and a second opinion of each job in it. */
export class Floor {
  readonly disk = openMemoryDisk();
  readonly room = openRoom();
  readonly clock: VirtualClock;
  readonly jobs = new Map<string, Followed>();
  readonly wrong: string[] = [];
  /** What was done, for whoever has to find out. */
  readonly diary: string[] = [];
  readonly inputs: Input[] = [];
  /** Posts of each thread, oldest first. */
  readonly posts = new Map<string, PostEntry[]>();
  readonly channel;
  private readonly sent = new Map<string, Sent>();
  private readonly effects = new Set<string>();
  private readonly lastOf = new Map<string, number>();
  private readonly shop;
  private read = 0;
  private quiet = true;
  desk!: Desk;

  private constructor(
    register: Register,
    private readonly flows: FlowSource,
    readonly chance: Chance,
    at: number,
    /** Called with each line that is new. */
    private readonly onLine: (flow: Flow, line: Line) => void,
  ) {
    this.clock = new VirtualClock(at);
    this.shop = memoryShop(register);
    this.channel = scriptChannel({ name: 'script', room: this.room, now: () => this.clock.now() });
  }

  static async open(
    register: Register,
    flows: FlowSource,
    chance: Chance,
    at: number,
    onLine: (flow: Flow, line: Line) => void,
  ): Promise<Floor> {
    const floor = new Floor(register, flows, chance, at, onLine);
    await floor.openDesk();
    return floor;
  }

  private async openDesk(): Promise<void> {
    const { disk, clock, channel, shop, flows } = this;
    this.desk = await Desk.open({ disk, clock, channel, shop, flows });
    await settled();
  }

  /** As it is now: a tester that failed is out of use. */
  get register(): Register {
    return this.shop.register();
  }

  get now(): number {
    return this.clock.now();
  }

  job(bay: string): Job | null {
    return this.desk.jobOf(bay);
  }

  newest(thread: string, back = 1): Place {
    return this.posts.get(thread)?.at(-back)?.place ?? this.room.start;
  }

  /** Something new is said in a bay. */
  async say(bay: string, doing: Doing, what: string): Promise<void> {
    const { by, body, marks = {}, seen = this.newest(bay) } = doing;
    const key = `k${this.inputs.length + 1}`;
    const name = this.register.people.get(by)?.name ?? by;
    const input: Input = { key, bay, by, name, via: 'script', saidAt: this.now, seen, marks, body };
    this.inputs.push(input);
    this.sent.set(key, { input, first: true });
    await this.deliver(input, what);
  }

  private async deliver(input: Input, what: string): Promise<boolean> {
    this.note(`${input.bay} ${input.by} ${what}: ${wordsIn(input)}`);
    try {
      await this.desk.receive(input);
    } catch (error) {
      if (error instanceof NotTaken) return false;
      this.wrong.push(`the program broke: ${error instanceof Error ? error.stack : error}`);
    }
    await settled();
    this.look();
    return true;
  }

  /** The same input once more: nothing may come of it. */
  async again(input: Input): Promise<void> {
    const before = this.room.entries.length;
    const lines = this.lineCount();
    await this.deliver(input, 'again');
    if (this.lineCount() !== lines) this.wrong.push(`${input.key} delivered again had an effect`);
    const up = this.channel.state === 'up' && this.quiet;
    if (up && this.room.entries.length !== before)
      this.wrong.push(`${input.key} delivered again was answered`);
  }

  /** The power goes while an input is dealt with; it is delivered again after the start. */
  async cutDuring(bay: string, doing: Doing, operations: number): Promise<void> {
    this.disk.loseAt(operations);
    this.note(`power goes at operation ${operations} of the next`);
    const { by, body, marks = {}, seen = this.newest(bay) } = doing;
    const key = `k${this.inputs.length + 1}`;
    const name = this.register.people.get(by)?.name ?? by;
    const input: Input = { key, bay, by, name, via: 'script', saidAt: this.now, seen, marks, body };
    this.inputs.push(input);
    this.sent.set(key, { input, first: true });
    const posts = this.room.entries.length;
    const acknowledged = await this.desk.receive(input).then(
      () => true,
      () => false,
    );
    await settled();
    this.quiet = false;
    await this.restart(0);
    this.quiet = true;
    const kept = this.effects.has(key);
    const job = this.job(bay);
    if (acknowledged && !kept && job !== null) this.wrong.push(`${key} was acknowledged and is lost`);
    if (!kept) await this.deliver(input, 'once more');
    else await this.again(input);
    if (posts > this.room.entries.length) this.wrong.push('posts went');
  }

  async walk(to: number): Promise<void> {
    try {
      await walkClock(this.desk, this.clock, to);
    } catch (error) {
      this.wrong.push(`the program broke: ${error instanceof Error ? error.stack : error}`);
    }
    this.look();
  }

  /** The power goes and comes: bytes not yet flushed are lost, but for some. */
  async restart(left: number): Promise<void> {
    const before = [...this.jobs.values()].filter((one) => !one.ended).map((one) => this.job(one.bay));
    const entries = this.room.entries.length;
    const { quiet } = this;
    // What time has made due by now goes with the first tick, after a start as without one.
    const calm = this.channel.state === 'up' && quiet && (this.desk.nextWake() ?? this.now + 1) > this.now;
    this.note(`restart, ${left} bytes more than was flushed`);
    this.disk.crash((unsynced) => Math.min(unsynced, left));
    await this.openDesk();
    if (calm && this.room.entries.length !== entries) {
      const seen = this.room.entries
        .slice(entries)
        .map((one) => JSON.stringify(one))
        .join(', ');
      this.wrong.push(`a restart was seen in a thread: ${seen}`);
    }
    for (const followed of this.jobs.values()) {
      followed.bytes = 0;
      followed.told = [];
    }
    this.look(true);
    for (const job of before) {
      if (job === null || !quiet) continue;
      const after = this.job(job.bay);
      const same = after !== null && sameJob(job, after, calm);
      if (!same)
        this.wrong.push(
          `${job.id} is another job after a restart: ${after === null ? 'none' : difference(job, after)}`,
        );
    }
  }

  async channelTo(state: 'up' | 'down' | 'lost'): Promise<void> {
    this.note(`channel ${state}`);
    this.channel.state = state;
    if (state === 'up') await tickKept(this.desk);
    this.look();
  }

  private note(what: string): void {
    this.diary.push(`${new Date(this.now).toISOString().slice(5, 19)} ${what}`);
  }

  private lineCount(): number {
    let lines = 0;
    for (const followed of this.jobs.values()) lines += followed.lines.length;
    return lines;
  }

  /** Reads what is new on the disk and in the room, and compares. */
  private look(afresh = false): void {
    this.lookAtRoom();
    for (const { id: bay } of this.desk.bays()) {
      const job = this.job(bay);
      const flow = this.desk.flowOf(bay);
      if (job === null || flow === null || this.jobs.has(job.id)) continue;
      const model = new Model(flow, (key) => this.room.find(key));
      this.jobs.set(job.id, { id: job.id, bay, flow, model, lines: [], told: [], bytes: 0, ended: false });
    }
    for (const followed of this.jobs.values()) if (!followed.ended || afresh) this.lookAtJob(followed);
  }

  private lookAtRoom(): void {
    for (; this.read < this.room.entries.length; this.read++) {
      const entry = this.room.entries[this.read];
      if (entry?.is !== 'post') continue;
      const thread = this.posts.get(entry.thread) ?? [];
      if (!this.posts.has(entry.thread)) this.posts.set(entry.thread, thread);
      if (thread.some((one) => one.key === entry.key)) this.wrong.push(`${entry.key} stands twice`);
      thread.push(entry);
      const [job = '', line = '', to] = entry.key.split(':');
      if (to !== entry.post.to || !this.jobs.has(job)) continue;
      // First actions in a danger go before what still waits.
      if (entry.post.kind === 'card') continue;
      const last = this.lastOf.get(`${job}:${to}`) ?? 0;
      if (Number(line) <= last) this.wrong.push(`${entry.key} comes after line ${last}`);
      this.lastOf.set(`${job}:${to}`, Number(line));
    }
  }

  private lookAtJob(followed: Followed): void {
    const bytes = this.fileOf(followed.id);
    const text = bytes.subarray(followed.bytes).toString('utf8');
    followed.bytes = bytes.length;
    let seq = 0;
    for (const one of text.split('\n')) {
      if (one === '') continue;
      const parsed = JSON.parse(one) as Line & Partial<Kept>;
      seq = parsed.seq;
      if (parsed.told !== undefined) followed.told.push({ seq, told: parsed.told });
      else if (seq > followed.lines.length) this.takeLine(followed, parsed);
      else if (!isDeepStrictEqual(followed.lines[seq - 1], parsed))
        this.wrong.push(`${followed.id} line ${seq} was rewritten`);
    }
    const held = bytes.length === followed.bytes && text !== '' && seq < followed.lines.length;
    if (held) this.wrong.push(`${followed.id} lost lines after ${seq}`);
    const job = this.job(followed.bay);
    if (job?.id !== followed.id) {
      followed.ended ||= followed.model.ended;
      if (!followed.ended) this.wrong.push(`${followed.id} is not in its bay any more`);
      return;
    }
    for (const difference of followed.model.differences(job))
      this.wrong.push(`${followed.id}: ${difference}`);
  }

  private takeLine(followed: Followed, line: Line): void {
    followed.lines.push(line);
    if (this.effects.has(line.key)) this.wrong.push(`${line.key} had an effect twice`);
    // Two bays may be woken in the same line of theirs at the same instant.
    if (line.via !== 'clock') this.effects.add(line.key);
    const sent = this.sent.get(line.key) ?? null;
    this.wrong.push(...followed.model.take(followed.id, line, sent).map((one) => `${followed.id} ${one}`));
    this.onLine(followed.flow, line);
  }

  /** Lines whose call to the foreman was seen to while it waited: `JOB:LINE`. */
  private seenTo(): ReadonlySet<string> {
    const files = [...this.disk.files].filter(([path]) => path.startsWith('shop/'));
    const lines = files.flatMap(([, { bytes }]) => bytes.toString('utf8').split('\n').filter(Boolean));
    const events = lines.flatMap((line) => (JSON.parse(line) as { events?: ShopEvent[] }).events ?? []);
    const over = events.flatMap((event) => (event.type === 'joined' ? (event.over ?? []) : []));
    return new Set(over.map(({ job, line }) => `${job}:${line}`));
  }

  private fileOf(id: string): Buffer {
    const open = this.disk.files.get(`open/${id}.jsonl`);
    if (open !== undefined) return open.bytes;
    for (const [path, { bytes }] of this.disk.files) if (path.endsWith(`/${id}.jsonl`)) return bytes;
    return Buffer.alloc(0);
  }

  /** What must hold once all is said: sound journals, the same jobs from them, every post there once and in order. */
  async end(): Promise<void> {
    await this.channelTo('up');
    // What is told to the foreman may wait for others of its kind.
    await this.walk(this.now + LONGEST_WAIT_MS);
    const over = this.seenTo();
    for (const followed of this.jobs.values()) {
      const audit = auditJournal(this.fileOf(followed.id));
      if (!audit.sound) this.wrong.push(`${followed.id} fails its audit: ${JSON.stringify(audit.findings)}`);
      const live = this.desk.lastJobOf(followed.bay);
      const { lines, told, id } = followed;
      const folded = foldAll(id, [...lines, ...told]);
      if (live?.id === id && !sameJob(live, folded, false))
        this.wrong.push(`${id} folds to another job: ${difference(live, folded)}`);
      const due: string[] = [];
      const joined: string[] = [];
      let at = emptyJob(id);
      for (const line of lines) {
        at = fold(at, line);
        for (const post of say(at, followed.flow, line.events)) {
          const key = `${id}:${line.seq}:${post.to}`;
          const before = told.some(({ told: one }) => one.line === line.seq && one.place === 'told before');
          if (post.to !== 'foreman') due.push(key);
          // It may have gone out with others in one post, whose key is another.
          else if (!before && !over.has(`${id}:${line.seq}`) && this.room.find(key) === null)
            joined.push(...post.lines.map(lettersOf));
        }
      }
      const missing = due.filter((key) => this.room.find(key) === null);
      if (missing.length > 0) this.wrong.push(`never said: ${missing.join(', ')}`);
      // In a post for several bays the first line of each has its number before it.
      const toForeman = (this.posts.get('foreman') ?? []).flatMap(({ post }) => post.lines.map(lettersOf));
      const unsaid = joined.filter((one) => !toForeman.some((line) => line.endsWith(one)));
      if (unsaid.length > 0) this.wrong.push(`the foreman was never told: ${unsaid.join(', ')}`);
    }
  }
}
