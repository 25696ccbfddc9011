import type { App, Receiver } from '@slack/bolt';
import { settled, walkClock } from '../../../src/channel/script/walk.js';
import { openSlack, type Slack } from '../../../src/channel/slack/slack.js';
import { overTheLine, type Send } from '../../../src/channel/slack/web.js';
import { VirtualClock } from '../../../src/desk/clock.js';
import { Desk } from '../../../src/desk/desk.js';
import type { FlowSource } from '../../../src/desk/flow-source.js';
import { NotTaken } from '../../../src/desk/port.js';
import { memoryShop } from '../../../src/desk/shops.js';
import type { Flow } from '../../../src/flow/flow.js';
import type { Body } from '../../../src/job/input.js';
import type { Job } from '../../../src/job/job.js';
import { openMemoryDisk } from '../../../src/journal/memory-disk.js';
import type { Register } from '../../../src/shop/register.js';
import { worldOf } from '../../../src/shop/world.js';
import { rightAnswer } from '../../crew/crew.js';
import { crewOf, fieldAnswer, isHeld } from '../../desk/crew.js';
import { demoRegister, flowTexts, MINUTE, MORNING, provedFlows } from '../../desk/floor.js';
import type { Message } from './standin/messages.js';
import { People, type Told } from './standin/people.js';
import { deliver } from './standin/signed.js';
import { StandIn } from './standin/standin.js';
import { BOT } from './standin/web-api.js';

export const MODES = ['socket', 'http', 'process'] as const;
export type Mode = (typeof MODES)[number];

const SECRET = 'shh';
const HELD_MINUTES = 14;
/** The real one waits 3 s. */
const ACK_MS = 1500;
/** Smallest JPEG as far as anybody looks. */
const JPEG = Buffer.from([0xff, 0xd8, 0xff, 0xe0, 1, 2, 3]);

/** The account of a person of the register. */
export const userOf = (person: string): string => `U${person.toUpperCase()}`;
export const bayChannel = (bay: string): string => `CBAY${bay}`;
export const FOREMAN = 'CFOREMAN';

/** The demo workshop with a channel for each bay and an account for everybody. */
export async function slackRegister(): Promise<Register> {
  const register = await demoRegister();
  const accounts = new Map([...register.people.keys()].map((id) => [`slack:${userOf(id)}`, id]));
  const bays = new Map(
    [...register.bays].map(([id, bay]) => [id, { ...bay, accounts: { slack: bayChannel(id) } }]),
  );
  return { ...register, accounts, bays };
}

/** Events in one process, as a receiver of the app. */
class InProcess implements Receiver {
  app: App | null = null;
  init(app: App): void {
    this.app = app;
  }
  async start(): Promise<void> {}
  async stop(): Promise<void> {}

  /** What the last acknowledgement carried. */
  answered: unknown;

  /** Whether it was acknowledged. */
  async push({ payload }: Told): Promise<boolean> {
    let acked = false;
    const ack = async (answer?: unknown) => {
      acked = true;
      this.answered = answer;
    };
    await this.app?.processEvent({ body: payload as Record<string, unknown>, ack }).catch(() => undefined);
    return acked;
  }
}

/** A workshop that talks by the platform's stand-in. The stand-in, the disk and the clock outlive the program. */
export class SlackShop {
  readonly disk = openMemoryDisk();
  readonly clock = new VirtualClock(MORNING);
  readonly people: People;
  readonly reports: string[] = [];
  readonly alarms: string[] = [];
  private readonly shop: ReturnType<typeof memoryShop>;
  private readonly flying = new Set<Promise<unknown>>();
  private receiver = new InProcess();
  private opened: { desk: Desk; slack: Slack } | null = null;
  private timeoutMs = 1000;
  private life = 0;
  /** Draws the first word of each gate unless a test wants chance. */
  draw: ((hash: string) => number) | undefined;

  private constructor(
    readonly standIn: StandIn,
    readonly register: Register,
    private readonly flows: FlowSource,
    readonly mode: Mode,
  ) {
    this.people = new People(standIn);
    this.shop = memoryShop(register);
  }

  static async open(mode: Mode = 'process', timeoutMs = 1000): Promise<SlackShop> {
    const register = await slackRegister();
    const flows = await provedFlows(flowTexts());
    let now = () => MORNING;
    const standIn = await StandIn.open(() => now());
    const shop = new SlackShop(standIn, register, flows, mode);
    now = () => shop.clock.now();
    shop.timeoutMs = timeoutMs;
    for (const [id, { name }] of register.people) standIn.web.people.set(userOf(id), { name });
    for (const bay of register.bays.keys()) standIn.web.rooms.set(bayChannel(bay), {});
    standIn.web.rooms.set(FOREMAN, {});
    await shop.start();
    return shop;
  }

  get desk(): Desk {
    if (this.opened === null) throw new Error('the shop is closed');
    return this.opened.desk;
  }

