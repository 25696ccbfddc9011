import { writeFileSync } from 'node:fs';
import type { FlowSource } from '../../src/desk/flow-source.js';
import type { Flow, Step } from '../../src/flow/flow.js';
import type { Input } from '../../src/job/input.js';
import type { Line } from '../../src/journal/line.js';
import type { Register } from '../../src/shop/register.js';
import { jobGround, worldOf } from '../../src/shop/world.js';
import { goodOptions, rightAnswer, type Said } from '../crew/crew.js';
import { type Chance, chanceOf } from './chance.js';
import { type Doing, Floor } from './floor.js';
import { LAPSES, type Lapse } from './lapses.js';
import type { Mischief, Scene } from './mischief.js';
import { type Counts, ENOUGH, newCounts, rareLapse, rarePark } from './rare.js';
import { type BayCrew, CREWS } from './shop.js';
import { MISCHIEF } from './wrong-answers.js';

const add = (counts: Map<string, number>, key: string) => counts.set(key, (counts.get(key) ?? 0) + 1);

/** A run that went wrong: the seed that brings it back, and the last things that were done. */
export class Broken extends Error {}

const MINUTE = 60_000;
/** Monday 2 March 2026, 07:00 in the demo workshop. */
const MONDAY = Date.parse('2026-03-02T07:00:00Z');
const RIGHT = 0.84;
/** How many of all inputs are lapses, of which the last part is kept for what was hardly ever met. */
const LAPSES_OF = { 'short job': 0.029, 'long job': 0.018 };
const RARE_PART = { 'short job': 0.38, 'long job': 0.6 };
/** A job of so many steps takes hundreds of answers, and each lapse a walk back. */
const LONG = 90;

const PARK = LAPSES.find(({ name }) => name === 'park') ?? null;

export type Plan = {
  readonly flow: string;
  readonly cars: readonly string[];
  readonly inputs: number;
  readonly seed: number;
  readonly refusals: Map<string, number>;
};

/** Runs a flow through the real desk, two bays at a time, until so many inputs have been given. */
export async function runFlow(flows: FlowSource, register: Register, plan: Plan): Promise<Counts> {
  const counts = { ...newCounts(), refused: plan.refusals };
  const flow = flows.current(plan.flow);
  if (flow === null) throw new Error(`no flow ${plan.flow}`);
  for (let day = 0; counts.inputs < plan.inputs; day++) {
    const chance = chanceOf(plan.seed * 7919 + day);
    const run = new Day(flows, register, plan, flow, counts, chance);
    await run.live(day);
  }
  return counts;
}

type Wrong = { readonly kind: Mischief; readonly doing: Doing; readonly scarce: boolean };

class Day {
  private floor!: Floor;
  private outage = 0;
  private turns = 0;

  constructor(
    private readonly flows: FlowSource,
    private readonly register: Register,
    private readonly plan: Plan,
    private readonly flow: Flow,
    private readonly counts: Counts,
    private readonly chance: Chance,
  ) {}

  async live(day: number): Promise<void> {
    const { chance, plan } = this;
    // Half of them so that a shift ends while the work is under way.
    const start = MONDAY + MINUTE * (chance.odds(0.5) ? 430 + chance.upTo(60) : chance.upTo(700));
    this.floor = await Floor.open(this.register, this.flows, chance, start, (flow, line) =>
      this.count(flow, line),
    );
    const { floor } = this;
    const taken: string[] = [];
    for (const [at, crew] of CREWS.entries()) {
      const car = this.carFor(2 * day + at, taken);
      taken.push(car);
      await floor.say(
        crew.bay,
        { by: crew.holders[0], body: { is: 'text', text: `start ${plan.flow} ${car}` } },
        'starts',
      );
      if (floor.job(crew.bay) === null) floor.wrong.push(`${plan.flow} ${car} did not start`);
    }
    const most = 200 + 60 * this.flow.steps.length;
    while (floor.wrong.length === 0 && CREWS.some(({ bay }) => floor.job(bay) !== null)) {
      if (++this.turns > most) floor.wrong.push(`not done after ${most} turns`);
      await this.turn();
    }
    if (floor.wrong.length === 0) await this.afterwards();
    if (floor.wrong.length === 0) await floor.end();
    if (floor.wrong.length > 0) this.fail(day);
    this.counts.jobs += 2;
  }

  /** The car whose steps were shown least; where all were shown often, each in its turn. */
  private carFor(turn: number, taken: readonly string[]): string {
    const { plan, flow, counts, register } = this;
    const lacking = (car: string) => {
      const choices = choicesOf(register, car);
      const applying = flow.steps.filter((step) => step.route === 'job' && canApply(flow, step, choices));
      return applying.filter((step) => (counts.shown.get(step.id) ?? 0) < ENOUGH).length;
    };
    const inTurn = plan.cars.map((_, at) => plan.cars[(turn + at) % plan.cars.length] ?? '');
    const free = inTurn.filter((car) => !taken.includes(car));
    const needy = free.map((car) => ({ car, lacks: lacking(car) })).toSorted((a, b) => b.lacks - a.lacks);
    return needy[0]?.car ?? '';
  }

