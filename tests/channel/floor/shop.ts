import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { openDoor } from '../../../src/channel/floor/door.js';
import { type Floor, openFloor } from '../../../src/channel/floor/floor.js';
import { walkClock } from '../../../src/channel/script/walk.js';
import { VirtualClock } from '../../../src/desk/clock.js';
import type { FlowSource } from '../../../src/desk/flow-source.js';
import type { Flow } from '../../../src/flow/flow.js';
import type { Job } from '../../../src/job/job.js';
import { type MemoryDisk, openMemoryDisk } from '../../../src/journal/memory-disk.js';
import { worldOf } from '../../../src/shop/world.js';
import { rightAnswer } from '../../crew/crew.js';
import { crewOf, fieldAnswer } from '../../desk/crew.js';
import { demoRegister, MORNING } from '../../desk/floor.js';
import { Browser, PHOTO } from './browser.js';

type Listening = { readonly host?: string; readonly names?: readonly string[] };

/** A workshop with its floor page, on a port of its own. All but the program outlives it. */
export class Shop {
  readonly data = mkdtempSync(join(tmpdir(), 'baywarden-floor-'));
  readonly page = join(this.data, 'page');
  clock = new VirtualClock(MORNING);
  readonly disk: MemoryDisk = openMemoryDisk();
  readonly printed: string[] = [];
  private open: Floor | null = null;
  private readonly phones = new Map<string, Browser>();

  private constructor(
    private readonly flows: FlowSource,
    private readonly more: Listening,
  ) {}

  static async start(flows: FlowSource, more: Listening = {}): Promise<Shop> {
    const shop = new Shop(flows, more);
    await shop.up();
    return shop;
  }

  get floor(): Floor {
    if (this.open === null) throw new Error('the floor page is not open');
    return this.open;
  }

  get desk() {
    return this.floor.desk;
  }

  async up(): Promise<void> {
    const { data, flows, page, clock, disk } = this;
    const print = (...lines: readonly string[]) => void this.printed.push(...lines);
    const { host = '127.0.0.1', names = [] } = this.more;
    const door = await openDoor({ page, host, port: 0, names });
    this.open = await openFloor({ data, flows, clock, disk, host, door, print });
  }

  /** The power goes and comes back. What was not flushed is gone; pages know nothing of it. */
  async crash(tear?: (unsynced: number) => number): Promise<void> {
    this.disk.crash(tear);
    await this.floor.close().catch(() => undefined);
    this.phones.clear();
    await this.up();
  }

  /** The program ends in order; `meanwhile`, something happens to what it left; then it is started again. */
  async restart(meanwhile: () => unknown = () => undefined): Promise<void> {
    await this.floor.close();
    this.phones.clear();
    await meanwhile();
    await this.up();
  }

  async end(): Promise<void> {
    await this.floor.close().catch(() => undefined);
    rmSync(this.data, { recursive: true, force: true });
  }

  browser(): Browser {
    return new Browser(this.floor.port);
  }

  /** A person's own phone, signed in. */
  async phone(person: string): Promise<Browser> {
    const known = this.phones.get(person);
    if (known !== undefined) return known;
    const browser = this.browser();
    const answer = await browser.signIn({ person, own: true });
    if (answer.status !== 204) throw new Error(`${person} could not sign in: ${answer.text}`);
    this.phones.set(person, browser);
    return browser;
  }

  later(minutes: number): Promise<void> {
    return walkClock(this.desk, this.clock, this.clock.now() + minutes * 60_000);
  }

  job(bay = '1'): { readonly job: Job; readonly flow: Flow } {
    const [job, flow] = [this.desk.jobOf(bay), this.desk.flowOf(bay)];
    if (job === null || flow === null) throw new Error(`there is no job in bay ${bay}`);
    return { job, flow };
  }

  /** A good crew on their phones goes on with the job until it is where it should be. Gives the number of inputs. */
  async until(there: (job: Job, flow: Flow) => boolean, bay = '1', most = 300): Promise<number> {
    const register = await demoRegister();
    const nobody = new Map<string, string>();
    for (let turn = 0; turn < most; turn++) {
      const [job, flow] = [this.desk.jobOf(bay), this.desk.flowOf(bay)];
      if (job === null || flow === null || there(job, flow)) return turn;
      const moment = { now: this.clock.now(), elsewhere: nobody, standbyElsewhere: nobody, draw: 0 };
      const checkIn = job.checkIn?.askedAt != null && job.standby !== null;
      const next = checkIn
        ? { by: job.standby ?? '', body: { is: 'text', text: 'here' } as const }
        : rightAnswer(job, flow, worldOf(register, moment), crewOf(register, job));
      if (next === null) {
        const wake = this.desk.nextWake();
        if (wake === null) throw new Error(`nobody says anything at ${job.asked?.step}`);
        await this.later((wake - this.clock.now()) / 60_000);
        continue;
      }
      const phone = await this.phone(next.by);
      const body = fieldAnswer(job, flow, next);
      const seen = '9'.repeat(14);
      const known = await phone.newestPlace();
      const answer =
        body.is === 'photo'
          ? await phone.photo(PHOTO, { bay, seen: known ?? seen })
          : await phone.say(body.is === 'text' ? body.text : '', { bay, seen: known });
      if (answer.status !== 204) throw new Error(`${next.by} was refused: ${answer.status} ${answer.text}`);
      await this.later(1);
    }
    throw new Error(`the job does not get there; it is at ${this.job(bay).job.asked?.step}`);
  }

  /** Puts a page to be served in its place. */
  writePage(name: string, text: string): void {
    writeFileSync(join(this.page, name), text);
  }
}
