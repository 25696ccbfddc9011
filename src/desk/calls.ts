import type { Flow } from '../flow/flow.js';
import type { Event } from '../job/event.js';
import { fold, foldAll } from '../job/fold.js';
import type { Job } from '../job/job.js';
import type { Line } from '../journal/line.js';
import type { MonthOpened, ShopJournal } from '../journal/shop-journal.js';
import type { OpenJob, Store } from '../journal/store.js';
import {
  type Called,
  type CallLog,
  callsIn,
  goesAt,
  goesOnIn,
  notBefore,
  remindersOf,
  seenTo,
  type Thing,
  toldLately,
  type Urgency,
  urgencyOf,
  withCalls,
  withReminder,
} from '../record/calls.js';
import { foremenAt, inHours } from '../shop/world.js';
import { joinedPost, sayStillSo } from '../talk/again.js';
import { newsLines } from '../talk/news.js';
import type { Post } from '../talk/post.js';
import { say } from '../talk/say.js';
import { flowOfJob } from './job-flow.js';
import type { Lane } from './lane.js';
import { monthOf } from './month.js';
import type { Outbox } from './outbox.js';
import type { Parts } from './parts.js';
import type { JobLine, Reminded, ShopEvent } from './shop-answer.js';

/** A post for the foreman that waits to be joined with others. */
type Kept = JobLine & {
  readonly at: number;
  readonly urgency: 'call' | 'news';
  readonly post: Post;
  /** What it calls for; empty where it also says something else. */
  readonly things: readonly Thing[];
};

/** What a line of a job says to the foreman. */
export type ForForeman = {
  readonly job: Job;
  readonly flow: Flow;
  readonly seq: number;
  readonly post: Post;
  readonly events: readonly Event[];
  readonly by: string;
};

/** How far back what went to the foreman counts, ms. */
const COUNTS_MS = 3_600_000;

/**
 * The foreman's thread: what goes at once, what is joined, what is told again. What waits stands in the shop journal before
 * it waits, so that a start finds it; where that cannot be written nothing waits.
 */
export class Calls {
  private waiting: Kept[] = [];
  /** Told to nobody yet, in the shop journal. */
  private readonly taken = new Set<string>();
  private sent: number[] = [];
  private readonly logs = new Map<string, CallLog>();
  /** When a foreman last spoke in a bay. */
  private readonly acted = new Map<string, number>();
  private busy = false;
  private notBefore = 0;

  constructor(
    private readonly parts: Pick<Parts, 'shop' | 'clock' | 'flows'>,
    private readonly lanes: ReadonlyMap<string, Lane>,
    private readonly store: Store,
    private readonly journal: ShopJournal<ShopEvent>,
    private readonly outbox: Outbox,
    /** Sends a post of a job's line as it is, by its own key. */
    private readonly sendAlone: (lane: Lane, job: string, seq: number, post: Post) => Promise<void>,
  ) {}

  /** Takes a post for the foreman: it goes now, waits for others, or was told lately. */
  async take(lane: Lane, what: ForForeman): Promise<void> {
    const { job, flow, seq, post, events } = what;
    const { now, urgency } = this.judge(what);
    const log = this.logs.get(job.id) ?? NO_CALLS;
    const goesOn = goesOnIn(job, flow);
    const things = thingsIn(job, flow, events);
    if (urgency === 'call' && things.length > 0 && toldLately(log, events, goesOn))
      return this.mark(job.id, seq, TOLD_BEFORE);
    this.logs.set(job.id, withCalls(log, events, goesOn));
    if (urgency === 'at-once' || urgency === 'answer') {
      if (urgency === 'at-once') this.count(now);
      return this.sendAlone(lane, job.id, seq, post);
    }
    const at = notBefore(events, now);
    const kept: Kept = { bay: lane.bay, job: job.id, line: seq, at, urgency, post, things };
    const goes = goesAt([...this.waiting, kept], this.sent) ?? now;
    const alone = this.waiting.length === 0 && goes <= now;
    if (alone || !(await this.keep(kept, now))) {
      this.count(now);
      return this.sendAlone(lane, job.id, seq, post);
    }
    await this.mark(job.id, seq, WAITS);
    await this.send();
  }

