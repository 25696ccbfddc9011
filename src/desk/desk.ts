import type { Flow } from '../flow/flow.js';
import { decision } from '../job/decide.js';
import { fold, sealed } from '../job/fold.js';
import type { Input } from '../job/input.js';
import type { Job } from '../job/job.js';
import type { World } from '../job/world.js';
import { drawOf, GENESIS, type NewLine } from '../journal/line.js';
import { openShopJournal, type ShopJournal } from '../journal/shop-journal.js';
import { openStore, type Store } from '../journal/store.js';
import { worldOf } from '../shop/world.js';
import { hear } from '../talk/hear.js';
import { OFFICE } from '../talk/office-words.js';
import type { Post } from '../talk/post.js';
import { say } from '../talk/say.js';
import { Alive } from './alive.js';
import { Between } from './between.js';
import { Calls } from './calls.js';
import { DayPosts } from './day-posts.js';
import { DayTeller } from './day-teller.js';
import { Crews } from './elsewhere.js';
import { Filing, takesOut } from './filing.js';
import { FreeBay } from './free-bay.js';
import { flowOfJob } from './job-flow.js';
import { KnownKeys } from './known-keys.js';
import type { Lane } from './lane.js';
import { Lanes } from './lanes.js';
import { clockLine, lineOf } from './new-line.js';
import { noticesOf } from './notices.js';
import { isOffice, Office } from './office.js';
import { Outbox } from './outbox.js';
import type { Parts } from './parts.js';
import { NotTaken, type Receiver } from './port.js';
import { Resuming } from './resuming.js';
import type { ShopEvent } from './shop-answer.js';
import { ShopLines } from './shop-lines.js';
import { Starting } from './starting.js';
import { Unkept } from './unkept.js';

/**
 * The desk: one lane a bay, inputs to disk before anything is said, wake-ups derived from the jobs, posts in order.
 * The only place where the pure middle meets the world.
 */
export class Desk implements Receiver {
  private readonly lanes = new Lanes((lane, input) => this.handle(lane, input));
  private readonly keys = new KnownKeys();
  private readonly crews = new Crews(this.lanes.byBay);
  private readonly outbox: Outbox;
  private readonly between: Between;
  private readonly unkept: Unkept;
  private readonly filing: Filing;
  private readonly freeBay: FreeBay;
  private readonly office: Office;
  private readonly lines: ShopLines;
  private readonly resuming: Resuming;
  private readonly alive: Alive;
  private readonly calls: Calls;
  private readonly teller: DayTeller;
  private readonly dayPosts: DayPosts;

  private constructor(
    private readonly parts: Parts,
    private readonly store: Store,
    private readonly shopJournal: ShopJournal<ShopEvent>,
    /** What was found at the start, for the console. */
    readonly reports: string[],
  ) {
    const { keys } = this;
    const lanes = this.lanes.byBay;
    const outbox = new Outbox(
      parts.channel,
      () => parts.clock.now(),
      (words) => reports.push(words),
      parts.patience,
    );
    const between = new Between(lanes, parts.clock);
    const unkept = new Unkept(outbox, between);
    const starting = new Starting(parts, store, {
      world: (lane) => this.world(lane, null),
      commit: (...line) => this.commit(...line),
      sayUnkept: (...post) => unkept.say(...post),
      wentTo: (person, bay) => between.wentTo(person, bay),
      onCar: (registration) => this.lanes.onCar(registration),
      unplaced: () => this.resuming.unplaced,
    });
    this.outbox = outbox;
    this.between = between;
    this.unkept = unkept;
    this.filing = new Filing(parts, store, outbox, reports);
    this.lines = new ShopLines(parts, shopJournal, outbox, keys, unkept, (event) => this.shopPosts(event));
    this.freeBay = new FreeBay(parts, lanes, this.lines, between, unkept, (...asked) =>
      starting.start(...asked),
    );
    this.teller = new DayTeller(parts, {
      lanes,
      store,
      unfiled: () => this.filing.waiting(),
      flowOf: (job) => flowOfJob(parts.flows, store, job),
    });
    this.office = new Office(parts, this.lanes, this.lines, this.teller, (...told) =>
      between.tellAll(...told),
    );
    this.dayPosts = new DayPosts(parts, shopJournal, this.lines);
    this.resuming = new Resuming(parts, store, outbox, reports, {
      laneOf: (bay) => this.lanes.of(bay),
      sendUnknown: (lane, job, seq, post) => this.send(lane, job, seq, post, true),
      endJob: (...ended) => this.endJob(...ended),
      waits: (job, line) => this.calls.has(job, line),
    });
    this.calls = new Calls(parts, lanes, store, shopJournal, outbox, (...post) => this.send(...post));
    this.alive = new Alive(parts.disk);
  }

