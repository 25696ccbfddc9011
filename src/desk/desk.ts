import type { Flow } from '../flow/flow.js';
import { begin, decision } from '../job/decide.js';
import type { Event } from '../job/event.js';
import { emptyJob } from '../job/evolve.js';
import { fold, foldAll, sealed } from '../job/fold.js';
import type { Input } from '../job/input.js';
import { wordsOf } from '../job/input.js';
import type { Job } from '../job/job.js';
import { start } from '../job/start.js';
import { nextWake } from '../job/time.js';
import type { World } from '../job/world.js';
import type { Disk } from '../journal/disk.js';
import { JournalError } from '../journal/fault.js';
import { drawOf, GENESIS, type NewLine } from '../journal/line.js';
import { KEYS_MS } from '../journal/recent.js';
import { openShopJournal, type ShopJournal } from '../journal/shop-journal.js';
import { type OpenJob, openStore, type Store } from '../journal/store.js';
import { summaryPost } from '../record/post.js';
import { jobGround, worldOf } from '../shop/world.js';
import { hear } from '../talk/hear.js';
import type { Post } from '../talk/post.js';
import { say } from '../talk/say.js';
import {
  hearStart,
  sayAfterGap,
  sayBays,
  sayDiskFull,
  sayNotStarted,
  sayShut,
  sayStopToForeman,
  sayStopWithoutJob,
  sayWhatToStart,
} from '../talk/shop-talk.js';
import { stopWord } from '../talk/stop.js';
import type { Clock } from './clock.js';
import { Crews } from './elsewhere.js';
import type { FlowSource } from './flow-source.js';
import { Lane } from './lane.js';
import { monthOf, printIn } from './month.js';
import { goneElsewhere, noticesOf, type Sent } from './notices.js';
import { Outbox } from './outbox.js';
import { type Channel, NotTaken, type Receiver } from './port.js';
import type { ShopPort } from './shop-port.js';

export type Parts = {
  readonly disk: Disk;
  readonly clock: Clock;
  readonly channel: Channel;
  readonly shop: ShopPort;
  readonly flows: FlowSource;
  /** Chance for drawing gate words, from the journal's last hash, unless a script wants the same words every time. */
  readonly draw?: (hash: string) => number;
};

/** What a line of the shop journal says: words without a job, and what was answered. */
type ShopEvent = { readonly type: 'said' | 'not-started'; readonly bay: string };

/** A gap longer than this is told in the threads of open jobs, in one line. */
const GAP_MS = 5 * 60_000;
const ALIVE = 'alive';

/**
 * The desk: one lane a bay, inputs to disk before anything is said, wake-ups derived from the jobs, posts in order.
 * The only place where the pure middle meets the world.
 */
export class Desk implements Receiver {
  private readonly lanes = new Map<string, Lane>();
  private readonly keys = new Map<string, number>();
  private readonly whereabouts = new Map<string, string>();
  /** Ended jobs that still lie among those under way: a post of theirs waits, or the disk did not take the move. */
  private readonly unfiled = new Map<string, { readonly job: Job; readonly seq: number }>();
  /** Word for other bays that could not be kept yet. */
  private readonly unheard: { readonly lane: Lane; readonly input: Input }[] = [];
  private readonly outbox: Outbox;
  private readonly crews = new Crews(this.lanes);
  private aliveAt = 0;

  private constructor(
    private readonly parts: Parts,
    private readonly store: Store,
    private readonly shopJournal: ShopJournal<ShopEvent>,
    /** What was found at the start, for the console. */
    readonly reports: string[],
  ) {
    this.outbox = new Outbox(parts.channel, (words) => reports.push(words));
  }