  private fail(day: number): never {
    const { floor, plan } = this;
    const diary = floor.diary.slice(-Number(process.env.PROPERTY_DIARY ?? 14)).join('\n  ');
    const wrong = [...new Set(floor.wrong)].slice(0, 6).join('\n  ');
    if (process.env.PROPERTY_DUMP !== undefined) {
      const lines = [...floor.jobs.values()].flatMap((one) =>
        one.lines.map((line) => `${one.id} ${JSON.stringify(line)}`),
      );
      writeFileSync(process.env.PROPERTY_DUMP, lines.join('\n'));
    }
    const states = CREWS.map(({ bay }) => floor.job(bay)).map(
      (job) => `${job?.bay} ${job?.id} ${job?.mode} ${job?.asked?.what} ${job?.asked?.step}`,
    );
    throw new Broken(
      `${plan.flow}, seed ${plan.seed}, day ${day}, input ${floor.inputs.length}\n  ${wrong}\ndone before:\n  ${diary}\n${states.join('\n')}`,
    );
  }

  private count(flow: Flow, line: Line): void {
    for (const event of line.events) {
      if (event.type === 'step-shown' && flow.id === this.plan.flow) add(this.counts.shown, event.step);
      if (event.type === 'step-completed' && event.gate !== null) add(this.counts.passed, event.step);
      if (event.type === 'refused') add(this.counts.refused, event.refusal.why);
    }
  }

  private async turn(): Promise<void> {
    const { chance, floor, counts } = this;
    const open = CREWS.filter(({ bay }) => floor.job(bay) !== null);
    const crew = chance.one(open);
    const scene = this.scene(crew);
    if (scene === null) return;
    await this.outages();
    const roll = chance.next();
    const rest = 1 - (counts.right + counts.lapses) / Math.max(1, counts.inputs);
    const scarce = rest < 0.2 ? this.mischiefs(scene).filter(({ scarce }) => scarce) : [];
    if (scarce.length > 0 && chance.odds(0.7)) return this.doMischief(scene, chance.one(scarce));
    const share = counts.lapses / Math.max(1, counts.inputs);
    const length = this.flow.steps.length < LONG ? 'short job' : 'long job';
    const most = LAPSES_OF[length];
    const common = most * (1 - RARE_PART[length]);
    // Some of what parking puts away lies about for two or three answers only.
    const park = share < most && chance.odds(0.25) && rarePark(scene, counts) ? PARK : null;
    if (park !== null) return this.lapse(scene, park);
    if (roll < RIGHT) return this.right(scene, open.length === 1);
    const rare = share < most ? rareLapse(scene, counts) : null;
    if (rare !== null && chance.odds(0.7)) return this.lapse(scene, rare);
    if (roll < RIGHT + common && share < common) return this.lapse(scene, chance.one(LAPSES));
    // Some room is left for what is met seldom.
    if (rest > 0.185) return;
    await floor.walk(floor.now + (2 + chance.upTo(20)) * 1000);
    const now = this.scene(crew);
    if (now !== null) await this.mischief(now);
  }

  private scene(crew: BayCrew): Scene | null {
    const { floor, chance, flow } = this;
    const job = floor.job(crew.bay);
    const other = CREWS.find((one) => one !== crew);
    if (job === null || other === undefined) return null;
    const { asked } = job;
    const shown = asked?.what === 'step' && !asked.ended ? asked : null;
    const step = shown === null ? null : (flow.steps.find((one) => one.id === shown.step) ?? null);
    const ask = shown === null ? null : (step?.asks[shown.answers.length] ?? null);
    const nowhere = new Map<string, string>();
    const world = worldOf(floor.register, {
      now: floor.now,
      elsewhere: nowhere,
      standbyElsewhere: nowhere,
      draw: 0,
    });
    const good = rightAnswer(job, flow, world, crew);
    // More than one answer may let the job go on, each another way.
    const ways = ask?.ask === 'choice' && good !== null ? goodOptions(job, ask) : [];
    const way = ways.length > 1 ? chance.one(ways) : null;
    // What dripped into a tray meanwhile is for the weather to say.
    const drips = ask?.ask === 'reading' && ask.name.startsWith('tray-') && good !== null;
    const words = drips ? `${10 * chance.upTo(40)} ml` : (way?.say ?? null);
    const right: Said | null =
      words === null || good === null ? good : { by: good.by, body: { is: 'text', text: words } };
    return { floor, chance, job, flow, crew, other, asked, step, ask, right };
  }

  private async right(scene: Scene, alone: boolean): Promise<void> {
    const { floor, chance, counts } = this;
    const { crew } = scene;
    const pause = (8 + chance.upTo(22)) * 1000;
    await floor.walk(this.readyAt(scene) ?? floor.now + pause);
    const now = this.scene(crew);
    if (now === null) return;
    if (now.right === null) {
      const wake = floor.desk.nextWake();
      // The other bay goes on meanwhile.
      if (wake === null && alone)
        floor.wrong.push(`${crew.bay}: nobody says anything, and nothing is waited for`);
      else if (wake !== null && (alone || chance.odds(0.2))) await floor.walk(Math.max(wake, floor.now));
      return;
    }
    counts.right++;
    counts.inputs++;
    if (chance.odds(0.002)) return floor.cutDuring(crew.bay, now.right, 1 + chance.upTo(8));
    await floor.say(crew.bay, now.right, 'right');
  }

