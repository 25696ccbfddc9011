import type { Flow } from '../flow/flow.js';
import { foldAll } from '../job/fold.js';
import type { Job } from '../job/job.js';
import type { Store } from '../journal/store.js';
import { dayPost } from '../record/day.js';
import type { DayBay } from '../record/day-bay.js';
import { dueListPost, monthEnd } from '../record/due.js';
import { gearDue } from '../record/gear-due.js';
import { morningPost } from '../record/morning.js';
import { type JobTally, type Span, tallyOf } from '../record/tally.js';
import { type Usual, usualOf } from '../record/usual.js';
import { dateAt } from '../shop/hours.js';
import { carKey } from '../shop/register.js';
import { sayNoDayPost } from '../talk/office-talk.js';
import type { Post } from '../talk/post.js';
import { addDays } from '../trade/dates.js';
import { closedBefore, type DuePost, lastDay, nextOpening } from './day-due.js';
import type { Lane } from './lane.js';
import type { Parts } from './parts.js';

/** Gear whose last day comes within so many days stands in the end-of-day post. */
const GEAR_DAYS = 14;

/** What the figures of a day are gathered from. */
export type DaySources = {
  readonly lanes: ReadonlyMap<string, Lane>;
  readonly store: Pick<Store, 'read'>;
  /** Jobs that have ended and are not filed yet. */
  readonly unfiled: () => readonly { readonly job: string; readonly endedAt: number }[];
  /** The flow that a job ran on; null when it cannot be read. */
  readonly flowOf: (job: Job) => Promise<Flow | null>;
};

/** Gathers what the posts of a day say. Read are the journals of jobs under way and of those that ended in its time. */
export class DayTeller {
  constructor(
    private readonly parts: Pick<Parts, 'shop' | 'clock'>,
    private readonly from: DaySources,
  ) {}

  /** The post of a working day. What cannot be put together is said to be so: no fault of it keeps the desk shut. */
  async made({ post, date, at, late, missed }: DuePost): Promise<Post> {
    const span = { from: closedBefore(this.parts.shop.register().shop, date), until: at };
    try {
      return post === 'day'
        ? await this.day(span, { at, late, missed })
        : await this.morning(span, { at, late });
    } catch (error) {
      return sayNoDayPost(date, error instanceof Error ? error.message : String(error));
    }
  }

  /** The day as it is now: of the one under way so far, or, while the workshop is closed, of the last one. */
  async soFar(): Promise<Post> {
    const { shop } = this.parts.shop.register();
    const now = this.parts.clock.now();
    const opened = lastDay(shop, 'morning', now);
    if (opened !== null && now < opened.closesAt)
      return this.day(
        { from: closedBefore(shop, opened.date), until: now },
        { at: null, late: false, missed: [] },
      );
    const closed = lastDay(shop, 'day', now);
    const from = closed === null ? now : closedBefore(shop, closed.date);
    const at = closed?.closesAt ?? null;
    return this.day({ from, until: now }, { at, late: at !== null && at < now, missed: [] });
  }

  /** What the next morning begins with, or this one began with, as it is now. */
  async ahead(): Promise<Post> {
    const now = this.parts.clock.now();
    const closed = lastDay(this.parts.shop.register().shop, 'day', now);
    return this.morning({ from: closed?.closesAt ?? now, until: now }, { at: null, late: false });
  }

  /** Cars and gear overdue and due this month. */
  async due(): Promise<Post> {
    return dueListOf(this.parts.shop, this.parts.clock.now());
  }

  private async day(
    span: Span,
    head: Pick<DuePost, 'late' | 'missed'> & { at: number | null },
  ): Promise<Post> {
    const register = this.parts.shop.register();
    const now = this.parts.clock.now();
    const bays = await this.bays(span);
    const today = dateAt(register.shop.zone, now);
    const gear = gearDue(register.gear.values(), today, GEAR_DAYS).filter(({ daysLeft }) => daysLeft >= 0);
    const opensAt = nextOpening(register.shop, Math.max(now, head.at ?? now))?.opensAt ?? null;
    return dayPost({ now, ...head, bays, usual: await this.usual(bays), gear, opensAt });
  }