  get slack(): Slack {
    if (this.opened === null) throw new Error('the shop is closed');
    return this.opened.slack;
  }

  flow(id: string): Flow | null {
    return this.flows.current(id);
  }

  get port(): string {
    return /port (\d+)/.exec(this.slack.describe())?.[1] ?? '';
  }

  async start(): Promise<void> {
    const { disk, clock, standIn, mode } = this;
    this.receiver = new InProcess();
    const alive = Number((await disk.read('alive'))?.toString() ?? '');
    const slack = await openSlack({
      settings: {
        botToken: BOT.token,
        appToken: mode === 'socket' ? BOT.appToken : null,
        http: mode === 'http' ? { signingSecret: SECRET, port: 0, host: '127.0.0.1' } : null,
        apiUrl: standIn.api,
        foreman: FOREMAN,
        shop: null,
      },
      disk,
      clock,
      register: () => this.register,
      lastAlive: alive > 0 ? alive : null,
      report: (words) => this.reports.push(words),
      alarm: (words) => this.alarms.push(words),
      timeoutMs: this.timeoutMs,
      pingMs: 300,
      ...(mode === 'process' ? { receiver: this.receiver } : {}),
      fetch: this.ofThisLife(mode === 'process' ? standIn.fetch : fetch),
      send: this.ofThisLife<Send>(mode === 'process' ? standIn.fetch : overTheLine),
    });
    const { draw = () => 0 } = this;
    const desk = await Desk.open({
      disk,
      clock,
      channel: slack.channel,
      shop: this.shop,
      flows: this.flows,
      draw,
    });
    this.opened = { desk, slack };
    await slack.start(this.watched(desk)).ready;
    if (mode === 'socket') await standIn.sockets.until(() => standIn.sockets.open.size >= 2);
    await this.quiet();
  }

  /** A program that was killed sends nothing more. */
  private ofThisLife<F extends Send | typeof fetch>(send: F): F {
    const { life } = this;
    const alive = (...call: Parameters<F>) =>
      life === this.life ? Reflect.apply(send, undefined, call) : Promise.reject(new TypeError('killed'));
    return alive as F;
  }

  /** The program dies; what was not flushed is gone. */
  async kill(): Promise<void> {
    const { slack } = this;
    this.opened = null;
    this.life++;
    this.disk.crash();
    await slack.stop().catch(() => undefined);
  }

  async close(): Promise<void> {
    const { slack, desk } = this;
    await slack.stop();
    await desk.close();
    await this.standIn.close();
  }

  /** Tells the app without waiting for anything. */
  pushOff(told: Told): void {
    if (this.mode === 'process') void this.receiver.push(told);
    else if (this.standIn.sockets.open.size > 0) this.standIn.sockets.push(told.type, told.payload);
  }

  /** Tells the app; gives whether it acknowledged. */
  async push(told: Told): Promise<boolean> {
    const { mode, standIn } = this;
    if (mode === 'process') {
      const acked = await this.receiver.push(told);
      await this.quiet();
      return acked;
    }
    if (mode === 'http') {
      const { status } = await deliver(`http://127.0.0.1:${this.port}/slack/events`, SECRET, told);
      await this.quiet();
      return status === 200;
    }
    for (let retry_attempt = 0; ; retry_attempt++) {
      await standIn.sockets.until(() => standIn.sockets.open.size > 0);
      const id = standIn.sockets.push(told.type, told.payload, { retry_attempt });
      if (await this.acknowledged(id)) break;
    }
    await this.quiet();
    return true;
  }

  /** Whether it is acknowledged in time; else the platform sends it again. */
  private acknowledged(id: string): Promise<boolean> {
    const { sockets } = this.standIn;
    return new Promise((resolve) => {
      const late = setTimeout(() => resolve(sockets.acks.has(id)), ACK_MS);
      void sockets
        .until(() => sockets.acks.has(id))
        .then(() => {
          clearTimeout(late);
          resolve(true);
        });
    });
  }

  /** Nobody gets through, for what the bot takes for minutes. */
  async cutOff(minutes: number): Promise<void> {
    if (this.mode === 'socket') this.standIn.cutOff();
    else this.standIn.web.cut = true;
    await this.later(minutes);
    this.standIn.mend();
    if (this.mode === 'socket') await this.backAgain();
  }

  /** The sockets have found the platform again, and what was missed has been read. */
  async backAgain(): Promise<void> {
    const { sockets } = this.standIn;
    if (this.mode === 'socket') await sockets.until(() => sockets.open.size >= 2);
    await settled();
    await this.slack.tick();
    await this.quiet();
  }

  /** Uploads that were on their way have arrived. */
  async filesUp(): Promise<void> {
    await this.standIn.sockets.until(() =>
      [...this.standIn.web.files.values()].every(({ shown }) => shown !== null),
    );
  }

