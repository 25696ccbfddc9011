import { setTimeout as sleep } from 'node:timers/promises';
import { openSlack, type Slack } from '../../src/channel/slack/slack.js';
import type { FlowSource } from '../../src/desk/flow-source.js';
import type { Input } from '../../src/job/input.js';
import { openNodeDisk } from '../../src/journal/node-disk.js';
import type { Register } from '../../src/shop/register.js';
import type { Message } from '../channel/slack/standin/messages.js';
import { People, type Told } from '../channel/slack/standin/people.js';
import { deliver } from '../channel/slack/standin/signed.js';
import { StandIn } from '../channel/slack/standin/standin.js';
import { BOT } from '../channel/slack/standin/web-api.js';
import { lettersOf, openBare } from './bare.js';
import { bytesOf, Shop } from './shop.js';
import { openBareApp, SECRET } from './slack-bare.js';

export type Mode = 'socket' | 'http';

/** Both arms have a platform of their own, so that neither reads the other's messages. */
type Arm = {
  readonly standIn: StandIn;
  readonly people: People;
  readonly url: () => string;
  /** Posts in threads that have reached the platform. */
  posted: number;
};

const JPEG = Buffer.from([0xff, 0xd8, 0xff, 0xe0, 1, 2, 3]);
/** What an arm still has to do when its post has arrived is done before the other one begins. */
const REST_MS = 4;
const MOST_MESSAGES = 500;

const userOf = (person: string) => `U${person.toUpperCase().replaceAll('-', '')}`;
const channelOf = (bay: string) => `CBAY${bay}`;

/** A workshop that talks by the platform's stand-in, and beside it a bare handler that does as little as can be done. */
export class SlackBench {
  private size = 400;
  private sample: Message | null = null;

  private constructor(
    readonly shop: Shop,
    private readonly slack: Slack,
    private readonly own: Arm,
    private readonly bare: Arm & { stop(): Promise<void> },
    private readonly folder: string,
    private readonly mode: Mode,
  ) {}

  static async open(register: Register, flows: FlowSource, folder: string, mode: Mode): Promise<SlackBench> {
    const disk = openNodeDisk(folder);
    let now = () => 0;
    const own = await openArm(
      () => now(),
      () => address(slack.describe()),
    );
    let opened: Slack | null = null;
    const shop = await Shop.open(withAccounts(register), flows, disk, async ({ clock, register: of }) => {
      now = () => clock.now();
      opened = await openSlack({
        settings: {
          botToken: BOT.token,
          appToken: mode === 'socket' ? BOT.appToken : null,
          http: mode === 'http' ? { signingSecret: SECRET, port: 0, host: '127.0.0.1' } : null,
          apiUrl: own.standIn.api,
          foreman: channelOf('F'),
          shop: null,
        },
        ...{ disk, clock, register: () => of, lastAlive: null, report: () => undefined },
      });
      return opened.channel;
    });
    if (opened === null) throw new Error('the channel was not opened');
    const slack: Slack = opened;
    for (const [id, { name }] of shop.register.people) own.standIn.web.people.set(userOf(id), { name });
    await slack.start(shop.desk).ready;
    const write = openBare(folder, 'bare');
    const bench: { of: SlackBench | null } = { of: null };
    const bare = await openArm(Date.now, () => `http://127.0.0.1:${app.port}/slack/events`);
    const app = await openBareApp(bare.standIn.api, mode, {
      keep: () => void write(lettersOf(bench.of?.size ?? 400)),
      post: () => ({ text: bench.of?.sample?.text ?? '', blocks: bench.of?.sample?.blocks ?? [] }),
    });
    if (mode === 'socket')
      for (const [{ standIn }, most] of [
        [own, 2],
        [bare, 1],
      ] as const)
        await standIn.sockets.until(() => standIn.sockets.open.size >= most);
    const { standIn, people, url } = bare;
    const armed = Object.assign(bare, { standIn, people, url, stop: () => app.stop() });
    bench.of = new SlackBench(shop, slack, own, armed, folder, mode);
    return bench.of;
  }

  /** Milliseconds from each push to its post, one arm after the other. */
  async pair(bay: string, ownFirst: boolean): Promise<{ readonly own: number; readonly bare: number }> {
    const told = await this.next(bay);
    const before = bytesOf(this.shop, this.folder, bay) ?? 0;
    const own = async () => {
      const took = await this.answered(this.own, [told]);
      const grown = (bytesOf(this.shop, this.folder, bay) ?? 0) - before;
      if (grown > 0) this.size = grown;
      return took;
    };
    const bare = () => this.answered(this.bare, [this.toBare(told)]);
    if (ownFirst) {
      const first = await own();
      return { own: first, bare: await bare() };
    }
    const first = await bare();
    return { bare: first, own: await own() };
  }

