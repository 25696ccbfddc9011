import { mkdirSync } from 'node:fs';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import { tryOut } from '../bench.js';
import { newKey, PHOTO } from './browser.js';
import { Shop } from './shop.js';

let shop: Shop;
beforeEach(async () => {
  shop = await Shop.start(await tryOut());
});
afterEach(() => shop.end());

const START = 'start try-out DEMO-1';
const journal = () => {
  const lines = [...shop.disk.files].filter(([path]) => path.startsWith('open/'));
  return lines.map(([, { bytes }]) => bytes.toString()).join('');
};

const photos = () =>
  [...shop.disk.files.keys()]
    .filter((path) => /^photos\/[0-9a-f]{64}$/.test(path))
    .map((path) => path.slice('photos/'.length));

describe('the page', () => {
  test('its files are served by name and asked for again only when they have changed', async () => {
    mkdirSync(shop.page, { recursive: true });
    shop.writePage('index.html', '<title>floor</title>');
    shop.writePage('page.js', 'let a;');
    shop.writePage('notes.txt', 'not for the page');
    await shop.restart();
    const browser = shop.browser();
    const html = await browser.ask('/');
    expect([html.status, html.text, html.headers['content-type']]).toEqual([
      200,
      '<title>floor</title>',
      'text/html; charset=utf-8',
    ]);
    const script = await browser.ask('/page.js');
    expect(script.headers['content-type']).toBe('text/javascript; charset=utf-8');
    const headers = { 'if-none-match': script.headers.etag ?? '' };
    expect((await browser.ask('/page.js', { headers })).status).toBe(304);
    expect((await browser.ask('/', { headers })).status).toBe(200);
    expect((await browser.ask('/notes.txt')).status).toBe(404);
  });

  test('without a built page it says how to build it', async () => {
    const answer = await shop.browser().ask('/');
    expect([answer.status, answer.text]).toEqual([404, 'The page is not built: npm run build']);
  });
});

describe('what somebody says', () => {
  test('is in the record as its speaker, with the words as they were typed', async () => {
    const mara = await shop.phone('mara');
    expect((await mara.say(START)).status).toBe(204);
    expect(shop.job().job.holder).toBe('mara');
    expect(journal()).toContain(`"by":"mara","name":"Mara Tillet","via":"floor"`);
    expect(journal()).toContain(START);
  });

  test('is nothing without a sign-in, and stands nowhere', async () => {
    const browser = shop.browser();
    const answer = await browser.say(START);
    expect([answer.status, answer.json.ask]).toEqual([401, 'sign-in']);
    const live = await browser.listen();
    await live.caughtUp();
    expect(live.ledger()).toEqual([]);
    live.close();
  });

  test('is taken once, however often it is sent', async () => {
    const mara = await shop.phone('mara');
    await mara.say(START);
    const key = newKey();
    for (let time = 0; time < 3; time++)
      expect((await mara.say('note half past nine', { key })).status).toBe(204);
    expect(journal().match(/note half past nine/g)).toHaveLength(1);
    const live = await mara.listen();
    await live.caughtUp();
    expect(live.of<{ words: string }>('said').map(({ words }) => words)).toEqual([
      START,
      'note half past nine',
    ]);
    live.close();
  });

  test('with a key that somebody else has used is taken all the same', async () => {
    const [mara, jory] = [await shop.phone('mara'), await shop.phone('jory')];
    await mara.say(START);
    const key = newKey();
    await jory.say('note by jory', { key });
    await mara.say('note by mara', { key });
    expect(journal()).toContain('note by jory');
    expect(journal()).toContain('note by mara');
  });

  test('a tap says its words for its owner', async () => {
    const mara = await shop.phone('mara');
    await mara.say(START);
    const visit = String(shop.job().job.asked?.visit);
    const tap = {
      key: newKey(),
      bay: '1',
      thread: 'bay',
      seen: await mara.newestPlace(),
      tap: { says: 'ok', visit },
    };
    expect((await mara.post('/say', tap)).status).toBe(204);
    expect(shop.job().job.waitingFor).not.toBeNull();
  });

  test('in the foreman thread is told to the bay and stands in the foreman thread', async () => {
    const [mara, orla] = [await shop.phone('mara'), await shop.phone('orla')];
    await mara.say(START);
    await mara.say('hold smells odd');
    expect((await orla.say('release looked at it', { thread: 'foreman' })).status).toBe(204);
    expect(shop.job().job.mode).toBe('working');
    const live = await orla.listen();
    await live.caughtUp();
    expect(live.of<{ thread: string; bay: string }>('said').at(-1)).toMatchObject({
      thread: 'foreman',
      bay: '1',
    });
    live.close();
  });

  test('without a bay is answered where it was said', async () => {
    const orla = await shop.phone('orla');
    const live = await orla.listen();
    expect((await orla.say('where', { bay: null, thread: 'shop' })).status).toBe(204);
    const post = await live.find(({ event }) => event === 'post');
    expect(post.data).toMatchObject({ thread: 'shop' });
    live.close();
  });
});

