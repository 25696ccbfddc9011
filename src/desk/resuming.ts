import type { Flow } from '../flow/flow.js';
import { fold, foldAll } from '../job/fold.js';
import type { Job } from '../job/job.js';
import type { OpenJob, Store } from '../journal/store.js';
import { summaryPost } from '../record/post.js';
import type { Post } from '../talk/post.js';
import { say } from '../talk/say.js';
import { sayAfterGap } from '../talk/shop-talk.js';
import { UNTOLD_LINES } from './between.js';
import { flowOfJob } from './job-flow.js';
import type { Lane } from './lane.js';
import { printIn } from './month.js';
import type { Outbox } from './outbox.js';
import type { Parts } from './parts.js';

/** A gap longer than this is told in the threads of open jobs, in one line. */
const GAP_MS = 5 * 60_000;

/** What taking up a job needs of the desk. */
type Does = {
  laneOf(bay: string): Lane;
  /** Sends a post of a line of which nobody knows whether it has arrived. */
  sendUnknown(lane: Lane, job: string, seq: number, post: Post): Promise<void>;
  endJob(lane: Lane, job: Job, seq: number): Promise<void>;
  /** Whether the foreman's post of a line waits for others, or went out with them. */
  waits(job: string, line: number): boolean;
};

/** Takes up the jobs under way after a start. Folds and never judges again. */
export class Resuming {
  /** What was found of jobs whose bay nobody knows: any bay may be theirs. */
  readonly unplaced: string[] = [];

  constructor(
    private readonly parts: Pick<Parts, 'shop' | 'flows' | 'clock'>,
    private readonly store: Store,
    private readonly outbox: Outbox,
    private readonly reports: string[],
    private readonly does: Does,
  ) {}

  /** Takes up a job where its journal leaves off. `gap` is how long nobody was here, in ms. */
  async resume(opened: OpenJob, gap: number): Promise<void> {
    const { lines, told, seq, inputHash } = opened.journal;
    if (opened.report !== null) this.reports.push(opened.report);
    if (lines.length === 0) return this.shutUnread(opened);
    const job = foldAll(opened.job, [...lines, ...told.map((one) => ({ seq, told: one }))]);
    const lane = this.does.laneOf(job.bay);
    if (opened.state !== 'good') lane.shut = opened.report ?? opened.state;
    const flow = await flowOfJob(this.parts.flows, this.store, job);
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
    if (opened.ended) return this.does.endJob(lane, job, seq);
    this.reports.push(`${job.bay}: ${job.id} ${job.asked?.step ?? job.mode}`);
    if (gap <= GAP_MS) return;
    const key = `${job.id}:${seq}:gap:${this.parts.clock.now()}`;
    const out = { key, bay: job.bay, job: job.id, post: sayAfterGap(gap), again: false };
    await this.outbox.send(out, async () => undefined);
  }

  /** Nothing of it can be read. Its bay is not free: there is a car in it, nobody knows in what state. */
  private shutUnread({ job, bay, report, state }: OpenJob): void {
    const words = report ?? `${job}: ${state}`;
    if (bay === null) {
      this.unplaced.push(words);
      this.reports.push(
        `${job}: its bay is not known. Every start of a job says so until the file is put back.`,
      );
    } else {
      this.does.laneOf(bay).shut = words;
      this.reports.push(`${bay}: shut, ${job} cannot be read.`);
    }
  }

  /** Posts of lines without a told mark may be out or not: the channel is asked before they are said. */
  private async sayUntold(lane: Lane, job: Job, flow: Flow, opened: OpenJob): Promise<void> {
    const { lines, told } = opened.journal;
    const print = printIn(this.parts.shop.register().shop.zone);
    const known = new Set(told.map((one) => `${one.line}:${one.thread}`));
    // Told lines are not flushed one by one, so a crash loses only the last few.
    const from = Math.max(0, lines.length - UNTOLD_LINES);
    let at = foldAll(job.id, lines.slice(0, from));
    for (const line of lines.slice(from)) {
      at = fold(at, line);
      for (const post of say(at, flow, line.events)) {
        if (known.has(`${line.seq}:${post.to}`)) continue;
        if (post.to === 'foreman' && this.does.waits(job.id, line.seq)) continue;
        const ended = at.mode === 'done' || at.mode === 'called-off';
        const full = ended && post.to === 'bay' ? summaryPost(at, flow, lines, post, print) : post;
        await this.does.sendUnknown(lane, job.id, line.seq, full);
      }
    }
  }
}