  /** The same for one message in every bay, all at once, until the last post stands. */
  async round(ownFirst: boolean): Promise<{ readonly own: number; readonly bare: number }> {
    const told: Told[] = [];
    for (const bay of this.shop.bays) told.push(await this.next(bay));
    const own = () => this.answered(this.own, told);
    const bare = () =>
      this.answered(
        this.bare,
        told.map((one) => this.toBare(one)),
      );
    if (ownFirst) {
      const first = await own();
      return { own: first, bare: await bare() };
    }
    const first = await bare();
    return { bare: first, own: await own() };
  }

  /** So many notes in all bays at once; milliseconds from the first push to each acknowledgement. */
  async burst(count: number): Promise<readonly number[]> {
    const { bays } = this.shop;
    for (const bay of bays) await this.next(bay);
    const all = Array.from({ length: count }, (_, at) => {
      const bay = bays[at % bays.length] ?? '1';
      return this.says(bay, this.shop.desk.jobOf(bay)?.holder ?? '', `note number ${at}`);
    });
    const from = performance.now();
    return Promise.all(
      all.map(async (told) => {
        await this.acknowledged(this.own, told);
        return performance.now() - from;
      }),
    );
  }

  /** What the crew of a bay says next, as the platform tells of it. What time brings on the way is not measured. */
  private async next(bay: string): Promise<Told> {
    await this.shop.pass();
    await this.slack.tick();
    const { messages, calls } = this.own.standIn.web;
    this.sample =
      messages.all.findLast(({ bot_id, thread_ts }) => bot_id === BOT.bot && thread_ts !== undefined) ??
      this.sample;
    for (const arm of [this.own, this.bare])
      if (arm.standIn.web.messages.all.length > MOST_MESSAGES)
        arm.standIn.web.messages.all.splice(0, MOST_MESSAGES / 2);
    calls.length = 0;
    this.bare.standIn.web.calls.length = 0;
    const input = await this.shop.next(bay);
    return this.told(input);
  }

  private told({ bay, by, body }: Input): Told {
    if (body.is === 'text') return this.says(bay, by, body.text);
    if (body.is !== 'photo') throw new Error(`nobody sends a ${body.is}`);
    return this.own.people.shares(userOf(by), channelOf(bay), this.rootOf(bay), body.name, JPEG);
  }

  private says(bay: string, by: string, words: string): Told {
    return this.own.people.says(userOf(by), channelOf(bay), words, this.rootOf(bay));
  }

  /** The bare handler gets the same words; a picture it need not fetch. */
  private toBare({ payload }: Told): Told {
    const { event } = payload as { event: { channel: string; text: string; thread_ts: string } };
    return this.bare.people.says('UMARA', event.channel, event.text, event.thread_ts);
  }

  private rootOf(bay: string): string {
    const job = this.shop.desk.jobOf(bay)?.id ?? '';
    const root = this.roots.get(job);
    if (root !== undefined) return root;
    const head = this.own.standIn.web.messages.all.findLast(
      ({ bot_id, text, thread_ts }) => bot_id === BOT.bot && thread_ts === undefined && text.includes(job),
    );
    if (head === undefined) throw new Error(`the thread of ${job} was not opened`);
    this.roots.set(job, head.ts);
    return head.ts;
  }

  private readonly roots = new Map<string, string>();

  /** Pushes all of it and waits for as many posts in threads. */
  private async answered(arm: Arm, told: readonly Told[]): Promise<number> {
    const wanted = arm.posted + told.length;
    const from = performance.now();
    for (const one of told) this.push(arm, one);
    await arm.standIn.sockets.until(() => arm.posted >= wanted);
    const took = performance.now() - from;
    await sleep(REST_MS);
    return took;
  }

  private push(arm: Arm, told: Told): void {
    if (this.mode === 'socket') arm.standIn.sockets.push(told.type, told.payload);
    else void deliver(arm.url(), SECRET, told);
  }

  private async acknowledged(arm: Arm, told: Told): Promise<void> {
    if (this.mode === 'http') return void (await deliver(arm.url(), SECRET, told));
    const { sockets } = arm.standIn;
    const id = sockets.push(told.type, told.payload);
    await sockets.until(() => sockets.acks.has(id));
  }

  async close(): Promise<void> {
    await this.slack.stop();
    await this.shop.desk.close();
    await this.bare.stop();
    await this.own.standIn.close();
    await this.bare.standIn.close();
  }
}

async function openArm(now: () => number, url: () => string): Promise<Arm> {
  const standIn = await StandIn.open(now);
  const arm: Arm = { standIn, people: new People(standIn), url, posted: 0 };
  const { messages } = standIn.web;
  const store = messages.store.bind(messages);
  messages.store = (message) => {
    if (message.bot_id === BOT.bot && message.thread_ts !== undefined) arm.posted++;
    return store(message);
  };
  return arm;
}

const address = (described: string) =>
  `http://127.0.0.1:${/port (\d+)/.exec(described)?.[1] ?? ''}/slack/events`;

function withAccounts(register: Register): Register {
  const accounts = new Map([...register.people.keys()].map((id) => [`slack:${userOf(id)}`, id]));
  const bays = new Map(
    [...register.bays].map(([id, bay]) => [id, { ...bay, accounts: { slack: channelOf(id) } }]),
  );
  return { ...register, accounts, bays };
}
