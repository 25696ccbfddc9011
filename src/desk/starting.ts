import type { Flow } from '../flow/flow.js';
import { begin } from '../job/decide.js';
import { emptyJob } from '../job/evolve.js';
import { fold } from '../job/fold.js';
import type { Input } from '../job/input.js';
import type { Job } from '../job/job.js';
import { start } from '../job/start.js';
import type { World } from '../job/world.js';
import type { NewLine } from '../journal/line.js';
import type { Store } from '../journal/store.js';
import { jobGround } from '../shop/world.js';
import type { Post } from '../talk/post.js';
import { type StartRefusal, sayDiskFull, sayUnplaced } from '../talk/shop-talk.js';
import type { Lane } from './lane.js';
import { monthOf } from './month.js';
import { lineOf } from './new-line.js';
import type { Parts } from './parts.js';
import { NotTaken } from './port.js';

/** What a start needs of the desk. */
type Does = {
  world(lane: Lane): World;
  commit(lane: Lane, after: Job, flow: Flow, line: NewLine): Promise<void>;
  sayUnkept(bay: string, key: string, post: Post): Promise<void>;
  wentTo(person: string, bay: string): void;
  /** The job under way on a car, in whatever bay. */
  onCar(registration: string): Job | null;
  /** Records of jobs under way that cannot be read and whose bay nobody knows. */
  unplaced(): readonly string[];
};

type Ground = Exclude<ReturnType<typeof jobGround>, string>;

/** Starts jobs. */
export class Starting {
  /** Cars on which a job is being started just now, in whatever bay. */
  private readonly cars = new Set<string>();

  constructor(
    private readonly parts: Pick<Parts, 'shop' | 'flows'>,
    private readonly store: Store,
    private readonly does: Does,
  ) {}

  /** Starts a job; gives why not, or null when it has started. */
  async start(
    lane: Lane,
    input: Input,
    asked: { readonly flow: string; readonly car: string; readonly number: string },
  ): Promise<StartRefusal | null> {
    const { shop, flows } = this.parts;
    const register = shop.register();
    const flow = flows.current(asked.flow);
    if (flow === null) return { why: 'no-flow', said: asked.flow, have: flows.startable() };
    const ground = jobGround(register, asked.car, lane.bay);
    if (ground === 'unknown-car')
      return {
        why: 'no-car',
        said: asked.car,
        have: [...register.cars.values()].map((car) => car.registration),
      };
    if (ground === 'unknown-bay') return { why: 'no-bay', said: lane.bay, have: [...register.bays.keys()] };
    const { registration } = ground.car;
    const other = this.does.onCar(registration);
    if (other !== null || this.cars.has(registration)) {
      return { why: 'car-taken', car: registration, bay: other?.bay ?? null, number: other?.number ?? null };
    }
    this.cars.add(registration);
    try {
      return await this.open(lane, input, asked.number, flow, ground);
    } finally {
      this.cars.delete(registration);
    }
  }

  private async open(
    lane: Lane,
    input: Input,
    number: string,
    flow: Flow,
    ground: Ground,
  ): Promise<StartRefusal | null> {
    const { shop, flows } = this.parts;
    const { zone } = shop.register().shop;
    const world = this.does.world(lane);
    let id: string;
    try {
      id = await shop.nextJobId(input.key, monthOf(zone, world.now), (one) => this.store.has(one));
      await this.store.keepBundle(flow.bundle, flows.texts(flow));
    } catch (error) {
      await this.does.sayUnkept(lane.bay, input.key, sayDiskFull());
      throw new NotTaken(error);
    }
    const opening = {
      job: id,
      number: number === '' ? id : number,
      bay: lane.bay,
      car: ground.car,
      zone,
      holder: input.by,
      values: ground.values,
      choices: ground.choices,
    };
    const started = start(flow, opening, world);
    if (!started.ok) return started.refusal;
    const opened = fold(emptyJob(id), { seq: 0, at: world.now, events: [started.event] });
    const begun = begin(opened, flow, world);
    const events = [started.event, ...begun];
    const after = fold(opened, { seq: 0, at: world.now, events: begun });
    const unplaced = this.does.unplaced();
    if (unplaced.length > 0)
      await this.does.sayUnkept(lane.bay, `${input.key}:unplaced`, sayUnplaced(unplaced));
    lane.flow = flow;
    lane.seq = 0;
    lane.hash = '';
    try {
      await this.does.commit(lane, after, flow, lineOf(input, world.now, events));
    } catch (error) {
      if (lane.job === null) lane.flow = null;
      throw error;
    }
    this.does.wentTo(input.by, lane.bay);
    return null;
  }
}
