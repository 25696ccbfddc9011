import { DateTime } from 'luxon';
import { settled, walkClock } from '../../src/channel/script/walk.js';
import { VirtualClock } from '../../src/desk/clock.js';
import { Desk } from '../../src/desk/desk.js';
import type { FlowSource } from '../../src/desk/flow-source.js';
import type { Channel } from '../../src/desk/port.js';
import { memoryShop } from '../../src/desk/shops.js';
import type { Body, Input, Place } from '../../src/job/input.js';
import type { Job } from '../../src/job/job.js';
import { openMemoryDisk } from '../../src/journal/memory-disk.js';
import { boardOf } from '../../src/record/board.js';
import type { Register } from '../../src/shop/register.js';
import { worldOf } from '../../src/shop/world.js';
import type { Post } from '../../src/talk/post.js';
import { rightAnswer } from '../crew/crew.js';
import { crewOf, fieldAnswer } from '../desk/crew.js';
import { type Chance, chanceOf } from '../property/chance.js';
import { BAYS, MIX, withCar } from './workshop.js';

const MINUTE = 60_000;
const ZONE = 'Europe/Dublin';

/** What stood in a thread. */
export type Stood = { readonly at: number; readonly key: string; readonly post: Post; readonly text: string };

/** One of the kinds that are alerted at once, as whoever looks at the bay knows it. */
export type Urgent = {
  readonly at: number;
  readonly bay: string;
  readonly kind: 'stop' | 'hold' | 'gate' | 'limits';
};

/** What happened on a day, counted by who stood beside it. */
export type Day = {
  readonly date: string;
  started: number;
  done: number;
  parked: number;
  holds: number;
  stops: number;
  gates: number;
  limits: number;
  handovers: number;
  pauses: number;
};

/** How a bay stands by what was said in it, known to nobody but its crew. */
type Mode = 'free' | 'working' | 'paused' | 'held' | 'stopped' | 'offered' | 'parking' | 'parked';

type Bay = {
  readonly id: string;
  readonly late: boolean;
  nextAt: number;
  mode: Mode;
  car: string;
  holder: string;
  /** The other technician, who takes over at the change of shift. */
  other: string;
  /** Words that are still to come before the right answer. */
  queued: { readonly by: string; readonly words: string }[];
  /** Wrong words at the gate that is asked. */
  wrong: number;
  gate: string;
  lunch: string;
  change: string;
  stuck: { at: string; times: number };
};

export type Wrong = { readonly at: string; readonly what: string };

const START = '2026-03-23T06:55';
const DAYS = 14;

/** Two weeks of a workshop with twelve bays on the real desk, the same for the same seed. */
export class Fortnight {
  readonly clock = new VirtualClock(DateTime.fromISO(START, { zone: ZONE }).toMillis());
  readonly disk = openMemoryDisk();
  readonly wrong: Wrong[] = [];
  readonly urgent: Urgent[] = [];
  readonly days = new Map<string, Day>();
  readonly threads = new Map<string, Stood[]>();
  /** When a foreman said something: what comes of it was asked for. */
  readonly said: number[] = [];
  inputs = 0;
  looks = 0;
  cuts = 0;
  closings = 0;
  private readonly chance: Chance;
  private readonly keys = new Map<string, Place>();
  private readonly bays: Bay[];
  private register: Register;
  private places = 0;
  private cars = 0;
  private open: Desk | null = null;
  private upset = 0;
  private readonly shop;

  constructor(
    register: Register,
    private readonly flows: FlowSource,
    readonly seed: number,
  ) {
    this.register = register;
    this.chance = chanceOf(seed);
    const inMemory = memoryShop(register);
    this.shop = { ...inMemory, register: () => this.register };
    this.bays = BAYS.map((id, index) => ({
      id,
      late: index % 2 === 0,
      nextAt: this.clock.now() + (10 + index * 7) * MINUTE,
      mode: 'free',
      car: '',
      holder: `mara-${id}`,
      other: `jory-${id}`,
      queued: [],
      wrong: 0,
      gate: '',
      lunch: '',
      change: '',
      stuck: { at: '', times: 0 },
    }));
  }