  /** Opens the data folder, folds every job under way, and says what a crash left unsaid. */
  static async open(parts: Parts): Promise<Desk> {
    const now = parts.clock.now();
    const store = openStore(parts.disk);
    const opened = await store.openJobs(now);
    const shopJournal = await openShopJournal<ShopEvent>(parts.disk, now);
    const desk = new Desk(parts, store, shopJournal, []);
    if (shopJournal.report !== null) desk.reports.push(shopJournal.report);
    for (const { key, at } of [...opened.keys, ...shopJournal.keys]) desk.keys.keep(key, at);
    for (const bay of parts.shop.register().bays.keys()) desk.lanes.of(bay);
    const gap = await desk.alive.gap(now);
    // An ended job gives its bay free before the next one of that bay is taken up.
    desk.calls.findTaken();
    const jobs = [...opened.jobs].sort((a, b) => Number(b.ended) - Number(a.ended));
    for (const job of jobs) {
      await desk.resuming.resume(job, gap);
      const flow = job.bay === null || job.ended ? null : desk.flowOf(job.bay);
      if (flow !== null) await desk.filing.recount(job.job, flow, job.journal.lines);
    }
    await desk.office.recover();
    await desk.lines.tellAgain();
    await desk.dayPosts.resume(now - gap);
    await desk.calls.restore(jobs);
    desk.between.findPeople(jobs);
    for (const job of jobs) desk.between.notifyAgain(job, now);
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
    return this.lanes.byBay.get(bay)?.job ?? null;
  }

  flowOf(bay: string): Flow | null {
    return this.lanes.byBay.get(bay)?.flow ?? null;
  }

  /** Why the record of a bay takes no more lines; null while it does. */
  shutOf(bay: string): string | null {
    return this.lanes.byBay.get(bay)?.shut ?? null;
  }

  /** The job under way, or the one that ended last in this run. */
  lastJobOf(bay: string): Job | null {
    const lane = this.lanes.byBay.get(bay);
    return lane?.job ?? lane?.last ?? null;
  }

  receive(input: Input, kept?: () => void): Promise<void> {
    const work = this.lanes.of(input.bay).add(input, input.saidAt);
    return kept === undefined ? work : this.keys.watch(input.key, kept, work);
  }

  /** Runs everything that time has made due, and tries what could not be delivered. */
  async tick(): Promise<void> {
    await this.outbox.flushAll();
    await this.filing.fileAll();
    this.between.passAgain();
    const now = this.parts.clock.now();
    const due = [...this.lanes.due(now, this.parts.shop.register().shop.settings), this.lanes.of(OFFICE)];
    // A bay whose record takes nothing now may not keep time from the others.
    const done = await Promise.allSettled(due.map((lane) => lane.add(null, now)));
    // Last, so that what the hour has done to the bays is in it.
    done.push(...(await Promise.allSettled([this.dayPosts.tick()])));
    await this.alive.note(now);
    await this.calls.send();
    const failed = done.find((one) => one.status === 'rejected');
    if (failed !== undefined) throw failed.reason;
  }