  private async morning(span: Span, head: { at: number | null; late: boolean }): Promise<Post> {
    const { shop, gear, people } = this.parts.shop.register();
    const now = this.parts.clock.now();
    const today = dateAt(shop.zone, now);
    const bays = await this.bays(span);
    return morningPost({ now, ...head, today, bays, gear: gear.values(), people: people.values() });
  }

  /** The bays of the register in its order, then others with a job in them. */
  private async bays(span: Span): Promise<readonly DayBay[]> {
    const { bays } = this.parts.shop.register();
    const ended = await this.endedIn(span);
    const ids = new Set([...bays.keys(), ...ended.map(({ bay }) => bay)]);
    for (const { bay, job, shut } of this.from.lanes.values())
      if (job !== null || shut !== null) ids.add(bay);
    return Promise.all(
      [...ids].map(async (bay): Promise<DayBay> => {
        const lane = this.from.lanes.get(bay);
        const [job, flow] = [lane?.job ?? null, lane?.flow ?? null];
        const label = bays.get(bay)?.label ?? bay;
        const own = ended.filter((tally) => tally.bay === bay);
        const tally = job === null || flow === null ? null : await this.tally(job, flow, span);
        return { bay, label, job, flow, shut: lane?.shut ?? null, tally, ended: own };
      }),
    );
  }

  private async tally(job: Job, flow: Flow, span: Span): Promise<JobTally | null> {
    const journal = await this.from.store.read(job.id);
    return journal === null ? null : tallyOf(job, flow, journal.lines, span);
  }

  /** What the jobs came to that ended in a span, in the order of their ends. */
  private async endedIn({ from, until }: Span): Promise<readonly JobTally[]> {
    const { zone } = this.parts.shop.register().shop;
    const ids = new Set<string>();
    const last = dateAt(zone, until);
    for (let date = dateAt(zone, from); date <= last; date = addDays(date, 1))
      for (const id of await this.parts.shop.endedOn(date)) ids.add(id);
    for (const { job } of this.from.unfiled()) ids.add(job);
    const found: JobTally[] = [];
    for (const id of ids) {
      const journal = await this.from.store.read(id);
      if (journal === null) continue;
      const job = foldAll(id, journal.lines);
      if (job.endedAt === null || job.endedAt <= from || job.endedAt > until) continue;
      const flow = await this.from.flowOf(job);
      if (flow !== null) found.push(tallyOf(job, flow, journal.lines, { from, until }));
    }
    return found.toSorted((a, b) => (a.endedAt ?? 0) - (b.endedAt ?? 0));
  }

  /** What is usual for the flows of these jobs, without the jobs themselves. */
  private async usual(bays: readonly DayBay[]): Promise<ReadonlyMap<string, Usual>> {
    const ended = bays.flatMap((bay) => bay.ended);
    const today = new Set(ended.map(({ job }) => job));
    const usual = new Map<string, Usual>();
    for (const flow of new Set(ended.map((one) => one.flow))) {
      const past = (await this.parts.shop.timesOf(flow)).filter(({ job }) => !today.has(job));
      usual.set(flow, usualOf(past));
    }
    return usual;
  }
}

/** Cars and gear overdue and due in the month of an instant, ms since 1970. */
export async function dueListOf(shop: Parts['shop'], now: number): Promise<Post> {
  const register = shop.register();
  const today = dateAt(register.shop.zone, now);
  const odometerOf = (registration: string) => register.cars.get(carKey(registration))?.odometerKm ?? null;
  const items = await shop.dueUntil(monthEnd(today));
  const undated = await shop.dueUndated();
  return dueListPost({ today, items, undated, odometerOf, gear: register.gear.values() });
}