  /** A pressure is read when its time is up, not before. */
  private readyAt({ ask, job }: Scene): number | null {
    if (ask?.ask !== 'reading' || ask.name !== 'p-end') return null;
    const from = job.readings['p-start']?.[0]?.at ?? 0;
    const minutes = job.values['vehicle.tight-minutes']?.quantity?.value ?? 0;
    return Math.max(from + minutes * MINUTE, this.floor.now);
  }

  private async lapse(scene: Scene, kind: Lapse): Promise<void> {
    const { floor, counts } = this;
    const lapse = kind.make(scene);
    if (lapse === null) return;
    counts.lapses++;
    counts.inputs++;
    if (lapse.doing !== null) await floor.say(lapse.bay ?? scene.crew.bay, lapse.doing, `lapse ${kind.name}`);
    if (lapse.minutes > 0) await floor.walk(floor.now + lapse.minutes * MINUTE);
  }

  private async mischief(scene: Scene): Promise<void> {
    const { chance, floor, counts } = this;
    const roll = chance.next();
    if (roll < 0.18) {
      const old = this.old();
      if (old === null) return;
      counts.inputs++;
      return floor.again(old);
    }
    if (roll < 0.22) {
      counts.inputs++;
      return floor.restart(chance.one([0, 0, 40, 400]));
    }
    if (roll < 0.26 && floor.channel.state === 'up') {
      this.outage = 1 + chance.upTo(4);
      return floor.channelTo(chance.one(['down', 'lost']));
    }
    const made = this.mischiefs(scene);
    const all = made.reduce((sum, { scarce }) => sum + (scarce ? 10 : 1), 0);
    let left = chance.next() * all;
    const drawn = made.find(({ scarce }) => {
      left -= scarce ? 10 : 1;
      return left < 0;
    });
    if (drawn !== undefined) await this.doMischief(scene, drawn);
  }

  /** What can be said wrong now; scarce is what has hardly ever been refused for that reason. */
  private mischiefs(scene: Scene): Wrong[] {
    return MISCHIEF.flatMap((kind) => {
      const doing = kind.make(scene);
      const met = kind.why === null ? ENOUGH : (this.counts.refused.get(kind.why) ?? 0);
      return doing === null ? [] : [{ kind, doing, scarce: met < ENOUGH }];
    });
  }

  private async doMischief({ crew }: Scene, { kind, doing }: Wrong): Promise<void> {
    this.counts.inputs++;
    await this.floor.say(crew.bay, doing, kind.name);
  }

  private old(): Input | null {
    // Longer than a day ago nobody delivers again.
    const recent = this.floor.inputs.filter((one) => one.saidAt > this.floor.now - 24 * 60 * MINUTE);
    if (recent.length === 0) return null;
    return this.chance.odds(0.6) ? this.chance.one(recent.slice(-3)) : this.chance.one(recent);
  }

  private async outages(): Promise<void> {
    if (this.floor.channel.state === 'up' || --this.outage > 0) return;
    await this.floor.channelTo('up');
  }

  /** Words that come late change nothing in a job that is done. */
  private async afterwards(): Promise<void> {
    const { floor } = this;
    await floor.channelTo('up');
    for (let turn = 0; turn < 3; turn++) {
      const old = this.old();
      if (old !== null) await floor.again(old);
    }
    if (this.chance.odds(0.2)) await floor.restart(0);
  }
}

/** What the register says of a car's variants; none where the car lacks something. */
export function choicesOf(register: Register, car: string): Readonly<Record<string, string>> {
  const ground = jobGround(register, car, '2');
  return typeof ground === 'string' ? {} : ground.choices;
}

/** Whether a car with these choices can ever be shown this step. */
export function canApply(flow: Flow, step: Step, choices: Readonly<Record<string, string>>): boolean {
  return step.when.every(({ reads, is }) => {
    if (!reads.startsWith('open:')) return choices[reads] === undefined || is.includes(choices[reads]);
    const makes = (one: Step) => one.makes.includes(reads.slice('open:'.length));
    const opens = (one: Step) => one.route === 'job' && makes(one) && canApply(flow, one, choices);
    return is.includes('no') || flow.steps.some(opens);
  });
}

/** The cars that a flow can be started with, of one variant only where it is given. */
export function carsOf(
  register: Register,
  flow: Flow,
  only: Readonly<Record<string, string>> = {},
): readonly string[] {
  const wanted = Object.entries(only);
  return [...register.cars.keys()].filter((car) => {
    const choices = choicesOf(register, car);
    if (wanted.some(([name, option]) => choices[name] !== option)) return false;
    return [...flow.choices.values()].every(
      ({ from, name, options }) => from !== 'vehicle' || options.includes(choices[name] ?? ''),
    );
  });
}