  /** Opens the data folder, folds every job under way, and says what a crash left unsaid. */
  static async open(parts: Parts): Promise<Desk> {
    const now = parts.clock.now();
    const store = openStore(parts.disk);
    const opened = await store.openJobs(now);
    const shopJournal = await openShopJournal<ShopEvent>(parts.disk, now);
    const desk = new Desk(parts, store, shopJournal, []);
    if (shopJournal.report !== null) desk.reports.push(shopJournal.report);
    for (const { key, at } of [...opened.keys, ...shopJournal.keys]) desk.keys.set(key, at);
    for (const bay of parts.shop.register().bays.keys()) desk.laneOf(bay);
    const gap = now - (await desk.lastAlive());
    // An ended job gives its bay free before the next one of that bay is taken up.
    const jobs = [...opened.jobs].sort((a, b) => Number(b.ended) - Number(a.ended));
    for (const job of jobs) await desk.resumeJob(job, gap);
    desk.findPeople(jobs);
    for (const job of jobs) desk.noticesAgain(job, now);
    // What time wants and the disk does not take now is tried again with the next tick.
    await desk.tick().catch(() => undefined);
    return desk;
  }

  get zone(): string {
    return this.parts.shop.register().shop.zone;
  }

  bays(): readonly { readonly id: string; readonly label: string }[] {
    return [...this.parts.shop.register().bays.values()].map(({ id, label }) => ({ id, label }));
  }

  jobOf(bay: string): Job | null {
    return this.lanes.get(bay)?.job ?? null;
  }

  flowOf(bay: string): Flow | null {
    return this.lanes.get(bay)?.flow ?? null;
  }

  /** The job under way, or the one that ended last in this run. */
  lastJobOf(bay: string): Job | null {
    const lane = this.lanes.get(bay);
    return lane?.job ?? lane?.last ?? null;
  }

  receive(input: Input): Promise<void> {
    // A stop, or anything else, may not vanish because a bay's name was mistyped by a channel.
    return this.laneOf(input.bay).add(input, input.saidAt);
  }

  /** Runs everything that time has made due, and tries what could not be delivered. */
  async tick(): Promise<void> {
    await this.outbox.flushAll();
    await this.fileAll();
    for (const { lane, input } of this.unheard.splice(0)) this.pass(lane, input);
    const now = this.parts.clock.now();
    const due = [...this.lanes.values()].filter((lane) => (this.wakeOf(lane) ?? now + 1) <= now);
    // A bay whose record takes nothing now may not keep time from the others.
    const done = await Promise.allSettled(due.map((lane) => lane.add(null, now)));
    await this.noteAlive(now);
    const failed = done.find((one) => one.status === 'rejected');
    if (failed !== undefined) throw failed.reason;
  }

  /** When time will next do something to any job, ms since 1970. */
  nextWake(): number | null {
    const at = [...this.lanes.values()].flatMap((lane) => this.wakeOf(lane) ?? []);
    return at.length === 0 ? null : Math.min(...at);
  }

  /** Lets what is under way end, flushes and closes all files. */
  async close(): Promise<void> {
    await this.outbox.flushAll();
    await this.store.close();
    await this.shopJournal.close();
  }

  private laneOf(bay: string): Lane {
    let lane = this.lanes.get(bay);
    if (lane === undefined) {
      lane = new Lane(bay, (self, input) => this.handle(self, input));
      this.lanes.set(bay, lane);
    }
    return lane;
  }

  private wakeOf(lane: Lane): number | null {
    if (lane.job === null || lane.flow === null || lane.shut !== null) return null;
    const { settings } = this.parts.shop.register().shop;
    return nextWake(lane.job, lane.flow, { settings });
  }

  private world(lane: Lane, job: Job | null): World {
    const { elsewhere, standbyElsewhere } = this.crews.elsewhereFrom(lane);
    const now = Math.max(this.parts.clock.now(), job?.now ?? 0);
    const draw = (this.parts.draw ?? drawOf)(lane.hash === '' ? GENESIS : lane.hash);
    return worldOf(this.parts.shop.register(), { now, elsewhere, standbyElsewhere, draw });
  }

