import { join } from 'node:path';
import { walkClock } from '../../src/channel/script/walk.js';
import { VirtualClock } from '../../src/desk/clock.js';
import { Desk } from '../../src/desk/desk.js';
import type { FlowSource } from '../../src/desk/flow-source.js';
import { memoryShop } from '../../src/desk/shops.js';
import type { Place } from '../../src/job/input.js';
import { openMemoryDisk } from '../../src/journal/memory-disk.js';
import type { Register } from '../../src/shop/register.js';
import { demoRegister, flowTexts, MORNING, provedFlows } from '../desk/floor.js';
import { type StandIn, standIn } from './stand-in.js';

/** A workshop with a floor server on a port of its own, and a clock that is turned by hand. */
export class Workshop {
  private constructor(
    readonly register: Register,
    readonly desk: Desk,
    private readonly server: StandIn,
    readonly clock: VirtualClock,
  ) {}

  static async open(): Promise<Workshop> {
    const register = await demoRegister();
    const flows: FlowSource = await provedFlows(flowTexts(join(import.meta.dirname, '../..')));
    const clock = new VirtualClock(MORNING);
    const server = await standIn(register, clock, join(import.meta.dirname, '../../dist/page'));
    const desk = await Desk.open({
      disk: openMemoryDisk(),
      clock,
      channel: server.channel,
      shop: memoryShop(register),
      flows,
    });
    server.attach(desk);
    return new Workshop(register, desk, server, clock);
  }

  get url(): string {
    return this.server.url;
  }

  /** Lets time pass, with every wake-up on the way. */
  async later(ms: number): Promise<void> {
    await walkClock(this.desk, this.clock, this.clock.now() + ms);
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

  /** Waits until something has come about in the workshop. */
  async until(so: () => boolean): Promise<void> {
    const end = performance.now() + 10_000;
    while (!so()) {
      if (performance.now() > end) throw new Error('it did not come about in 10 s');
      await new Promise((resolve) => setTimeout(resolve, 5));
    }
  }

  /** The connection is cut: the server is gone, nothing is lost. */
  async cut(): Promise<void> {
    this.server.close();
  }

  async mend(): Promise<void> {
    await this.server.open();
  }

  async close(): Promise<void> {
    this.server.close();
    await this.desk.close();
  }
}