  private get desk(): Desk {
    if (this.open === null) throw new Error('the desk is not open');
    return this.open;
  }

  private readonly channel: Channel = {
    name: 'fortnight',
    deliver: async ({ key, bay, post }) => {
      const place = String(++this.places).padStart(9, '0');
      if (this.keys.has(key)) this.fault(bay, `post ${key} was delivered twice`);
      this.keys.set(key, place);
      const thread = post.to === 'bay' ? bay : post.to;
      const text = post.lines
        .map((line) => line.map((part) => (typeof part === 'string' ? part : '@')).join(''))
        .join('\n');
      const posts = this.threads.get(thread) ?? [];
      posts.push({ at: this.clock.now(), key, post, text });
      this.threads.set(thread, posts);
      if (text.startsWith('End of day')) this.close(text);
      return place;
    },
    find: async ({ key }) => this.keys.get(key) ?? null,
  };

  async run(): Promise<void> {
    await this.start();
    const end = DateTime.fromMillis(this.clock.now(), { zone: ZONE }).plus({ days: DAYS }).toMillis();
    const cuts = [this.instant('2026-03-25T11:20'), this.instant('2026-04-01T17:45')];
    const upset = this.instant('2026-03-31T10:00');
    for (;;) {
      const bay = this.bays.reduce((first, one) => (one.nextAt < first.nextAt ? one : first));
      const at = Math.max(bay.nextAt, this.clock.now());
      const cut = cuts[0];
      if (cut !== undefined && cut <= at) {
        cuts.shift();
        await this.walk(cut);
        await this.cut();
        continue;
      }
      if (this.upset === 0 && upset <= at) {
        await this.walk(upset);
        await this.badMinutes();
        continue;
      }
      if (at > end) break;
      await this.walk(at);
      await this.act(bay);
      if (bay.mode === 'working' && isPrompt(this.desk, bay.id))
        bay.nextAt = Math.min(bay.nextAt, this.clock.now() + 2 * MINUTE);
      this.look(bay);
      if (this.inputs % 40 === 0) for (const one of this.bays) this.look(one);
      if (this.wrong.length > 20) break;
    }
    await this.walk(end);
  }

  private instant(local: string): number {
    return DateTime.fromISO(local, { zone: ZONE }).toMillis();
  }

  private async start(): Promise<void> {
    const { disk, clock, channel, shop, flows } = this;
    this.open = await Desk.open({ disk, clock, channel, shop, flows });
    await settled();
  }

  private async walk(to: number): Promise<void> {
    await walkClock(this.desk, this.clock, to);
  }

  /** The power goes: what was not flushed is gone. Nobody notices but by the clock. */
  private async cut(): Promise<void> {
    this.cuts++;
    const before = this.bays.map(({ id }) => this.rowOf(id));
    this.disk.crash();
    // The second time it takes a while until somebody comes.
    if (this.cuts === 2) this.clock.moveTo(this.clock.now() + 12 * MINUTE);
    await this.start();
    if (this.cuts === 1) {
      this.bays.forEach(({ id }, index) => {
        if (JSON.stringify(this.rowOf(id)) !== JSON.stringify(before[index]))
          this.fault(
            id,
            `another board after the power cut\n${JSON.stringify(before[index])}\n${JSON.stringify(this.rowOf(id))}`,
          );
      });
    }
  }

  /** Ten minutes in which something is wrong in most bays. */
  private async badMinutes(): Promise<void> {
    this.upset = this.clock.now();
    for (const bay of this.bays.slice(0, 8)) {
      await this.walk(this.clock.now() + MINUTE);
      if (bay.mode !== 'working' && bay.mode !== 'paused') continue;
      if (bay.id === '3') await this.stop(bay);
      else await this.hold(bay);
      this.look(bay);
    }
  }