  private async handle(lane: Lane, input: Input | null): Promise<void> {
    // While a post is of unknown outcome, that is settled first: a gate may hang on it.
    if (this.outbox.waits(lane.thread)) await this.outbox.flush(lane.thread);
    if (lane.owed !== null) await this.keepOwed(lane, input);
    if (input !== null && (this.keys.has(input.key) || lane.keys.has(input.key))) return;
    const { job, flow } = lane;
    if (input === null) {
      if (job === null || flow === null) return;
      const { events, job: after } = decision(job, flow, 'time-passed', this.world(lane, job));
      const now = this.parts.clock.now();
      if (events.length > 0)
        await this.commit(lane, after, flow, clockLine(job.id, now, lane.seq + 1, events));
      return;
    }
    if (lane.shut !== null) return this.answerShut(lane, input);
    if (job === null || flow === null) return this.withoutJob(lane, input);
    const world = this.world(lane, job);
    const heard = hear(job, flow, input);
    const { events, job: after } = decision(job, flow, { input, heard }, world);
    try {
      await this.commit(lane, after, flow, lineOf(input, world.now, events));
    } catch (error) {
      const stops = events.some((event) => event.type === 'stop-called');
      if (stops && error instanceof NotTaken) lane.owed = input;
      throw error;
    }
    const reads = heard.heard === 'word' && (heard.word === 'where' || heard.word === 'list');
    if (!reads && input.body.is !== 'notice') this.wentTo(input.by, lane.bay);
  }

  /** Its card said that nothing goes on before the release, so nothing does. */
  private async keepOwed(lane: Lane, input: Input | null): Promise<void> {
    const { owed } = lane;
    if (owed === null || owed.key === input?.key) return;
    lane.owed = null;
    await this.handle(lane, owed).catch((error) => {
      if (!(error instanceof NotTaken)) throw error;
    });
  }

  /**
   * To disk, then said. Nothing that is not on disk has happened. `after` is the job with the events of the line in it,
   * as the decision has left it: what folding the line gives.
   */
  private async commit(lane: Lane, after: Job, flow: Flow, line: NewLine): Promise<void> {
    const seq = lane.seq + 1;
    let hash: string;
    try {
      ({ hash } = await this.store.append(after.id, seq, line));
    } catch (error) {
      return this.notKept(lane, after, flow, line, error);
    }
    lane.seq = seq;
    lane.hash = hash;
    this.keep(line.key, line.at);
    lane.keys.add(line.key);
    const folded = sealed(after, { seq, at: line.at });
    lane.job = folded;
    const ended = folded.mode === 'done' || folded.mode === 'called-off';
    for (const post of say(folded, flow, line.events)) {
      const full = ended && post.to === 'bay' ? await this.summary(folded, flow, post) : post;
      await this.send(lane, folded.id, seq, full);
    }
    this.notify(lane, folded, seq, noticesOf(folded, line.events));
    if (ended) await this.endJob(lane, folded, seq);
    if (line.events.some(takesOut)) await this.takeOut(folded, line.events);
  }

  private async send(lane: Lane, job: string, seq: number, post: Post, unknown = false): Promise<void> {
    const out = { key: `${job}:${seq}:${post.to}`, bay: lane.bay, job, post, again: false };
    const told = async (place: string) => {
      const line = { line: seq, thread: post.to, place };
      // A told line that is lost makes the next start ask the channel; the job goes on all the same.
      await this.store.tell(job, line).catch(() => undefined);
      if (lane.job?.id === job) lane.job = fold(lane.job, { seq: lane.seq, told: line });
    };
    await this.outbox.send(out, told, unknown);
  }

  private async summary(job: Job, flow: Flow, post: Post): Promise<Post> {
    const journal = await this.store.read(job.id);
    return journal === null ? post : summaryPost(job, flow, journal.lines, post, printIn(this.zone));
  }

  private async endJob(lane: Lane, job: Job, seq: number): Promise<void> {
    lane.last = job;
    lane.job = null;
    lane.flow = null;
    lane.seq = 0;
    lane.hash = '';
    lane.keys = new Set();
    this.unfiled.set(job.id, { job, seq });
    await this.fileAll();
  }