  /** When time will next do something to any job, or a post of the day is due, ms since 1970. */
  nextWake(): number | null {
    const settings = this.parts.shop.register().shop.settings;
    const wakes = [this.lanes.nextWake(settings), this.dayPosts.nextWake(), this.calls.wake()];
    return wakes.reduce((a, b) => (a === null || b === null ? (a ?? b) : Math.min(a, b)), null);
  }

  /** Lets what is under way end, flushes and closes all files. */
  async close(): Promise<void> {
    await this.lanes.idle();
    await this.outbox.flushAll();
    await this.store.close();
    await this.shopJournal.close();
  }

  /** What a line of the shop journal is told as, as things stand now. */
  private async shopPosts(event: ShopEvent): Promise<readonly Post[]> {
    switch (event.type) {
      case 'said':
        return this.freeBay.postsOf(event.bay, event.answer ?? null);
      case 'office':
        return this.office.postsOf(event.answer);
      case 'day-post':
        return [await this.teller.made(event)];
      case 'day-post-void':
        return [];
      // What the foreman is told of jobs is told by `Calls`.
      case 'waits':
      case 'joined':
      case 'reminded':
        return [];
    }
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
    if (isOffice(lane)) return input === null ? this.office.tick() : this.office.hear(input);
    const { job, flow } = lane;
    if (input === null) {
      if (job === null || flow === null) return;
      const { events, job: after } = decision(job, flow, 'time-passed', this.world(lane, job));
      const now = this.parts.clock.now();
      if (events.length > 0)
        await this.commit(lane, after, flow, clockLine(job.id, now, lane.seq + 1, events));
      return;
    }
    if (lane.shut !== null) return this.freeBay.hearShut(lane, input);
    if (job === null || flow === null) return this.freeBay.hear(lane, input);
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
    if (input.body.is !== 'notice') this.calls.heard(lane.bay, input.by);
    const reads = heard.heard === 'word' && (heard.word === 'where' || heard.word === 'list');
    if (!reads && input.marks.afar !== true && input.body.is !== 'notice')
      this.between.wentTo(input.by, lane.bay);
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
      return this.unkept.refuse(lane, after, flow, line, error);
    }
    lane.seq = seq;
    lane.hash = hash;
    this.keys.keep(line.key, line.at);
    lane.keys.add(line.key);
    const folded = sealed(after, { seq, at: line.at });
    lane.job = folded;
    const ended = folded.mode === 'done' || folded.mode === 'called-off';
    for (const post of say(folded, flow, line.events)) {
      const full = ended && post.to === 'bay' ? await this.filing.summary(folded, flow, post) : post;
      if (post.to === 'foreman') {
        await this.calls.take(lane, { job: folded, flow, seq, post, events: line.events, by: line.by });
      } else await this.send(lane, folded.id, seq, full);
    }
    this.between.notify(lane, folded, seq, noticesOf(folded, line.events));
    if (ended) await this.endJob(lane, folded, seq);
    await this.filing.countWrenches(folded, flow, { seq, events: line.events });
    if (line.events.some(takesOut)) await this.filing.takeOut(folded, line.events);
  }

  private async send(lane: Lane, job: string, seq: number, post: Post, unknown = false): Promise<void> {
    if (post.to === 'foreman') lane.toForeman++;
    const out = { key: `${job}:${seq}:${post.to}`, bay: lane.bay, job, post, again: false };
    const told = async (place: string) => {
      const line = { line: seq, thread: post.to, place };
      // A told line that is lost makes the next start ask the channel; the job goes on all the same.
      await this.store.tell(job, line).catch(() => undefined);
      if (lane.job?.id === job) lane.job = fold(lane.job, { seq: lane.seq, told: line });
    };
    await this.outbox.send(out, told, unknown);
  }

  private async endJob(lane: Lane, job: Job, seq: number): Promise<void> {
    const { flow } = lane;
    this.calls.ended(job.id);
    lane.last = job;
    lane.job = null;
    lane.flow = null;
    lane.seq = 0;
    lane.hash = '';
    lane.keys = new Set();
    await this.filing.add(job, flow, seq);
  }
}
