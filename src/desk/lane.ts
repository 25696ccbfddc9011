import type { Flow } from '../flow/flow.js';
import type { Input } from '../job/input.js';
import type { Job } from '../job/job.js';
import { nextWake } from '../job/time.js';
import type { World } from '../job/world.js';
import { OFFICE } from '../talk/office-words.js';

/** What a lane has to do next: an input that reached us, or time that has passed. */
export type Work = {
  readonly input: Input | null;
  readonly saidAt: number;
  readonly done: () => void;
  readonly failed: (error: unknown) => void;
};

/**
 * A bay's inputs, one at a time. Among those waiting the one said first goes first; bays run side by side.
 */
export class Lane {
  job: Job | null = null;
  flow: Flow | null = null;
  /** The job before, for the record and the board. */
  last: Job | null = null;
  /** Hash of the journal's last line. */
  hash = '';
  /** Keys of all inputs of the job under way, however long it takes. */
  keys = new Set<string>();
  /** Number of the journal's last input. */
  seq = 0;
  /** A stop that was shown but could not be kept: the first thing to be kept when the disk takes something again. */
  owed: Input | null = null;
  /** Why this bay's job takes no inputs: its journal is damaged or newer than the program. */
  shut: string | null = null;
  /** Posts that this bay has put into the foreman's thread in this run. */
  toForeman = 0;
  /** The thread that this bay's posts go to. */
  readonly thread: string;
  private readonly queue: Work[] = [];
  private busy = false;
  private running: Promise<void> = Promise.resolve();

  constructor(
    readonly bay: string,
    private readonly work: (lane: Lane, input: Input | null) => Promise<void>,
  ) {
    this.thread = bay === OFFICE ? OFFICE : `bay:${bay}`;
  }

  /** Queues an input; settles when it has been dealt with. */
  add(input: Input | null, saidAt: number): Promise<void> {
    return new Promise((done, failed) => {
      this.queue.push({ input, saidAt, done, failed });
      if (!this.busy) this.running = this.run();
    });
  }

  /** When time will next do something to the job, ms since 1970; null when it will not. */
  wake(settings: World['settings']): number | null {
    if (this.job === null || this.flow === null || this.shut !== null) return null;
    return nextWake(this.job, this.flow, { settings });
  }

  /** Whether anything is being done or waits. */
  get isBusy(): boolean {
    return this.busy;
  }

  /** Settles when nothing is being done and nothing waits. */
  async idle(): Promise<void> {
    while (this.busy) await this.running;
  }

  private async run(): Promise<void> {
    this.busy = true;
    for (let next = this.takeEarliest(); next !== undefined; next = this.takeEarliest()) {
      try {
        await this.work(this, next.input);
        next.done();
      } catch (error) {
        next.failed(error);
      }
    }
    this.busy = false;
  }

  private takeEarliest(): Work | undefined {
    if (this.queue.length < 2) return this.queue.pop();
    let at = 0;
    for (let i = 1; i < this.queue.length; i++) {
      if ((this.queue[i]?.saidAt ?? 0) < (this.queue[at]?.saidAt ?? 0)) at = i;
    }
    return this.queue.splice(at, 1)[0];
  }
}