  /** Files ended jobs whose posts have all gone out. The end is on disk already: what fails here is tried again. */
  private async fileAll(): Promise<void> {
    for (const [id, { job, seq }] of this.unfiled) {
      if (this.outbox.waitsFor(id)) continue;
      try {
        await this.fileEnded(job, seq);
        await this.store.finish(id, monthOf(this.zone, job.endedAt ?? job.now), this.parts.clock.now());
        this.unfiled.delete(id);
      } catch (error) {
        this.reportOnce(`${id} has ended and could not be filed yet: ${String(error)}. It is tried again.`);
      }
    }
  }

  private reportOnce(words: string): void {
    if (!this.reports.includes(words)) this.reports.push(words);
  }

  private async fileEnded(job: Job, seq: number): Promise<void> {
    await this.parts.shop.fileEnded({
      job: job.id,
      seq,
      flow: job.flow,
      bay: job.bay,
      registration: job.car.registration,
      startedAt: job.startedAt,
      endedAt: job.endedAt ?? job.now,
      how: job.mode === 'called-off' ? 'called-off' : 'done',
      due: job.due,
    });
  }

  /** The input is not on disk: it has had no effect, except that a stop card is shown all the same. */
  private async notKept(lane: Lane, after: Job, flow: Flow, line: NewLine, error: unknown): Promise<void> {
    const code = error instanceof JournalError ? error.code : null;
    if (code === 'stopped' || code === 'read-only') lane.shut = String(error);
    const seq = lane.seq + 1;
    const urgent = line.events.some(({ type }) => type === 'stop-called' || type === 'told-danger');
    const told = sealed(after, { seq, at: line.at });
    // Nobody spoke in a bay that time or another bay speaks to: nobody there has to say anything again.
    const spoken = line.via !== 'clock' && line.via !== DESK;
    const posts = urgent ? say(told, flow, line.events) : spoken ? [sayDiskFull()] : [];
    for (const post of posts) await this.sayUnkept(lane, line.key, post);
    if (urgent) this.notify(lane, told, seq, noticesOf(told, line.events));
    throw new NotTaken(error);
  }

  private async sayUnkept(lane: Lane, key: string, post: Post): Promise<void> {
    const out = { key: `unkept:${key}:${post.to}`, bay: lane.bay, job: null, post, again: false };
    await this.outbox.send(out, async () => undefined);
  }

  /** A tester that did not prove itself is not used in any bay until somebody has looked at it. */
  private async takeOut(job: Job, events: readonly Event[]): Promise<void> {
    for (const event of events) {
      if (!takesOut(event)) continue;
      await this.parts.shop
        .takeOut(event.detail, `failed its second proving, job ${job.id}`)
        .catch((error) => this.reportOnce(`Take ${event.detail} out of use by hand: ${String(error)}`));
    }
  }

  private notify(lane: Lane, job: Job, seq: number, notices: readonly Sent[]): void {
    notices.forEach(({ to, notice }, at) => {
      for (const other of this.lanes.values()) {
        if (other === lane || other.job === null || !to(other.job)) continue;
        const key = `${job.id}:${seq}:notice${at}:${other.bay}`;
        const now = this.parts.clock.now();
        const input = noticeInput(other.bay, key, now, notice);
        this.pass(other, input);
      }
    });
  }

  /** The other lane is not waited for: two lanes that told each other something would wait for ever. */
  private pass(lane: Lane, input: Input): void {
    void lane.add(input, input.saidAt).catch(() => {
      if (lane.shut === null && !this.unheard.some((one) => one.input.key === input.key))
        this.unheard.push({ lane, input });
    });
  }

  /** What a crash may have kept from other bays is told them again; those that have it know it by its key. */
  private noticesAgain({ journal, state, job: id }: OpenJob, now: number): void {
    const from = Math.max(0, journal.lines.length - UNTOLD_LINES);
    let job = foldAll(id, journal.lines.slice(0, from));
    const lane = this.lanes.get(job.bay);
    if (lane === undefined || state !== 'good') return;
    for (const line of journal.lines.slice(from)) {
      job = fold(job, line);
      if (line.at <= now - KEYS_MS) continue;
      const sent = noticesOf(job, line.events).map(({ to, notice }) => ({
        to: (other: Job) => other.startedAt <= line.at && to(other),
        notice,
      }));
      this.notify(lane, job, line.seq, sent);
    }
  }