  private async act(bay: Bay): Promise<void> {
    const now = DateTime.fromMillis(this.clock.now(), { zone: ZONE });
    const hours = this.hoursOf(bay, now);
    if (hours === null) {
      bay.nextAt = this.morning(bay, now);
      return;
    }
    bay.nextAt = this.clock.now() + this.pace(bay) * MINUTE;
    if (bay.mode === 'free') return this.begin(bay, now, hours);
    if (bay.mode === 'parked') return this.resume(bay);
    if (bay.mode === 'paused') return this.resume(bay);
    if (bay.mode === 'held' || bay.mode === 'stopped') return this.release(bay);
    if (bay.mode === 'offered') return this.take(bay);
    const next = bay.queued.shift();
    if (next !== undefined) {
      await this.say(bay, next.by, { is: 'text', text: next.words });
      return;
    }
    const left = hours.to.diff(now, 'minutes').minutes;
    if (bay.mode === 'working' && left < 25) return this.park(bay);
    if (bay.mode === 'working' && bay.late && this.isChange(bay, now)) return this.handOver(bay, now);
    if (bay.mode === 'working' && this.isLunch(bay, now)) return this.pause(bay, now);
    if (bay.mode === 'working' && this.chance.odds(0.001)) return this.hold(bay);
    if (bay.mode === 'working' && this.chance.odds(0.0004)) return this.stop(bay);
    await this.answer(bay);
  }

  /** The working day of a bay: the early shift, or both; null outside it. */
  private hoursOf(bay: Bay, now: DateTime): { readonly to: DateTime } | null {
    const { weekday } = now;
    if (weekday > 5) return null;
    const late = bay.late && weekday < 5;
    const from = now.set({ hour: 7, minute: 0, second: 0, millisecond: 0 });
    const to = late
      ? now.set({ hour: 22, minute: 45, second: 0 })
      : now.set({ hour: 15, minute: 25, second: 0 });
    // A job that is being left is left before anybody goes home.
    const end = bay.mode === 'parking' ? to.plus({ hours: 1 }) : to;
    return now >= from && now < end ? { to } : null;
  }

  private morning(bay: Bay, now: DateTime): number {
    let next = now.set({ hour: 7, minute: 2 + (Number(bay.id) % 9), second: 0, millisecond: 0 });
    while (next <= now || next.weekday > 5)
      next = next.plus({ days: 1 }).set({ hour: 7, minute: 2 + (Number(bay.id) % 9) });
    return next.toMillis();
  }

  private pace(bay: Bay): number {
    const quick = this.desk.jobOf(bay.id)?.flow ?? '';
    if (bay.mode === 'free') return 5 + this.chance.upTo(25);
    if (isPrompt(this.desk, bay.id)) return 1 + this.chance.upTo(2);
    return quick === 'disconnect-fuse' || quick === 'hv-cable' || bay.mode === 'parking'
      ? 1 + this.chance.upTo(2)
      : 3 + this.chance.upTo(7);
  }

  private async begin(bay: Bay, now: DateTime, hours: { readonly to: DateTime }): Promise<void> {
    if (hours.to.diff(now, 'minutes').minutes < 60) return;
    const kind = this.chance.one(MIX.flatMap((one) => Array<(typeof MIX)[number]>(one.part).fill(one)));
    const car = `FN-${++this.cars}`;
    this.register = withCar(this.register, car, this.chance.one(kind.like));
    const posts = await this.say(bay, bay.holder, { is: 'text', text: `start ${kind.flow} ${car}` });
    if (!posts.some(({ text }) => text.includes(car)))
      return this.fault(bay.id, `did not start:\n${posts.map(({ text }) => text).join('\n')}`);
    bay.mode = 'working';
    bay.car = car;
    this.day().started++;
  }

  private async pause(bay: Bay, now: DateTime): Promise<void> {
    bay.lunch = now.toISODate() ?? '';
    const posts = await this.say(bay, bay.holder, { is: 'text', text: 'pause' });
    if (!says(posts, 'Paused.')) return;
    bay.mode = 'paused';
    this.day().pauses++;
    bay.nextAt = this.clock.now() + (10 + this.chance.upTo(30)) * MINUTE;
  }