  /** Text of all journals. */
  journal(): string {
    return [...this.disk.files]
      .filter(([path]) => path.endsWith('.jsonl') && !path.startsWith('slack/'))
      .map(([, { bytes }]) => bytes.toString())
      .join('');
  }

  /** What only the sender of a command reads. */
  async ackOf(told: Told): Promise<unknown> {
    await this.push(told);
    return this.receiver.answered;
  }

  /** Nothing is on its way any more. */
  async quiet(): Promise<void> {
    await settled();
    while (this.flying.size > 0) {
      await Promise.allSettled([...this.flying]);
      await settled();
    }
  }

  async later(minutes: number): Promise<void> {
    await walkClock(this.desk, this.clock, this.clock.now() + minutes * MINUTE);
    await this.slack.tick();
    await this.quiet();
  }

  /** The head post of the bay's job, or of the one before. */
  headOf(bay: string): Message | undefined {
    const job = this.desk.lastJobOf(bay)?.id ?? '';
    return this.inChannel(bayChannel(bay)).findLast(
      ({ text, bot_id }) => bot_id === BOT.bot && text.includes(job),
    );
  }

  inChannel(channel: string): Message[] {
    return this.standIn.web.messages.all.filter(
      (one) => one.channel === channel && one.thread_ts === undefined,
    );
  }

  /** Everything in the thread of the bay's job, its head left out. */
  thread(bay = '1'): Message[] {
    const root = this.headOf(bay)?.ts;
    return this.standIn.web.messages.all.filter((one) => one.thread_ts === root && root !== undefined);
  }

  posts(bay = '1'): Message[] {
    return this.thread(bay).filter(({ bot_id }) => bot_id === BOT.bot);
  }

  lastPost(bay = '1'): Message {
    const last = this.posts(bay).at(-1);
    if (last === undefined) throw new Error('nothing was posted');
    return last;
  }

  /** Says something in the thread of the bay's job, or at channel level while it has none. */
  said(person: string, words: string, bay = '1'): Told & { ts: string } {
    const root = this.desk.jobOf(bay) === null ? undefined : this.headOf(bay)?.ts;
    return this.people.says(userOf(person), bayChannel(bay), words, root);
  }

  async say(person: string, words: string, bay = '1'): Promise<boolean> {
    return this.push(this.said(person, words, bay));
  }

  bodyTold(by: string, body: Body, bay = '1'): Told {
    if (body.is === 'text') return this.said(by, body.text, bay);
    if (body.is !== 'photo') throw new Error(`nobody sends a ${body.is}`);
    return this.people.shares(userOf(by), bayChannel(bay), this.headOf(bay)?.ts ?? '', body.name, JPEG);
  }

  /** What a good crew says next; null when only time can help. */
  next(bay = '1'): Told | null {
    const job = this.desk.jobOf(bay);
    const flow = this.desk.flowOf(bay);
    if (job === null || flow === null) return null;
    const nobody = { elsewhere: new Map(), standbyElsewhere: new Map() };
    const world = worldOf(this.register, { now: this.clock.now(), ...nobody, draw: 0 });
    if (job.checkIn?.askedAt != null && job.standby !== null) return this.said(job.standby, 'here', bay);
    const said = rightAnswer(job, flow, world, crewOf(this.register, job));
    return said === null ? null : this.bodyTold(said.by, fieldAnswer(job, flow, said), bay);
  }

  /** Goes on until the condition holds, a word a minute. */
  async goOn(until: (job: Job) => boolean, bay = '1', most = 500): Promise<number> {
    for (let turn = 0; turn < most; turn++) {
      const job = this.desk.jobOf(bay);
      if (job === null || until(job)) return turn;
      const flow = this.desk.flowOf(bay);
      // A pressure is read again when its time is over.
      if (flow !== null && isHeld(job, flow)) await this.later(HELD_MINUTES);
      const next = this.next(bay);
      if (next !== null) await this.push(next);
      const wake = this.desk.nextWake();
      const minutes = next === null && wake !== null ? (wake - this.clock.now()) / MINUTE : 1;
      await this.later(minutes);
    }
    throw new Error(
      `it does not come to that; it is at ${this.desk.jobOf(bay)?.asked?.step}: ${this.lastPost(bay).text}`,
    );
  }

  private watched(desk: Desk) {
    const flying = this.flying;
    return {
      jobOf: (bay: string) => desk.jobOf(bay),
      flowOf: (bay: string) => desk.flowOf(bay),
      bays: () => desk.bays(),
      receive: (...said: Parameters<Desk['receive']>) => {
        const run = desk.receive(...said);
        const seen = run.catch((error) => {
          if (!(error instanceof NotTaken)) throw error;
        });
        flying.add(seen);
        void seen.finally(() => flying.delete(seen));
        return run;
      },
    };
  }
}
