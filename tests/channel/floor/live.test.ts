import { createServer, IncomingMessage, request, ServerResponse } from 'node:http';
import { Socket } from 'node:net';
import { afterEach, beforeAll, beforeEach, describe, expect, test } from 'vitest';
import { parseEntry } from '../../../src/channel/floor/entry.js';
import { newestOfThreads } from '../../../src/channel/floor/ledger-files.js';
import { openSubscribers, SUBSCRIBER_LIMITS } from '../../../src/channel/floor/subscribers.js';
import { VirtualClock } from '../../../src/desk/clock.js';
import type { FlowSource } from '../../../src/desk/flow-source.js';
import { tryOut } from '../bench.js';
import { Browser, type Live } from './browser.js';
import { Shop } from './shop.js';

let flows: FlowSource;
beforeAll(async () => {
  flows = await tryOut();
});

let shop: Shop;
let mara: Browser;
beforeEach(async () => {
  shop = await Shop.start(flows);
  mara = await shop.phone('mara');
});
afterEach(() => shop.end());

const START = 'start try-out DEMO-1';
const heard = async (after: string | null = null): Promise<Live> => {
  const live = await shop.browser().listen(after);
  await live.caughtUp();
  return live;
};
const ledgerNow = async (after: string | null = null): Promise<string[]> => {
  const live = await heard(after);
  live.close();
  return live.ledger();
};
const words = (text: string) => (event: { event: string; data: unknown }) =>
  event.event === 'said' && (event.data as { words: string }).words === text;

describe('who listens', () => {
  test('is told first where it is, who is here, what can be started, and who it speaks for', async () => {
    const live = await mara.listen();
    await live.caughtUp();
    expect(live.events[0]?.event).toBe('hello');
    expect(live.of('hello')[0]).toMatchObject({
      name: 'Quillmoor Works',
      zone: 'Europe/Dublin',
      now: shop.clock.now(),
      me: { id: 'mara', name: 'Mara Tillet', own: true },
      shop: 'demo',
      first: true,
      flows: [{ id: 'try-out', title: 'Try out' }],
    });
    expect(live.of('hello')[0]?.cars).toContain('DEMO-1');
    live.close();
  });

  test('hears the same as everybody else, in the same order, whenever they came', async () => {
    const [one, other] = [await heard(), await heard()];
    await mara.say(START);
    await mara.say('where');
    await mara.say('note all well');
    await one.find(words('note all well'));
    const late = await ledgerNow();
    for (const live of [one, other]) {
      while (live.ledger().length < late.length)
        await live.find(({ id }) => id === late.at(-1)?.split(' ')[0]);
      expect(live.ledger()).toEqual(late);
      live.close();
    }
    expect(late.length).toBeGreaterThan(5);
    const places = late.map((entry) => entry.split(' ')[0]);
    expect(places).toEqual([...places].sort());
  });

  test('after a cut gets all that it has missed and nothing twice', async () => {
    await mara.say(START);
    const before = await ledgerNow();
    for (const text of ['note one', 'note two', 'note three']) await mara.say(text);
    const whole = await ledgerNow();
    for (let at = 0; at < whole.length; at++) {
      const place = whole[at]?.split(' ')[0] ?? '';
      expect(await ledgerNow(place)).toEqual(whole.slice(at + 1));
    }
    expect(before).toEqual(whole.slice(0, before.length));
    // A browser that comes again by itself says in a header what it heard last.
    const again = await shop.browser().listen(null, { 'last-event-id': whole.at(-2)?.split(' ')[0] ?? '' });
    await again.caughtUp();
    expect(again.ledger()).toEqual(whole.slice(-1));
    again.close();
  });

  test('is told how far it has come, and whether all of it was still there', async () => {
    await mara.say(START);
    const live = await heard('00000000000000.000000001');
    expect(live.of('caught-up')[0]).toMatchObject({ complete: true });
    live.close();
  });

  test('sees the board anew when something has changed, and not when nothing has', async () => {
    const live = await heard();
    await mara.say(START);
    const board = await live.find(
      ({ event, data }) =>
        event === 'board' && (data as { rows: { job: unknown }[] }).rows.some(({ job }) => job !== null),
    );
    expect(board.data).toMatchObject({ rows: [{ bay: '1', holder: 'Mara Tillet', attention: 1 }, {}, {}] });
    expect(live.of('board')).toHaveLength(2);
    live.close();
  });

  test('is told when a question is over, and finds that out too when it comes late', async () => {
    await mara.say(START);
    const live = await heard();
    const prompt = live
      .of<{ place: string; buttons: unknown[] }>('post')
      .find(({ buttons }) => buttons.length > 0);
    expect(live.of('gone')).toEqual([]);
    await mara.say('ok', { seen: await mara.newestPlace() });
    await live.find(({ event }) => event === 'gone');
    expect(live.of<{ place: string }>('gone')[0]?.place).toBe(prompt?.place);
    live.close();
    const late = await heard();
    expect(late.of<{ place: string }>('gone').map(({ place }) => place)).toContain(prompt?.place);
    late.close();
  });
});