  private isLunch(bay: Bay, now: DateTime): boolean {
    return now.hour === 12 && bay.lunch !== now.toISODate();
  }

  private isChange(bay: Bay, now: DateTime): boolean {
    return now.hour === 15 && now.minute >= 15 && bay.change !== now.toISODate() && now.weekday < 5;
  }

  private async handOver(bay: Bay, now: DateTime): Promise<void> {
    bay.change = now.toISODate() ?? '';
    const posts = await this.say(bay, bay.holder, { is: 'text', text: `hand over ${bay.other}` });
    if (says(posts, 'Answer TAKE')) bay.mode = 'offered';
  }

  private async take(bay: Bay): Promise<void> {
    const posts = await this.say(bay, bay.other, { is: 'text', text: 'take' });
    if (!says(posts, 'holds the job now')) return;
    bay.mode = 'working';
    this.day().handovers++;
    [bay.holder, bay.other] = [bay.other, bay.holder];
  }

  private async resume(bay: Bay): Promise<void> {
    const posts = await this.say(bay, bay.holder, { is: 'text', text: 'resume' });
    if (says(posts, 'On again')) bay.mode = 'working';
  }

  private async park(bay: Bay): Promise<void> {
    const posts = await this.say(bay, bay.holder, { is: 'text', text: 'park' });
    if (says(posts, 'Parking:') || says(posts, 'To the landing first')) bay.mode = 'parking';
    this.parkedIn(bay, posts);
  }

  private parkedIn(bay: Bay, posts: readonly Stood[]): void {
    if (!says(posts, 'Parked.')) return;
    bay.mode = 'parked';
    this.day().parked++;
    bay.queued = [];
  }

  private async hold(bay: Bay): Promise<void> {
    this.urgent.push({ at: this.clock.now(), bay: bay.id, kind: 'hold' });
    this.day().holds++;
    await this.say(bay, `tamsin-${bay.id}`, { is: 'text', text: 'hold something creaks' });
    bay.mode = 'held';
    bay.queued = [];
    bay.nextAt = this.clock.now() + (4 + this.chance.upTo(14)) * MINUTE;
  }

  private async stop(bay: Bay): Promise<void> {
    this.urgent.push({ at: this.clock.now(), bay: bay.id, kind: 'stop' });
    this.day().stops++;
    await this.say(bay, `tamsin-${bay.id}`, { is: 'text', text: 'STOP' });
    bay.mode = 'stopped';
    bay.queued = [];
    bay.nextAt = this.clock.now() + (10 + this.chance.upTo(20)) * MINUTE;
  }

  private async release(bay: Bay): Promise<void> {
    const posts = await this.say(bay, 'orla', { is: 'text', text: 'release looked at, go on' });
    if (says(posts, 'Released by'))
      bay.mode = this.desk.jobOf(bay.id)?.route === 'park' ? 'parking' : 'working';
  }

  /** What a crew says to what it is asked; now and then something wrong first. */
  private async answer(bay: Bay): Promise<void> {
    const { desk, register } = this;
    const job = desk.jobOf(bay.id);
    const flow = desk.flowOf(bay.id);
    if (job === null || flow === null) return this.fault(bay.id, 'the job is gone');
    if (job.checkIn?.askedAt != null && job.standby !== null) {
      // One in ten does not hear it.
      if (!this.chance.odds(0.1)) await this.say(bay, job.standby, { is: 'text', text: 'here' });
      return;
    }
    const step = flow.steps.find(({ id }) => id === job.asked?.step);
    const ask =
      job.asked?.what === 'step' && !job.asked.ended ? step?.asks[job.asked.answers.length] : undefined;
    if (ask?.ask === 'word' && this.chance.odds(0.015)) return this.wrongWords(bay, job);
    if (
      ask?.ask === 'reading' &&
      ask.by !== 'second' &&
      ask.limits?.is === 'between' &&
      this.chance.odds(0.06)
    ) {
      const posts = await this.say(bay, job.holder, {
        is: 'text',
        text: `${this.chance.one(['0.1', '900'])} ${ask.unit}`,
      });
      return this.heldIn(bay, posts);
    }
    const crew = { ...crewOf(register, job), standby: `tamsin-${bay.id}` };
    const world = worldOf(register, {
      now: this.clock.now(),
      elsewhere: NONE,
      standbyElsewhere: NONE,
      draw: 0,
    });
    const next = rightAnswer(job, flow, world, crew);
    if (next === null) {
      bay.nextAt = this.clock.now() + (isPrompt(desk, bay.id) ? 2 : 8) * MINUTE;
      return;
    }
    this.getsOn(bay, job);
    const posts = await this.say(bay, next.by, fieldAnswer(job, flow, next));
    this.heldIn(bay, posts);
    this.parkedIn(bay, posts);
    if (posts.some(({ post }) => post.kind === 'summary')) {
      bay.mode = 'free';
      bay.car = '';
      this.day().done++;
      bay.nextAt = this.clock.now() + this.pace(bay) * MINUTE;
    }
  }

