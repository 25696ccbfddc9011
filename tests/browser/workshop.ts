import { mkdtemp, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { openDoor } from '../../src/channel/floor/door.js';
import { type Floor, openFloor } from '../../src/channel/floor/floor.js';
import { givePin } from '../../src/channel/floor/grant.js';
import { walkClock } from '../../src/channel/script/walk.js';
import { VirtualClock } from '../../src/desk/clock.js';
import type { Desk } from '../../src/desk/desk.js';
import type { FlowSource } from '../../src/desk/flow-source.js';
import type { Ask, Flow } from '../../src/flow/flow.js';
import type { Body, Place } from '../../src/job/input.js';
import type { Job } from '../../src/job/job.js';
import type { Register } from '../../src/shop/register.js';
import { isHeld } from '../desk/crew.js';
import { demoRegister, flowTexts, MINUTE, MORNING, provedFlows } from '../desk/floor.js';
import { nextDeed } from './deed.js';

const ROOT = join(import.meta.dirname, '../..');
/** Read once for all workshops of a file. */
let read: Promise<FlowSource> | null = null;

/** How long a pressure is held before it is read again, ms. */
export const HOLD = 15 * MINUTE;

/** A workshop with its floor page on a port of its own, on real files, and a clock that is turned by hand. */
export class Workshop {
  readonly clock = new VirtualClock(MORNING);
  private count = 0;

  private constructor(
    readonly register: Register,
    private readonly data: string,
    private readonly flows: FlowSource,
  ) {}

  private open: Floor | null = null;

  static async open(pins: Readonly<Record<string, string>> = {}): Promise<Workshop> {
    read ??= provedFlows(flowTexts(ROOT));
    const flows = await read;
    const data = await mkdtemp(join(tmpdir(), 'floor-'));
    const shop = new Workshop(await demoRegister(), data, flows);
    await shop.start(0);
    for (const [person, pin] of Object.entries(pins)) {
      const told = await givePin(join(data, 'register'), person, pin);
      if (!told.ok) throw new Error(told.lines.join('\n'));
    }
    // Given while nobody looks, so that the first page knows of them.
    if (Object.keys(pins).length > 0) await shop.mend(await shop.cut());
    return shop;
  }

  private async start(port: number): Promise<void> {
    const host = '127.0.0.1';
    const door = await openDoor({ page: join(ROOT, 'dist/page'), host, port, names: [] });
    const { data, flows, clock } = this;
    this.open = await openFloor({ data, flows, door, host, clock, print: () => undefined });
  }

  private get floor(): Floor {
    if (this.open === null) throw new Error('the workshop is shut');
    return this.open;
  }

  get desk(): Desk {
    return this.floor.desk;
  }

  get url(): string {
    return this.floor.url;
  }

  /** Lets time pass, with every wake-up on the way. */
  async later(ms: number): Promise<void> {
    await walkClock(this.desk, this.clock, this.clock.now() + ms);
  }

  /** Something that was said elsewhere: it reaches the desk as from a page that has seen everything. */
  async said(by: string, words: string | Body, bay = '1'): Promise<void> {
    const body: Body = typeof words === 'string' ? { is: 'text', text: words } : words;
    const name = this.register.people.get(by)?.name ?? by;
    const about = { key: `elsewhere:${++this.count}`, bay, by, name, via: 'floor', marks: {} };
    await this.desk.receive({ ...about, saidAt: this.clock.now(), seen: '~', body });
  }

  /** A good crew works on, away from any page, until the job stands as wanted. */
  async workUntil(so: (job: Job, flow: Flow) => boolean, bay = '1'): Promise<void> {
    for (let turn = 0; turn < 600; turn++) {
      const [job, flow] = [this.desk.jobOf(bay), this.desk.flowOf(bay)];
      if (job === null || flow === null) throw new Error('the job ended before it stood as wanted');
      if (so(job, flow)) return;
      const deed = nextDeed(this, job, flow);
      if (deed === null) {
        const wake = this.desk.nextWake();
        if (wake === null) throw new Error(`nobody says anything at ${job.asked?.step ?? 'nothing'}`);
        await this.later(wake - this.clock.now());
        continue;
      }
      await this.later(isHeld(job, flow) ? HOLD : 0);
      await this.said(deed.by, deed.body, bay);
      await this.later(MINUTE);
    }
    throw new Error('the job never stood as wanted');
  }

  /** Where the question stands that is open in a bay, once it has arrived; empty where none is open. */
  async placeOfQuestion(bay: string): Promise<Place> {
    const place = () => {
      const job = this.desk.jobOf(bay);
      return job?.asked == null ? '' : job.places[job.asked.seq];
    };
    await this.until(() => place() !== undefined);
    return place() ?? '';
  }

  /** Where the question stands that came after the one at `before`. */
  async nextQuestion(bay: string, before: Place): Promise<Place> {
    await this.until(() => {
      const job = this.desk.jobOf(bay);
      const place = job?.asked == null ? undefined : job.places[job.asked.seq];
      return place !== undefined && place !== before;
    });
    return this.placeOfQuestion(bay);
  }

  /** Waits until something has come about in the workshop. */
  async until(so: () => boolean): Promise<void> {
    const end = performance.now() + PATIENCE_MS;
    while (!so()) {
      if (performance.now() > end) throw new Error('it did not come about in a minute');
      await new Promise((resolve) => setTimeout(resolve, 5));
    }
  }

  /** The program ends, and every page is cut off. */
  async cut(): Promise<number> {
    const { port } = this.floor;
    await this.floor.close();
    this.open = null;
    return port;
  }

  /** It is started again under the same address. */
  async mend(port: number): Promise<void> {
    await this.start(port);
  }

  async close(): Promise<void> {
    await this.open?.close();
    await rm(this.data, { recursive: true, force: true });
  }
}

/** A loaded machine is slow, not wrong. */
const PATIENCE_MS = 60_000;

/** Whether a job now asks for something of this kind. */
export function asks(kind: Ask['ask']): (job: Job, flow: Flow) => boolean {
  return ({ asked }, flow) => {
    if (asked === null || asked.ended || asked.what !== 'step') return false;
    return flow.steps.find(({ id }) => id === asked.step)?.asks[asked.answers.length]?.ask === kind;
  };
}