describe('stop', () => {
  test('stops the job from any page, by anybody, without a sign-in', async () => {
    const mara = await shop.phone('mara');
    await mara.say(START);
    const live = await mara.listen();
    expect((await shop.browser().say('STOP!')).status).toBe(204);
    expect(shop.job().job.mode).toBe('stopped');
    const said = await live.find(
      ({ event, data }) => event === 'said' && (data as { words: string }).words === 'STOP!',
    );
    expect(said.data).toMatchObject({ by: 'guest:floor' });
    const card = await live.find(
      ({ event, data }) => event === 'post' && (data as { kind: string }).kind === 'card',
    );
    expect(card.data).toMatchObject({ bay: '1', thread: 'bay' });
    live.close();
  });

  test('is not lost when the bay of the page is not there any more', async () => {
    const live = await shop.browser().listen();
    expect((await shop.browser().say('stop', { bay: 'gone' })).status).toBe(204);
    await live.find(({ event, data }) => event === 'post' && (data as { kind: string }).kind === 'card');
    live.close();
  });

  test('shows its card while the disk takes nothing', async () => {
    const mara = await shop.phone('mara');
    await mara.say(START);
    const live = await mara.listen();
    shop.disk.full = true;
    expect((await mara.say('stop')).status).toBe(409);
    await live.find(({ event, data }) => event === 'post' && (data as { kind: string }).kind === 'card');
    live.close();
  });
});

describe('a full disk', () => {
  test('takes nothing and says so; said again with the same key afterwards it is taken, and nothing is lost', async () => {
    const mara = await shop.phone('mara');
    await mara.say(START);
    const seen = await mara.newestPlace();
    const key = newKey();
    shop.disk.full = true;
    shop.disk.partial = 11;
    const answer = await mara.say('ok', { key, seen });
    expect([answer.status, answer.json.why]).toEqual([409, expect.stringContaining('say it again')]);
    expect(shop.job().job.waitingFor).toBeNull();
    shop.disk.full = false;
    expect((await mara.say('ok', { key, seen })).status).toBe(204);
    expect(shop.job().job.waitingFor).not.toBeNull();
    const before = await mara.listen();
    await before.caughtUp();
    before.close();
    // What could not be written while it was full was written afterwards, and reads as it did.
    await shop.restart();
    const after = await shop.browser().listen();
    await after.caughtUp();
    expect(after.ledger()).toEqual(before.ledger());
    expect(
      after.of<{ lines: string[][] }>('post').some(({ lines }) => lines.flat().join().includes('NOT TAKEN')),
    ).toBe(true);
    after.close();
  });
});

describe('a photo', () => {
  test('is on the disk under its hash before it is acknowledged, and in the record', async () => {
    const mara = await shop.phone('mara');
    await mara.say(START);
    const seen = (await mara.newestPlace()) ?? '';
    expect((await mara.photo(PHOTO, { seen })).status).toBe(204);
    const sha256 = /"photo":"([0-9a-f]{64})"/.exec(journal())?.[1] ?? '';
    // What a power cut leaves is what was flushed.
    await shop.crash();
    const kept = await shop.browser().ask(`/photo/${sha256}`);
    expect(kept.status).toBe(200);
    expect(kept.headers['content-type']).toBe('image/jpeg');
    expect(kept.headers['x-content-type-options']).toBe('nosniff');
    expect(photos()).toEqual([sha256]);
  });

  test('that nothing names goes with the first start after a day; one in the record stays, looked at again or not', async () => {
    const mara = await shop.phone('mara');
    // Before any job, no record names it.
    await mara.photo(PHOTO);
    await mara.say(START);
    const other = Buffer.concat([PHOTO, Buffer.from([1])]);
    await mara.photo(other, { seen: (await mara.newestPlace()) ?? '' });
    const named = /"photo":"([0-9a-f]{64})"/.exec(journal())?.[1] ?? '';
    const refused = photos().find((sha256) => sha256 !== named && !journal().includes(sha256)) ?? '';
    expect(photos().sort()).toEqual([named, refused].sort());
    await shop.restart();
    expect(photos()).toHaveLength(2);
    await shop.later(25 * 60);
    await shop.restart();
    expect(photos()).toEqual([named]);
    await shop.later(25 * 60);
    await shop.restart();
    expect(photos()).toEqual([named]);
  });

  test('that the disk does not take has no effect', async () => {
    const mara = await shop.phone('mara');
    await mara.say(START);
    const before = journal();
    shop.disk.full = true;
    expect((await mara.photo(PHOTO)).status).toBe(409);
    shop.disk.full = false;
    expect(journal()).toBe(before);
  });

  test('needs a sign-in and a bay', async () => {
    expect((await shop.browser().photo(PHOTO)).status).toBe(401);
    expect((await (await shop.phone('mara')).photo(PHOTO, { bay: '99' })).status).toBe(400);
  });
});

test('the pictures of a bay without a job are none', async () => {
  const answer = await shop.browser().ask('/pictures/1');
  expect([answer.status, answer.json]).toEqual([200, { pictures: [] }]);
});

test('what is edited in the register is taken over; an edit with faults is not, and is told', async () => {
  const { readFileSync, writeFileSync } = await import('node:fs');
  const path = join(shop.data, 'register/people.json');
  const text = readFileSync(path, 'utf8');
  writeFileSync(path, text.replace('"Jory Pask"', '"Jory Paske"'));
  const jory = await shop.phone('jory');
  const live = await jory.listen();
  await live.caughtUp();
  expect(live.of<{ me: { name: string } }>('hello')[0]?.me.name).toBe('Jory Paske');
  live.close();
  writeFileSync(path, text.replace('"foreman"', '"forman"'));
  await jory.signIn({ person: 'jory', own: true });
  expect(shop.printed.join('\n')).toMatch(/people\.json:\d+:\d+: /);
});
