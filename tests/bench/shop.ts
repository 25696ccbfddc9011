import { statSync } from 'node:fs';
import { join } from 'node:path';
import { VirtualClock } from '../../src/desk/clock.js';
import { Desk } from '../../src/desk/desk.js';
import type { FlowSource } from '../../src/desk/flow-source.js';
import type { Channel } from '../../src/desk/port.js';
import { memoryShop } from '../../src/desk/shops.js';
import type { Body, Input, Place } from '../../src/job/input.js';
import type { Disk } from '../../src/journal/disk.js';
import { carKey, type Register } from '../../src/shop/register.js';
import { worldOf } from '../../src/shop/world.js';
import { rightAnswer } from '../crew/crew.js';
import { crewOf, fieldAnswer } from '../desk/crew.js';
import { MORNING } from '../desk/floor.js';

/** A crew that has waited this often without a word has lost its way. */
const MOST_WAITS = 200;
const MOST_ANSWERS = 60;

let made = 0;

/** A desk with a crew in each bay that works through the demo job, again and again. */
export class Shop {
  readonly clock = new VirtualClock(MORNING);
  /** Keys of their own, so that a desk on old data knows none of them. */
  private readonly prefix = `bench${++made}`;
  private readonly seen = new Map<string, Place>();
  private readonly stood = new Map<string, { readonly at: string; readonly times: number }>();
  private places = 0;
  private inputs = 0;
  private turns = 0;

  private constructor(
    readonly register: Register,
    readonly bays: readonly string[],
  ) {}

  private opened: Desk | null = null;

  /** `open` gives the channel that the desk talks by; without it one in memory. */
  static async open(
    register: Register,
    flows: FlowSource,
    disk: Disk,
    open?: (shop: Pick<Shop, 'clock' | 'register'>) => Promise<Channel>,
  ): Promise<Shop> {
    const quick = quickCure(register);
    const shop = new Shop(quick, [...quick.bays.keys()]);
    const { clock } = shop;
    const channel = (await open?.(shop)) ?? shop.channel;
    shop.opened = await Desk.open({ disk, clock, channel, shop: memoryShop(quick), flows });
    return shop;
  }

  get desk(): Desk {
    if (this.opened === null) throw new Error('the desk is not open');
    return this.opened;
  }

  /** A channel in memory that keeps no more of a post than its place. */
  readonly channel: Channel = {
    name: 'bench',
    deliver: async ({ bay, post }) => {
      const place = String(++this.places).padStart(9, '0');
      if (post.to === 'bay') this.seen.set(bay, place);
      return place;
    },
    find: async () => null,
  };

  /** What the crew of a bay says next. Jobs are started and time passes on the way, neither of them measured. */
  async next(bay: string): Promise<Input> {
    for (let wait = 0; wait < MOST_WAITS; wait++) {
      const { desk } = this;
      const job = desk.jobOf(bay);
      const flow = desk.flowOf(bay);
      if (job === null || flow === null) {
        await desk.receive(this.input(bay, holderOf(bay), text(`start disconnect-fuse ${carOf(bay)}`)));
        continue;
      }
      if (job.checkIn?.askedAt != null && job.standby !== null) {
        return this.input(bay, job.standby, text('here'));
      }
      // Now and then somebody writes something down, or asks where it stands.
      const turn = ++this.turns;
      if (turn % 17 === 0) return this.input(bay, job.holder, text('note bolt 4 was tight'));
      if (turn % 23 === 0) return this.input(bay, job.holder, text('where'));
      const moment = { now: this.clock.now(), elsewhere: NOBODY, standbyElsewhere: NOBODY, draw: 0 };
      const crew = { ...crewOf(this.register, job), standby: standbyOf(bay) };
      this.watch(bay, `${job.id} ${job.asked?.step}`);
      const next = rightAnswer(job, flow, worldOf(this.register, moment), crew);
      if (next !== null) return this.input(bay, next.by, fieldAnswer(job, flow, next));
      const wake = desk.nextWake();
      if (wake === null)
        throw new Error(`bay ${bay}: nobody says anything at ${job.asked?.step ?? job.mode}`);
      this.clock.moveTo(wake);
      await desk.tick();
    }
    throw new Error(`bay ${bay} waits for ever at ${this.desk.jobOf(bay)?.waitingFor?.step ?? 'nothing'}`);
  }