  /** A foreman has said something in a bay. */
  heard(bay: string, by: string): void {
    const now = this.parts.clock.now();
    if (foremenAt(this.parts.shop.register(), now).includes(by)) this.acted.set(bay, now);
  }

  /** Nobody is reminded of a job that is over. */
  ended(job: string): void {
    this.logs.delete(job);
  }

  /** Whether a line's post for the foreman waits already, or went out together with others. */
  has(job: string, line: number): boolean {
    return this.taken.has(nameOf({ job, line }));
  }

  /** When something goes out next, ms since 1970; outside working hours nobody is reminded. */
  wake(): number | null {
    const goes = this.goes();
    const reminders = this.inHours() ? this.reminders().map(({ at }) => at) : [];
    const due = goes === null ? reminders : [goes, ...reminders];
    return due.length === 0 ? null : Math.min(...due);
  }

  /** Sends what has waited long enough, and tells again what nobody has seen to. */
  async send(): Promise<void> {
    if (this.busy) return;
    this.busy = true;
    try {
      const now = this.parts.clock.now();
      // What has been told before comes first; news lets it have its time.
      await this.remind(now);
      if ((this.goes() ?? now + 1) <= now) await this.sendJoined(now);
    } finally {
      this.busy = false;
    }
  }

  private judge({ post, events, by }: ForForeman): { readonly now: number; readonly urgency: Urgency } {
    const now = this.parts.clock.now();
    const foremen = foremenAt(this.parts.shop.register(), now);
    return { now, urgency: urgencyOf(events, post.kind === 'alert', foremen.includes(by)) };
  }

  /** When what waits goes; a disk that takes nothing is tried again a minute later. */
  private goes(): number | null {
    const goes = goesAt(this.waiting, this.sent);
    return goes === null ? null : Math.max(goes, this.notBefore);
  }

  private count(now: number): void {
    this.sent = [...this.sent.filter((at) => at > now - COUNTS_MS), now];
  }

  /** Whether it could be kept, so that it may wait. */
  private async keep(kept: Kept, now: number): Promise<boolean> {
    const { post: _, things: __, ...waits } = kept;
    try {
      await this.write(`waits:${nameOf(kept)}`, now, { type: 'waits', ...waits });
    } catch {
      return false;
    }
    this.taken.add(nameOf(kept));
    this.waiting.push(kept);
    return true;
  }

  private async sendJoined(now: number): Promise<void> {
    const members = this.waiting.filter(({ at }) => at <= now);
    this.waiting = this.waiting.filter(({ at }) => at > now);
    // What was seen to while it waited need not be told any more.
    const isSeenTo = ({ job, things }: Kept) => {
      const lane = [...this.lanes.values()].find((one) => one.job?.id === job);
      return seenTo(lane?.job ?? null, lane?.flow ?? null, things);
    };
    const still = members.filter((one) => !isSeenTo(one));
    const lines = (some: readonly Kept[]) => some.map(({ bay, job, line }) => ({ bay, job, line }));
    const [of, over] = [lines(still), lines(members.filter(isSeenTo))];
    let at: Awaited<ReturnType<Calls['write']>>;
    try {
      at = await this.write(`joined:${members.map(nameOf).join(':')}`, now, { type: 'joined', of, over });
    } catch {
      // Still kept as waiting; the next tick tries again.
      this.waiting = [...members, ...this.waiting];
      this.notBefore = now + 60_000;
      return;
    }
    if (still.length === 0) return;
    this.count(now);
    await this.deliver(`joined:${at.part}:${at.seq}`, joinedPost(still.map(({ post }) => post)), at);
  }

  private inHours(): boolean {
    return inHours(this.parts.shop.register(), this.parts.clock.now());
  }