  private heldIn(bay: Bay, posts: readonly Stood[]): void {
    if (!says(posts, 'Leave it as it is, step back.')) return;
    bay.mode = 'held';
    this.day().limits++;
    this.urgent.push({ at: this.clock.now(), bay: bay.id, kind: 'limits' });
    bay.nextAt = this.clock.now() + (4 + this.chance.upTo(14)) * MINUTE;
  }

  /** Three words that pass no gate, one after the other. */
  private async wrongWords(bay: Bay, job: Job): Promise<void> {
    for (const words of ['ok', 'yes', 'done']) {
      await this.say(bay, job.holder, { is: 'text', text: words });
      this.look(bay);
    }
    this.urgent.push({ at: this.clock.now(), bay: bay.id, kind: 'gate' });
    this.day().gates++;
  }

  private getsOn(bay: Bay, job: Job): void {
    const at = `${job.id} ${job.asked?.step} ${job.asked?.answers.length} ${job.mode}`;
    bay.stuck = { at, times: bay.stuck.at === at ? bay.stuck.times + 1 : 1 };
    if (bay.stuck.times > 40)
      this.fault(bay.id, `does not get on at ${at}:\n${this.threads.get(bay.id)?.at(-1)?.text}`);
  }

  /** Says something in a bay and gives the posts that came of it there. */
  private async say(bay: Bay, by: string, body: Body): Promise<readonly Stood[]> {
    const posts = this.threads.get(bay.id) ?? [];
    this.threads.set(bay.id, posts);
    const before = posts.length;
    const name = this.register.people.get(by)?.name ?? by;
    const now = this.clock.now();
    const last = posts.at(-1)?.key;
    const seen = last === undefined ? '' : (this.keys.get(last) ?? '');
    const input: Input = {
      key: `fn:${++this.inputs}`,
      bay: bay.id,
      by,
      name,
      via: 'fortnight',
      saidAt: now,
      seen,
      marks: {},
      body,
    };
    if (by === 'orla') this.said.push(now);
    await this.desk.receive(input);
    await settled();
    return posts.slice(before);
  }

  private rowOf(id: string) {
    const { desk } = this;
    const bay = { bay: id, label: id, job: desk.jobOf(id), flow: desk.flowOf(id), shut: desk.shutOf(id) };
    return boardOf([bay], this.clock.now()).rows[0];
  }