  /** A minute between two messages; what falls due in it is not measured. */
  async pass(): Promise<void> {
    this.clock.moveTo(this.clock.now() + 60_000);
    await this.desk.tick();
  }

  /** A crew that answers the same step for ever measures refusals, not work. */
  private watch(bay: string, at: string): void {
    const before = this.stood.get(bay);
    const times = before?.at === at ? before.times + 1 : 1;
    this.stood.set(bay, { at, times });
    if (times > MOST_ANSWERS) throw new Error(`bay ${bay} does not get on: ${at}`);
  }

  private input(bay: string, by: string, body: Body): Input {
    const key = `${this.prefix}:${++this.inputs}`;
    const name = this.register.people.get(by)?.name ?? by;
    const saidAt = this.clock.now();
    return { key, bay, by, name, via: 'bench', saidAt, seen: this.seen.get(bay) ?? '', marks: {}, body };
  }
}

const NOBODY: ReadonlyMap<string, string> = new Map();

const text = (words: string): Body => ({ is: 'text', text: words });

const holderOf = (bay: string) => `mara-${bay}`;
const standbyOf = (bay: string) => `tamsin-${bay}`;
/** A car stands in one bay only. */
const carOf = (bay: string) => `DEMO-1-${bay}`;

/** Bytes of the journal of a bay's job; null when it has been filed. */
export function bytesOf(shop: Shop, folder: string, bay: string): number | null {
  const job = shop.desk.jobOf(bay);
  if (job === null) return null;
  return statSync(join(folder, 'open', `${job.id}.jsonl`)).size;
}

/** The demo workshop with so many bays, a technician, a standby and a car in each, and nothing that runs out of date. */
export function busyRegister(demo: Register, bays: number, site = demo.shop.site): Register {
  const ids = Array.from({ length: bays }, (_, at) => String(at + 1));
  const one = <V>(map: ReadonlyMap<string, V>, id: string): V => {
    const found = map.get(id);
    if (found === undefined) throw new Error(`the demo workshop has no ${id}`);
    return found;
  };
  const bay = one(demo.bays, '1');
  const car = one(demo.cars, carKey('DEMO-1'));
  const cars = ids.map((id) => [carKey(carOf(id)), { ...car, registration: carOf(id) }] as const);
  const levels = [{ level: '3S', until: '2099-12-31' }];
  const people = [...demo.people].map(([id, person]) => [id, { ...person, levels }] as const);
  const crews = ids.flatMap((id) =>
    (['mara', 'tamsin'] as const).map((who) => {
      const person = one(demo.people, who);
      return [
        `${who}-${id}`,
        { ...person, id: `${who}-${id}`, name: `${person.name} ${id}`, levels },
      ] as const;
    }),
  );
  return {
    ...demo,
    shop: { ...demo.shop, site },
    bays: new Map(ids.map((id) => [id, { ...bay, id, label: `Bay ${id}` }])),
    people: new Map([...people, ...crews]),
    cars: new Map([...demo.cars, ...cars]),
    gear: new Map([...demo.gear].map(([id, piece]) => [id, { ...piece, months: 120 }])),
    sealants: new Map([...demo.sealants].map(([id, batch]) => [id, { ...batch, useBy: '2099-12-31' }])),
  };
}

/** A sealant that cures in minutes: thousands of jobs end before the first glove is out of date. */
function quickCure(register: Register): Register {
  const sealants = [...register.sealants].map(([batch, sealant]) => {
    const sheet = { ...sealant.sheet, 'depth-24h': { value: 200, unit: 'mm' as const } };
    return [batch, { ...sealant, sheet }] as const;
  });
  return { ...register, sealants: new Map(sealants) };
}