  private reminders(): readonly (Reminded & { readonly at: number; readonly called: Called })[] {
    return [...this.lanes.values()].flatMap(({ bay, job, flow, shut }) => {
      const log = job === null ? undefined : this.logs.get(job.id);
      if (job === null || flow === null || shut !== null || log === undefined) return [];
      return remindersOf(job, flow, log, this.acted.get(bay) ?? null).map(({ called, at }) => ({
        ...{ bay, job: job.id, what: called.what, detail: called.detail, at },
        called,
      }));
    });
  }

  private async remind(now: number): Promise<void> {
    if (!this.inHours()) return;
    const due = this.reminders().filter(({ at }) => at <= now);
    if (due.length === 0) return;
    const of = due.map(({ bay, job, what, detail }): Reminded => ({ bay, job, what, detail }));
    const post = this.reminderOf(due);
    for (const one of due) this.logs.set(one.job, withReminder(this.logs.get(one.job) ?? NO_CALLS, one, now));
    if (post === null) return;
    this.count(now);
    const key = `reminded:${of.map((one) => `${one.job}:${one.what}`).join(':')}:${now}`;
    const at = await this.write(key, now, { type: 'reminded', of }).catch(() => null);
    // A reminder that cannot be kept is one that may come once too often.
    await this.deliver(at === null ? key : `reminded:${at.part}:${at.seq}`, post, at);
  }

  private reminderOf(of: readonly (Reminded & { readonly called?: Called })[]): Post | null {
    const bays = [...new Set(of.map(({ job }) => job))].flatMap((id) => {
      const lane = [...this.lanes.values()].find(({ job }) => job?.id === id);
      if (lane?.job == null || lane.flow === null) return [];
      const { job, flow } = lane;
      const things = of
        .filter((one) => one.job === id)
        .map(({ what, detail, called }) => ({ what, detail, at: called?.since ?? job.now }));
      return [{ job, flow, things }];
    });
    return bays.length === 0 ? null : sayStillSo(bays);
  }

  private async write(key: string, now: number, event: ShopEvent) {
    const line = { at: now, saidAt: now, by: 'warden', name: 'warden', via: 'clock', key, words: '' };
    return this.journal.append(monthOf(this.parts.shop.register().shop.zone, now), {
      ...line,
      events: [event],
    });
  }

  private async deliver(
    key: string,
    post: Post,
    at: { readonly part: string; readonly seq: number } | null,
    unknown = false,
  ): Promise<void> {
    const told = async (place: string) => {
      if (at === null) return;
      await this.journal.tell(at.part, { line: at.seq, thread: 'foreman', place }).catch(() => undefined);
    };
    await this.outbox.send({ key, bay: 'foreman', job: null, post, again: false }, told, unknown);
  }

  /** So that a start does not take the post of this line for one that was lost. */
  private async mark(job: string, line: number, place: string): Promise<void> {
    await this.store.tell(job, { line, thread: 'foreman', place }).catch(() => undefined);
  }

  /** At a start, before any job is taken up: what waited, and what went out together with others. */
  findTaken(): void {
    for (const { job, line } of this.journalled().flatMap(({ event }) =>
      event.type === 'waits' ? [event] : [],
    ))
      this.taken.add(nameOf({ job, line }));
  }

  /** At a start, with all jobs taken up: what waited waits on, what may not have arrived is asked for, nothing is forgotten. */
  async restore(jobs: readonly OpenJob[]): Promise<void> {
    const journalled = this.journalled();
    const joined = journalled.flatMap(({ event }) =>
      event.type === 'joined' ? [...event.of, ...(event.over ?? [])].map(nameOf) : [],
    );
    for (const { event } of journalled) {
      if (event.type !== 'waits' || joined.includes(nameOf(event))) continue;
      const said = await this.saidIn(event);
      if (said !== null) this.waiting.push({ ...event, ...said });
    }
    this.sent = sentBefore(jobs, journalled, this.parts.clock.now());
    // What went out for jobs that have ended is not known any more: a start brings forward nothing that waits.
    if (this.waiting.length > 0) this.count(this.parts.clock.now());
    for (const { journal, ended } of jobs) {
      if (ended || journal.lines.length === 0) continue;
      const { id, bay } = foldAll('', journal.lines.slice(0, 1));
      for (const line of journal.lines) this.heardBefore(bay, line);
      this.logs.set(id, logOf(journal.lines));
    }
    for (const { event, at, part, seq, told } of journalled) {
      if (event.type === 'reminded') {
        for (const one of event.of)
          this.logs.set(one.job, withReminder(this.logs.get(one.job) ?? NO_CALLS, one, at));
      }
      if (told || (event.type !== 'joined' && event.type !== 'reminded')) continue;
      const post =
        event.type === 'reminded'
          ? this.reminderOf(event.of)
          : joinedPost(
              (await Promise.all(event.of.map((one) => this.postOf(one)))).filter((one) => one !== null),
            );
      if (post !== null && event.of.length > 0)
        await this.deliver(`${event.type}:${part}:${seq}`, post, { part, seq }, true);
    }
  }

