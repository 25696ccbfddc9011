import type { Flow } from '../flow/flow.js';
import type { Event } from '../job/event.js';
import type { Job } from '../job/job.js';
import type { Line } from '../journal/line.js';
import type { Store } from '../journal/store.js';
import { stagesOf } from '../record/hours.js';
import { summaryPost } from '../record/post.js';
import { dateAt } from '../shop/hours.js';
import type { Post } from '../talk/post.js';
import { monthOf, printIn } from './month.js';
import type { Outbox } from './outbox.js';
import { type Parts, reportOnce } from './parts.js';
import { countJournal, countLine } from './wrench-count.js';

type Ended = { readonly job: Job; readonly flow: Flow | null; readonly seq: number };

/** What a job leaves behind in the register and among the finished journals. */
export class Filing {
  /** Ended jobs that still lie among those under way: a post of theirs waits, or the disk did not take the move. */
  private readonly unfiled = new Map<string, Ended>();
  /** Jobs of which a line's cycles were not counted: a later line alone would hide it. */
  private readonly uncounted = new Set<string>();

  constructor(
    private readonly parts: Pick<Parts, 'shop' | 'clock'>,
    private readonly store: Store,
    private readonly outbox: Outbox,
    private readonly reports: string[],
  ) {}

  /** The bay's last post of a job, with the record in it. */
  async summary(job: Job, flow: Flow, post: Post): Promise<Post> {
    const journal = await this.store.read(job.id);
    const print = printIn(this.parts.shop.register().shop.zone);
    return journal === null ? post : summaryPost(job, flow, journal.lines, post, print);
  }

  /** Files a job that has ended with this line, now or as soon as it can be. */
  async add(job: Job, flow: Flow | null, seq: number): Promise<void> {
    this.unfiled.set(job.id, { job, flow, seq });
    await this.fileAll();
  }

  /** Ended jobs that are not filed yet, by their ids, with the instant of their end. */
  waiting(): readonly { readonly job: string; readonly endedAt: number }[] {
    return [...this.unfiled.values()].map(({ job }) => ({ job: job.id, endedAt: job.endedAt ?? job.now }));
  }

  /** Files ended jobs whose posts have all gone out. The end is on disk already: what fails here is tried again. */
  async fileAll(): Promise<void> {
    const { zone } = this.parts.shop.register().shop;
    for (const [id, ended] of this.unfiled) {
      const { job } = ended;
      if (this.outbox.waitsFor(id)) continue;
      try {
        await this.file(ended, zone);
        await this.store.finish(id, monthOf(zone, job.endedAt ?? job.now), this.parts.clock.now());
        this.unfiled.delete(id);
      } catch (error) {
        reportOnce(
          this.reports,
          `${id} has ended and could not be filed yet: ${String(error)}. It is tried again.`,
        );
      }
    }
  }

  /** Counts what a wrench has clicked in this line. After one that failed the rest is counted from the journal. */
  async countWrenches(job: Job, flow: Flow, line: Pick<Line, 'seq' | 'events'>): Promise<void> {
    if (this.uncounted.has(job.id)) return;
    await countLine(this.parts.shop, job, flow, line).catch(() => this.uncounted.add(job.id));
  }

  /** After a start: what a crash kept from being counted is counted before anything that comes after it. */
  async recount(job: string, flow: Flow, lines: readonly Line[]): Promise<void> {
    await countJournal(this.parts.shop, job, flow, lines).catch(() => this.uncounted.add(job));
  }

  private async file({ job, flow, seq }: Ended, zone: string): Promise<void> {
    const endedAt = job.endedAt ?? job.now;
    const lines = flow === null ? null : await this.store.read(job.id);
    if (lines !== null && flow !== null) await countJournal(this.parts.shop, job.id, flow, lines.lines);
    const journal = job.mode === 'called-off' ? null : lines;
    await this.parts.shop.fileEnded({
      job: job.id,
      seq,
      flow: job.flow,
      bay: job.bay,
      registration: job.car.registration,
      startedAt: job.startedAt,
      endedAt,
      endedOn: dateAt(zone, endedAt),
      stages: journal === null || flow === null ? null : stagesOf(flow, journal.lines),
      how: job.mode === 'called-off' ? 'called-off' : 'done',
      due: job.due,
    });
  }

  /** A tester that did not prove itself is not used in any bay until somebody has looked at it. */
  async takeOut(job: Job, events: readonly Event[]): Promise<void> {
    for (const event of events) {
      if (!takesOut(event)) continue;
      await this.parts.shop
        .takeOut(event.detail, `failed its second proving, job ${job.id}`)
        .catch((error) =>
          reportOnce(this.reports, `Take ${event.detail} out of use by hand: ${String(error)}`),
        );
    }
  }
}

type TesterOut = Event & { readonly type: 'summoned'; readonly what: 'tester-out' };

/** Whether a piece of gear is to be taken out of use after this. */
export function takesOut(event: Event): event is TesterOut {
  return event.type === 'summoned' && event.what === 'tester-out' && event.detail !== '';
}