  /** The board against what the crew knows. */
  private look(bay: Bay): void {
    this.looks++;
    const row = this.rowOf(bay.id);
    if (row === undefined) return this.fault(bay.id, 'not on the board');
    const shown = { car: row.job?.car ?? '', holder: row.job === null ? '' : row.holder };
    const holder = this.register.people.get(bay.holder)?.name ?? '';
    const known = bay.mode === 'free' ? { car: '', holder: '' } : { car: bay.car, holder };
    if (shown.car !== known.car || shown.holder !== known.holder)
      this.fault(bay.id, `shown as ${JSON.stringify(shown)}, is ${JSON.stringify(known)}`);
    const said = WORDS[bay.mode];
    const why = text(row.why);
    // That nobody is beside what is open comes before the break in which it is so.
    const alone = bay.mode === 'paused' && why.startsWith('Nobody is there');
    if (said !== null && !alone && !why.startsWith(said))
      this.fault(bay.id, `is ${bay.mode}, the board says "${why}"`);
    const calm = bay.mode === 'working' || bay.mode === 'parking';
    if (calm && OUT.some((word) => why.startsWith(word)))
      this.fault(bay.id, `is at work, the board says "${why}"`);
    const attention = bay.mode === 'stopped' ? 3 : bay.mode === 'held' ? 2 : null;
    if (attention !== null && row.attention !== attention)
      this.fault(bay.id, `${bay.mode} with attention ${row.attention}`);
    if (bay.mode === 'working' && row.asked !== null && row.step !== null) {
      const step = squeezed(text(row.step)).replace(/[.:?…]$/, '');
      const recent = (this.threads.get(bay.id) ?? []).slice(-40);
      // Before a step is shown a look may be due: then the look is what is asked.
      const asked = squeezed(text(row.asked));
      if (!recent.some((post) => [step, asked].some((words) => squeezed(post.text).includes(words))))
        this.fault(bay.id, `the board is at "${step}", the thread is not`);
    }
  }

  /** The post at closing against what stands in the bays at that moment, and what was done since the morning. */
  private close(said: string): void {
    this.closings++;
    const parked = this.bays.filter(({ mode }) => mode === 'parked');
    const open = this.bays.filter(({ mode }) => mode !== 'parked' && mode !== 'free');
    const counts = `${this.day().done} done, ${parked.length} parked, ${open.length} still open`;
    if (!said.includes(counts)) this.fault('all', `the day was ${counts}, the post says:\n${said}`);
    for (const { id, car } of [...parked, ...open])
      if (!squeezed(said).includes(`bay ${id}, ${car.toLowerCase()}`))
        this.fault(id, `${car} is not in the post of the day:\n${said}`);
  }

  private day(): Day {
    const date = DateTime.fromMillis(this.clock.now(), { zone: ZONE }).toISODate() ?? '';
    let day = this.days.get(date);
    if (day === undefined) {
      day = {
        date,
        started: 0,
        done: 0,
        parked: 0,
        holds: 0,
        stops: 0,
        gates: 0,
        limits: 0,
        handovers: 0,
        pauses: 0,
      };
      this.days.set(date, day);
    }
    return day;
  }

  private fault(bay: string, what: string): void {
    const at = DateTime.fromMillis(this.clock.now(), { zone: ZONE }).toFormat('ccc d LLL HH:mm');
    this.wrong.push({ at: `${at}, bay ${bay}`, what });
  }
}

const NONE: ReadonlyMap<string, string> = new Map();

/** Whoever watches a tray stands beside it, and so does the owner of a lock that is to come off. */
function isPrompt(desk: Desk, bay: string): boolean {
  const job = desk.jobOf(bay);
  if (job === null) return false;
  const step = desk.flowOf(bay)?.steps.find(({ id }) => id === job.asked?.step);
  return job.oldLock !== null || step?.asks[job.asked?.answers.length ?? 0]?.ask === 'watch';
}

/** How the board begins to say why, for each way a bay can stand; null where it need not say anything. */
const WORDS: Readonly<Record<Mode, string | null>> = {
  free: null,
  working: null,
  parking: null,
  paused: 'Paused',
  held: 'On hold',
  stopped: 'Stopped',
  // The standby may be asked for at the same time, which goes first.
  offered: null,
  parked: 'Parked',
};
const OUT = ['Paused', 'On hold', 'Stopped', 'Parked'];

const says = (posts: readonly Stood[], words: string) => posts.some(({ text }) => text.includes(words));

const squeezed = (words: string) => words.replace(/\s+/g, ' ').toLowerCase();

function text(line: readonly unknown[] | null): string {
  return (line ?? []).map((part) => (typeof part === 'string' ? part : '@')).join('');
}