  private heardBefore(bay: string, { by, at }: Pick<Line, 'by' | 'at'>): void {
    if (foremenAt(this.parts.shop.register(), at).includes(by)) this.acted.set(bay, at);
  }

  private journalled() {
    return this.journal.recent.toReversed().flatMap(({ part, journal }) => {
      const known = new Set(journal.told.map(({ line }) => line));
      return journal.lines.flatMap(({ seq, at, events }) =>
        events.map((event: ShopEvent | MonthOpened) => ({ event, at, part, seq, told: known.has(seq) })),
      );
    });
  }

  /** The foreman's post of a line, said anew from the journal of its job. */
  private async postOf(of: JobLine): Promise<Post | null> {
    return (await this.saidIn(of))?.post ?? null;
  }

  private async saidIn({ job: id, line }: JobLine): Promise<Pick<Kept, 'post' | 'things'> | null> {
    const journal = await this.store.read(id).catch(() => null);
    const own = journal?.lines.find(({ seq }) => seq === line);
    if (journal == null || own === undefined) return null;
    const before = journal.lines.filter(({ seq }) => seq < line);
    const job = fold(foldAll(id, before), own);
    const flow = await flowOfJob(this.parts.flows, this.store, job);
    const post = flow === null ? undefined : say(job, flow, own.events).find(({ to }) => to === 'foreman');
    return flow === null || post === undefined ? null : { post, things: thingsIn(job, flow, own.events) };
  }
}

/** What a line calls for, where it says nothing else to the foreman. */
function thingsIn(job: Job, flow: Flow, events: readonly Event[]): readonly Thing[] {
  if (newsLines(job, flow, events).length > 0) return [];
  return callsIn(events).map(({ what, detail, at }) => ({ what, detail, since: at }));
}

const NO_CALLS: CallLog = new Map();

/** When something went to the foreman in the last hour before a start, as far as the journals of open jobs tell. */
function sentBefore(
  jobs: readonly OpenJob[],
  journalled: readonly { readonly event: { readonly type: string }; readonly at: number }[],
  now: number,
): number[] {
  const alone = jobs.flatMap(({ journal }) => {
    const went = new Set(
      journal.told.flatMap(({ line, thread, place }) =>
        thread === 'foreman' && place !== WAITS && place !== TOLD_BEFORE ? [line] : [],
      ),
    );
    return journal.lines.flatMap(({ seq, at }) => (went.has(seq) ? [at] : []));
  });
  const together = journalled.flatMap(({ event, at }) =>
    event.type === 'joined' || event.type === 'reminded' ? [at] : [],
  );
  return [...alone, ...together].filter((at) => at > now - COUNTS_MS).sort((a, b) => a - b);
}

/** Stand in place of a post's place where a line's own post is not told by itself. */
const WAITS = 'waits';
const TOLD_BEFORE = 'told before';

/** What the foreman was called for, as these lines tell it: each the last time, as if it were the first. */
function logOf(lines: readonly Pick<Line, 'events'>[]): CallLog {
  return lines.reduce((log, { events }) => withCalls(log, events, () => false), NO_CALLS);
}

function nameOf({ job, line }: Pick<JobLine, 'job' | 'line'>): string {
  return `${job}:${line}`;
}