  /** Where everybody was heard last, over all jobs in the order of the clock. */
  private findPeople(jobs: readonly OpenJob[]): void {
    const heard = jobs.flatMap(({ journal }) => {
      const bay = foldAll('', journal.lines.slice(0, 1)).bay;
      return journal.lines.map(({ by, at, via }) => ({ by, at, via, bay }));
    });
    for (const { by, via, bay } of heard.sort((a, b) => a.at - b.at)) {
      if (via !== 'clock' && via !== DESK && bay !== '') this.whereabouts.set(by, bay);
    }
  }

  /** Who is in this bay is not in another one any more. */
  private wentTo(person: string, bay: string): void {
    const before = this.whereabouts.get(person);
    this.whereabouts.set(person, bay);
    if (before === bay) return;
    const lane = this.lanes.get(bay);
    if (lane?.job != null) this.notify(lane, lane.job, lane.seq, [goneElsewhere(person, bay)]);
  }

  private keep(key: string, at: number): void {
    this.keys.set(key, at);
    if (this.keys.size % 1024 !== 0) return;
    for (const [old, when] of this.keys) {
      if (when > at - KEYS_MS) break;
      this.keys.delete(old);
    }
  }

  private async answerShut(lane: Lane, input: Input): Promise<void> {
    const { job, flow } = lane;
    if (input.body.is === 'notice') {
      const { notice } = input.body;
      if (notice.of !== 'danger' || job === null || flow === null) return;
      const { bay, danger } = notice;
      const events: Event[] = [{ type: 'told-danger', danger, bay, at: this.parts.clock.now() }];
      for (const post of say(job, flow, events)) await this.sayUnkept(lane, input.key, post);
      return;
    }
    const stopped = stopWord(wordsOf(input));
    if (stopped === null) return this.sayUnkept(lane, input.key, sayShut(lane.shut ?? ''));
    for (const post of this.stopCards(lane, stopped.danger)) await this.sayUnkept(lane, input.key, post);
    this.tellDanger(lane, input.key, stopped.danger);
  }

  /** Stop where there is no job to be stopped: the card all the same, and the foreman is called. */
  private stopCards(lane: Lane, danger: string | null): readonly Post[] {
    const { shop, bays } = this.parts.shop.register();
    return [
      sayStopWithoutJob(shop.emergency),
      sayStopToForeman(bays.get(lane.bay)?.label ?? lane.bay, danger),
    ];
  }

  /** Smoke or fire where there is no job is told to every bay with one. */
  private tellDanger(lane: Lane, key: string, danger: string | null): void {
    if (danger === null) return;
    const now = this.parts.clock.now();
    for (const other of this.lanes.values()) {
      if (other === lane || other.job === null) continue;
      const notice = { of: 'danger', bay: lane.bay, danger } as const;
      this.pass(other, noticeInput(other.bay, `${key}:danger:${other.bay}`, now, notice));
    }
  }

  /** Words in a bay that has no job: start one, stop, or be told what can be started. */
  private async withoutJob(lane: Lane, input: Input): Promise<void> {
    const words = wordsOf(input);
    const asked = hearStart(words);
    if (asked !== null && input.marks.bot !== true) {
      const refusal = await this.startJob(lane, input, asked);
      if (refusal === null) return;
      return this.answerInShop(lane, input, refusal);
    }
    const stopped = stopWord(words);
    if (stopped !== null) {
      this.tellDanger(lane, input.key, stopped.danger);
      return this.answerInShop(lane, input, ...this.stopCards(lane, stopped.danger));
    }
    if (input.body.is !== 'text' || input.marks.bot === true) return;
    if (/^(where|list)\b/i.test(words.trim())) {
      const lanes = [...this.lanes.values()];
      return this.answerInShop(
        lane,
        input,
        sayBays(lanes.map((one) => ({ bay: one.bay, job: one.job, flow: one.flow }))),
      );
    }
    if (/^(start|help)\b/i.test(words.trim())) {
      const cars = [...this.parts.shop.register().cars.keys()];
      return this.answerInShop(lane, input, sayWhatToStart(this.parts.flows.startable(), cars));
    }
  }

