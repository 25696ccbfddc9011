import { afterEach, describe, expect, test } from 'vitest';
import { floorChannel } from '../../src/channel/floor/floor-channel.js';
import { openLedger } from '../../src/channel/floor/ledger.js';
import { openRoom } from '../../src/channel/script/room.js';
import { scriptChannel } from '../../src/channel/script/script-channel.js';
import { severalChannels } from '../../src/channel/several.js';
import { openSlack } from '../../src/channel/slack/slack.js';
import { VirtualClock } from '../../src/desk/clock.js';
import type { Channel } from '../../src/desk/port.js';
import { openMemoryDisk } from '../../src/journal/memory-disk.js';
import { MORNING } from '../desk/floor.js';
import { outPost } from './post.js';
import { bayChannel, FOREMAN, slackRegister } from './slack/shop.js';
import { StandIn } from './slack/standin/standin.js';
import { BOT } from './slack/standin/web-api.js';

/** What the desk takes for granted of every channel, with what makes it unreachable where it can be. */
type Case = { readonly channel: Channel; readonly clock: VirtualClock; readonly down: (() => void) | null };

const closing: (() => Promise<void>)[] = [];
afterEach(async () => {
  for (const close of closing.splice(0)) await close();
});

async function script(): Promise<Case> {
  const clock = new VirtualClock(MORNING);
  const channel = scriptChannel({ name: 'script', room: openRoom(), now: () => clock.now() });
  const down = () => {
    channel.state = 'down';
  };
  return { channel, clock, down };
}

async function floor(): Promise<Case> {
  const clock = new VirtualClock(MORNING);
  const ledger = await openLedger(openMemoryDisk(), clock.now());
  closing.push(() => ledger.close());
  return { channel: floorChannel(ledger, clock, () => undefined), clock, down: null };
}

async function slack(): Promise<Case> {
  const clock = new VirtualClock(MORNING);
  const standIn = await StandIn.open(() => clock.now());
  const register = await slackRegister();
  for (const room of [bayChannel('1'), bayChannel('2'), FOREMAN]) standIn.web.rooms.set(room, {});
  const opened = await openSlack({
    settings: {
      botToken: BOT.token,
      appToken: BOT.appToken,
      http: null,
      apiUrl: standIn.api,
      foreman: FOREMAN,
      shop: null,
    },
    ...{ disk: openMemoryDisk(), clock, register: () => register, lastAlive: null, report: () => undefined },
    fetch: standIn.fetch,
    send: standIn.fetch,
  });
  closing.push(async () => {
    await opened.stop();
    await standIn.close();
  });
  const down = () => {
    standIn.web.cut = true;
  };
  return { channel: opened.channel, clock, down };
}

async function both(): Promise<Case> {
  const [one, other] = [await floor(), await slack()];
  return { ...other, channel: severalChannels([one.channel, other.channel], async () => 'slack') };
}

describe.each([
  ['script', script],
  ['floor', floor],
  ['slack', slack],
  ['floor and slack', both],
] as const)('the channel of %s', (_, open) => {
  const of = (seq: number, more: Parameters<typeof outPost>[0] = {}) =>
    outPost({ key: `QM-2603-001:${seq}:bay`, lines: [[`line ${seq}`]], ...more });

  test('gives places that grow with every post', async () => {
    const { channel, clock } = await open();
    const places: string[] = [];
    for (let seq = 1; seq <= 12; seq++) {
      clock.moveTo(clock.now() + 2000);
      places.push(await channel.deliver(of(seq)));
    }
    expect(places).toEqual([...new Set(places)].sort());
  });

  test('finds a post that stands there where it was said to stand', async () => {
    const { channel, clock } = await open();
    const places = [await channel.deliver(of(1)), await channel.deliver(of(2))];
    clock.moveTo(clock.now() + 10_000);
    expect([await channel.find(of(1)), await channel.find(of(2))]).toEqual(places);
  });

  test('knows of a post that never came that it is not there', async () => {
    const { channel, clock } = await open();
    await channel.deliver(of(1));
    clock.moveTo(clock.now() + 10_000);
    expect(await channel.find(of(2))).toBeNull();
  });

  test('takes posts of several bays and of the foreman, each once', async () => {
    const { channel, clock } = await open();
    const posts = [
      of(1),
      { ...of(1, { bay: '2', key: 'QM-2603-002:1:bay' }), job: 'QM-2603-002' },
      of(2, { to: 'foreman', kind: 'alert', key: 'QM-2603-001:2:foreman' }),
    ];
    const places: string[] = [];
    for (const post of posts) places.push(await channel.deliver(post));
    clock.moveTo(clock.now() + 10_000);
    const found: (string | null)[] = [];
    for (const post of posts) found.push(await channel.find(post));
    expect(found).toEqual(places);
  });

  test('throws nothing but that it was not delivered, and says nothing of what it cannot look up', async () => {
    const { channel, clock, down } = await open();
    await channel.deliver(of(1));
    if (down === null) return expect(await channel.find(of(1))).not.toBeNull();
    down();
    clock.moveTo(clock.now() + 10_000);
    await expect(channel.deliver(of(2))).rejects.toMatchObject({ name: 'Undelivered' });
    await expect(channel.find(of(2))).rejects.toMatchObject({ name: 'Undelivered', code: 'unknown' });
  });
});