describe('a page that does not read', () => {
  test('is let go when too much waits for it and holds nobody up; the others hear everything', async () => {
    const limits = { ...SUBSCRIBER_LIMITS, mostBytes: 200_000 };
    const subscribers = openSubscribers(limits);
    const server = createServer((_, response) => void subscribers.add(response, {}));
    await new Promise<void>((resolve) => server.listen(0, '127.0.0.1', () => resolve()));
    const address = server.address();
    const port = typeof address === 'object' && address !== null ? address.port : 0;
    const good = await new Browser(port).listen();
    const stuck = await new Promise<IncomingMessage>((resolve) =>
      request({ host: '127.0.0.1', port, agent: false }, resolve).end(),
    );
    stuck.pause();
    while (subscribers.count < 2) await new Promise(setImmediate);
    const words = 'x'.repeat(60_000);
    let sent = 0;
    while (subscribers.count > 1 && sent < 2000) {
      subscribers.send('said', { at: ++sent, words });
      await good.find(({ data }) => (data as { at: number }).at === sent);
    }
    expect(subscribers.count).toBe(1);
    const cut = new Promise<void>((resolve) => stuck.on('close', resolve).on('error', () => resolve()));
    stuck.resume();
    await cut;
    subscribers.send('said', { at: 'last' });
    await good.find(({ data }) => (data as { at: unknown }).at === 'last');
    expect(good.of('said')).toHaveLength(sent + 1);
    subscribers.close();
    server.close();
  });

  test('is refused where too many listen already', async () => {
    const subscribers = openSubscribers({ ...SUBSCRIBER_LIMITS, most: 0 });
    expect(subscribers.add(new ServerResponse(new IncomingMessage(new Socket())), {})).toBeNull();
    subscribers.close();
  });
});