  private async answerInShop(lane: Lane, input: Input, ...posts: readonly Post[]): Promise<void> {
    const now = this.parts.clock.now();
    const month = monthOf(this.zone, now);
    const line = { ...lineOf(input, now, []), events: [{ type: 'said' as const, bay: lane.bay }] };
    try {
      await this.shopJournal.append(month, line);
    } catch (error) {
      const said = stopWord(wordsOf(input)) === null ? [sayDiskFull()] : posts;
      for (const post of said) await this.sayUnkept(lane, input.key, post);
      throw new NotTaken(error);
    }
    this.keep(input.key, now);
    for (const post of posts) {
      const out = { key: `shop:${input.key}:${post.to}`, bay: lane.bay, job: null, post, again: false };
      await this.outbox.send(out, async () => undefined);
    }
  }

  /** Starts a job; gives the post that says why not, or null when it has started. */
  private async startJob(
    lane: Lane,
    input: Input,
    asked: { readonly flow: string; readonly car: string; readonly number: string },
  ): Promise<Post | null> {
    const register = this.parts.shop.register();
    const world = this.world(lane, null);
    const flow = this.parts.flows.current(asked.flow);
    if (flow === null)
      return sayNotStarted({ why: 'no-flow', said: asked.flow, have: this.parts.flows.startable() });
    const ground = jobGround(register, asked.car, lane.bay);
    if (ground === 'unknown-car')
      return sayNotStarted({ why: 'no-car', said: asked.car, have: [...register.cars.keys()] });
    if (ground === 'unknown-bay')
      return sayNotStarted({ why: 'no-bay', said: lane.bay, have: [...register.bays.keys()] });
    const month = monthOf(this.zone, world.now);
    let id: string;
    try {
      id = await this.parts.shop.nextJobId(input.key, month, (one) => this.store.has(one));
      await this.store.keepBundle(flow.bundle, this.parts.flows.texts(flow));
    } catch (error) {
      await this.sayUnkept(lane, input.key, sayDiskFull());
      throw new NotTaken(error);
    }
    const opening = {
      job: id,
      number: asked.number === '' ? id : asked.number,
      bay: lane.bay,
      car: ground.car,
      zone: register.shop.zone,
      holder: input.by,
      values: ground.values,
      choices: ground.choices,
    };
    const started = start(flow, opening, world);
    if (!started.ok) return sayNotStarted(started.refusal);
    const opened = fold(emptyJob(id), { seq: 0, at: world.now, events: [started.event] });
    const begun = begin(opened, flow, world);
    const events = [started.event, ...begun];
    const after = fold(opened, { seq: 0, at: world.now, events: begun });
    lane.flow = flow;
    lane.seq = 0;
    lane.hash = '';
    try {
      await this.commit(lane, after, flow, lineOf(input, world.now, events));
    } catch (error) {
      if (lane.job === null) lane.flow = null;
      throw error;
    }
    this.wentTo(input.by, lane.bay);
    return null;
  }