describe('the ledger over ends of the program', () => {
  test('goes on where it was: same words, same places, later ones behind', async () => {
    await mara.say(START);
    const before = await ledgerNow();
    await shop.restart();
    expect(await ledgerNow()).toEqual(before);
    await (await shop.phone('mara')).say('note later');
    const after = await ledgerNow();
    expect(after.slice(0, before.length)).toEqual(before);
    expect((after.at(-1) ?? '') > (before.at(-1) ?? '')).toBe(true);
  });

  test('places go on when the clock was set back', async () => {
    await mara.say(START);
    const before = await ledgerNow();
    const back = new VirtualClock(shop.clock.now() - 86_400_000);
    await shop.restart(() => {
      shop.clock = back;
    });
    await shop.browser().say('stop');
    const after = await ledgerNow();
    expect((after[before.length] ?? '') > (before.at(-1) ?? '')).toBe(true);
  });

  test('a power cut that takes all that was not flushed loses no post that the job was told of, and gives no place twice', async () => {
    await mara.say(START);
    await mara.say('ok', { seen: await mara.newestPlace() });
    const before = await ledgerNow();
    const key = shop.job().job.id;
    await shop.crash();
    const after = await ledgerNow();
    const posts = (ledger: string[]) =>
      ledger
        .filter((entry) => entry.includes(`"key":"${key}:`))
        .map((entry) =>
          entry
            .replace(/^\S+ /, '')
            .replace(/"place":"[^"]*",/, '')
            .replace(/"at":\d+,/, ''),
        );
    expect(posts(after)).toEqual(posts(before));
    const places = new Set(before.map((entry) => entry.split(' ')[0]));
    const again = after.filter((entry) => places.has(entry.split(' ')[0]));
    for (const entry of again) expect(before).toContain(entry);
    // And the job goes on from a page that has drawn what stands there now.
    await shop.later(11);
    expect(
      (
        await (
          await shop.phone('mara')
        ).say('sun', { seen: (await mara.at(shop.floor.port).newestPlace()) ?? '' })
      ).status,
    ).toBe(204);
  });

  test('a line that the power tore does not take the next one with it', async () => {
    await mara.say(START);
    await shop.crash((unsynced) => Math.max(0, unsynced - 25));
    await (await shop.phone('mara')).say('note after the cut');
    await shop.restart();
    expect((await ledgerNow()).at(-2)).toContain('note after the cut');
  });

  test('a prompt of which nobody knows whether it arrived is asked for at the start and not told twice', async () => {
    await mara.say(START);
    const [file] = [...shop.disk.files.keys()].filter((path) => path.startsWith('open/'));
    const kept = shop.disk.files.get(file ?? '');
    // The told line of the journal is lost; the ledger has the post.
    const lines = kept?.bytes.toString().split('\n') ?? [];
    const untold = lines.filter((line) => line !== '' && !line.includes('"told":')).join('\n');
    await shop.restart(() => shop.disk.write(file ?? '', Buffer.from(`${untold}\n`)));
    const prompts = (await ledgerNow()).filter((entry) => entry.includes(':1:bay"'));
    expect(prompts).toHaveLength(1);
    expect(Object.values(shop.job().job.places)).toEqual([prompts[0]?.split(' ')[0]]);
    const phone = await shop.phone('mara');
    await phone.say('ok', { seen: await phone.newestPlace() });
    expect(shop.job().job.waitingFor).not.toBeNull();
  });

  test('what is older than a week goes, but for the newest of each thread', async () => {
    await mara.say('stop', { bay: '2' });
    for (let count = 0; count < 80; count++) {
      await mara.say(`stop ${count}`, { bay: '1' });
      await shop.later(0.01);
    }
    await shop.later(9 * 24 * 60);
    await shop.restart();
    const kept = await ledgerNow();
    expect(kept.some((entry) => entry.includes('"bay":"2"'))).toBe(true);
    const inBay = (entry: string) => /"bay":"1","thread":"bay"|"thread":"bay","bay":"1"/.test(entry);
    expect(kept.filter(inBay)).toHaveLength(60);
    expect(kept.some((entry) => entry.includes('stop 79'))).toBe(true);
    // What is left of days is of the last week: the posts of each day's opening and closing.
    const weekAgo = new Date(shop.clock.now() - 7 * 24 * 60 * 60_000).toISOString().slice(0, 10);
    const files = [...shop.disk.files.keys()].filter((path) => path.startsWith('floor/ledger-'));
    expect(files.filter((path) => path < `floor/ledger-${weekAgo}`)).toEqual([]);
    await shop.restart();
    expect(await ledgerNow()).toEqual(kept);
  });

  test('a line of the ledger that is none of ours is left out', () => {
    for (const line of ['', '{', '{"is":"post"}', '[]', 'null']) expect(parseEntry(line)).toBeNull();
    expect(newestOfThreads([], 60).size).toBe(0);
  });
});