  /** Takes up a job where its journal leaves off. Folds and never judges again. */
  private async resumeJob(opened: OpenJob, gap: number): Promise<void> {
    const { lines, told, seq, inputHash } = opened.journal;
    if (opened.report !== null) this.reports.push(opened.report);
    // Nothing of it can be read, not even its bay: all that can be done is to say so.
    if (lines.length === 0) return;
    const job = foldAll(opened.job, [...lines, ...told.map((one) => ({ seq, told: one }))]);
    const lane = this.laneOf(job.bay);
    if (opened.state !== 'good') lane.shut = opened.report ?? opened.state;
    const flow = await this.flowOfJob(job);
    if (flow === null) {
      lane.shut = `the flow of ${job.id} cannot be read`;
      this.reports.push(lane.shut);
    }
    lane.job = job;
    lane.flow = flow;
    lane.seq = seq;
    lane.hash = inputHash;
    lane.keys = new Set(lines.map((line) => line.key));
    if (flow === null || lane.shut !== null) return;
    await this.sayUntold(lane, job, flow, opened);
    if (opened.ended) return this.endJob(lane, job, seq);
    this.reports.push(`${job.bay}: ${job.id} ${job.asked?.step ?? job.mode}`);
    if (gap > GAP_MS) {
      const out = {
        key: `${job.id}:${seq}:gap:${this.parts.clock.now()}`,
        bay: job.bay,
        job: job.id,
        post: sayAfterGap(gap),
        again: false,
      };
      await this.outbox.send(out, async () => undefined);
    }
  }

  private async flowOfJob(job: Job): Promise<Flow | null> {
    const current = this.parts.flows.current(job.flow);
    if (current !== null && current.bundle === job.bundle) return current;
    try {
      const texts = await this.store.readBundle(job.bundle);
      if (texts === null) return null;
      return this.parts.flows.restore(texts, job.flow, job.bundle);
    } catch {
      return null;
    }
  }

  /** Posts of lines without a told mark may be out or not: the channel is asked before they are said. */
  private async sayUntold(lane: Lane, job: Job, flow: Flow, opened: OpenJob): Promise<void> {
    const { lines, told } = opened.journal;
    const known = new Set(told.map((one) => `${one.line}:${one.thread}`));
    // Told lines are not flushed one by one, so a crash loses only the last few.
    const from = Math.max(0, lines.length - UNTOLD_LINES);
    let at = foldAll(job.id, lines.slice(0, from));
    for (const line of lines.slice(from)) {
      at = fold(at, line);
      for (const post of say(at, flow, line.events)) {
        if (known.has(`${line.seq}:${post.to}`)) continue;
        const ended = at.mode === 'done' || at.mode === 'called-off';
        const full =
          ended && post.to === 'bay' ? summaryPost(at, flow, lines, post, printIn(this.zone)) : post;
        await this.send(lane, job.id, line.seq, full, true);
      }
    }
  }

  /** Once a minute, so that the next start knows how long nobody was here. */
  private async noteAlive(now: number): Promise<void> {
    if (now - this.aliveAt < 60_000) return;
    this.aliveAt = now;
    const { disk } = this.parts;
    await disk
      .write(`${ALIVE}.new`, Buffer.from(String(now)))
      .then(() => disk.rename(`${ALIVE}.new`, ALIVE))
      .catch(() => undefined);
  }

  private async lastAlive(): Promise<number> {
    const bytes = await this.parts.disk.read(ALIVE);
    const at = Number(bytes?.toString() ?? '');
    return Number.isFinite(at) && at > 0 ? at : this.parts.clock.now();
  }
}

type TesterOut = Event & { readonly type: 'summoned'; readonly what: 'tester-out' };

function takesOut(event: Event): event is TesterOut {
  return event.type === 'summoned' && event.what === 'tester-out' && event.detail !== '';
}

const UNTOLD_LINES = 64;
/** The channel that word from other bays comes through. */
const DESK = 'desk';

function lineOf(input: Input, at: number, events: readonly Event[]): NewLine {
  const { saidAt, by, name, via, key } = input;
  return { at, saidAt, by, name, via, key, words: wordsOf(input), events };
}

function clockLine(job: string, at: number, seq: number, events: readonly Event[]): NewLine {
  return {
    at,
    saidAt: at,
    by: 'clock',
    name: 'clock',
    via: 'clock',
    key: `clock:${job}:${seq}:${at}`,
    words: '',
    events,
  };
}

function noticeInput(bay: string, key: string, now: number, notice: Sent['notice']): Input {
  return {
    key,
    bay,
    by: 'warden',
    name: 'warden',
    via: DESK,
    saidAt: now,
    seen: null,
    marks: {},
    body: { is: 'notice', notice },
  };
}
