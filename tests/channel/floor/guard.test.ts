import { mkdirSync } from 'node:fs';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { hostsOf } from '../../../src/channel/floor/guard.js';
import { tryOut } from '../bench.js';
import { type Browser, PHOTO } from './browser.js';
import { Shop } from './shop.js';

let shop: Shop;
let mara: Browser;
beforeAll(async () => {
  shop = await Shop.start(await tryOut(), { names: ['warden.workshop:8080'] });
  mara = await shop.phone('mara');
});
afterAll(() => shop.end());

const words = { bay: '1', thread: 'bay', seen: null, text: 'where' };
const say = (headers: Record<string, string>, key: string) => mara.post('/say', { ...words, key }, headers);

describe('who may make a browser send something', () => {
  const refused: readonly (readonly [string, Record<string, string>])[] = [
    ['a page of another site', { origin: 'http://elsewhere.example' }],
    ['a page on another port of this computer', { origin: 'http://127.0.0.1:1' }],
    ['a page without an origin of its own', { origin: 'null' }],
    ['a file', { origin: 'file://' }],
    ['a request that another site caused', { 'sec-fetch-site': 'cross-site' }],
    ['a request of a sister site', { 'sec-fetch-site': 'same-site' }],
    ['a form, which cannot set the header', { 'x-floor': '' }],
    ['a form without an origin', { origin: '', 'x-floor': '', 'sec-fetch-site': '' }],
  ];
  test.each(refused)('%s is refused', async (_, headers) => {
    const before = (await mara.newestPlace()) ?? '';
    expect((await say(headers, 'refused-0001')).status).toBe(403);
    expect((await mara.newestPlace()) ?? '').toBe(before);
  });

  test('a program without an origin is let in by the header', async () => {
    expect((await say({ origin: '', 'sec-fetch-site': '' }, 'program-0001')).status).toBe(204);
  });
});

describe('under which name the page may be opened', () => {
  const host = (name: string) => mara.ask('/live', { headers: { host: name } });

  test('a name that was turned to this computer is refused, reading and writing', async () => {
    expect((await host('rebound.example')).status).toBe(421);
    expect((await host(`rebound.example:${mara.port}`)).status).toBe(421);
    const headers = { host: 'rebound.example', origin: 'http://rebound.example' };
    expect((await say(headers, 'rebound-0001')).status).toBe(421);
  });

  test('this computer under another port is refused', async () => {
    expect((await host('127.0.0.1:1')).status).toBe(421);
  });

  test.each(['localhost', '127.0.0.1', '[::1]'])('%s is known', async (name) => {
    expect((await mara.ask('/photo/none', { headers: { host: `${name}:${mara.port}` } })).status).toBe(404);
  });

  test('listening on all addresses, each one of this computer is known and "all" is none', () => {
    const hosts = hostsOf('0.0.0.0', 4477, []);
    expect(hosts.has('127.0.0.1:4477')).toBe(true);
    expect(hosts.has('0.0.0.0:4477')).toBe(false);
    expect(hostsOf('192.168.7.7', 80, [])).toEqual(
      new Set(['127.0.0.1', 'localhost', '[::1]', '192.168.7.7'].flatMap((name) => [`${name}:80`, name])),
    );
  });

  test('a name from the settings is known, and its page may write', async () => {
    const headers = { host: 'warden.workshop:8080', origin: 'http://warden.workshop:8080' };
    expect((await say(headers, 'settings-0001')).status).toBe(204);
  });
});

describe('who may read', () => {
  test('another site may load neither the stream nor a photo nor a picture', async () => {
    for (const path of ['/live', '/pictures/1', '/photo/x', '/page.js']) {
      const headers = {
        'sec-fetch-site': 'cross-site',
        'sec-fetch-mode': 'no-cors',
        'sec-fetch-dest': 'image',
      };
      expect((await mara.ask(path, { headers })).status).toBe(403);
    }
    expect((await mara.ask('/live', { headers: { origin: 'http://elsewhere.example' } })).status).toBe(403);
  });

  test('a link in a message opens the page', async () => {
    const headers = {
      'sec-fetch-site': 'cross-site',
      'sec-fetch-mode': 'navigate',
      'sec-fetch-dest': 'document',
    };
    expect((await mara.ask('/', { headers })).status).not.toBe(403);
  });

  test('another site may not put the page into a frame', async () => {
    const headers = {
      'sec-fetch-site': 'cross-site',
      'sec-fetch-mode': 'navigate',
      'sec-fetch-dest': 'iframe',
    };
    expect((await mara.ask('/', { headers })).status).toBe(403);
  });
});

test('a stream is opened by reading it and by nothing else', async () => {
  expect((await mara.ask('/live', { method: 'HEAD' })).status).toBe(405);
});

describe('what every answer says', () => {
  test.each(['/', '/live', '/nothing', '/pictures/1', '/photo/x', '/as/x'])(
    '%s loads nothing from elsewhere and is not framed',
    async (path) => {
      const answer = path === '/live' ? (await mara.listen()).response : await mara.ask(path);
      expect(answer.headers['content-security-policy']).toBe(
        "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' blob: data:; connect-src 'self'; form-action 'none'; base-uri 'none'; frame-ancestors 'none'",
      );
      expect(answer.headers['x-content-type-options']).toBe('nosniff');
      expect(answer.headers['referrer-policy']).toBe('no-referrer');
      expect(answer.headers['access-control-allow-origin']).toBeUndefined();
      if ('destroy' in answer) answer.destroy();
    },
  );

  test('the cookie is kept from scripts and from other sites', async () => {
    const answer = await shop.browser().signIn({ person: 'jory', own: false });
    expect(answer.headers['set-cookie']?.[0]).toMatch(/^floor=[\w-]{43}; .*HttpOnly; SameSite=Strict$/);
  });
});

describe('how much is taken', () => {
  test('a message over 64 kB is refused, told or untold in its header', async () => {
    const body = JSON.stringify({ ...words, key: 'too-long-01', text: 'a'.repeat(70_000) });
    expect((await mara.ask('/say', { method: 'POST', body })).status).toBe(413);
    const headers = { 'content-length': '', 'transfer-encoding': 'chunked' };
    expect((await mara.ask('/say', { method: 'POST', body, headers })).status).toBe(413);
  });

  test('a photo over 8 MB is refused', async () => {
    const big = Buffer.concat([PHOTO, Buffer.alloc(8 * 1024 * 1024)]);
    expect((await mara.photo(big)).status).toBe(413);
  });

  test.each([
    ['text', Buffer.from('<script>alert(1)</script>')],
    ['a drawing that may hold a script', Buffer.from('<svg xmlns="http://www.w3.org/2000/svg"/>')],
    ['a moving picture', Buffer.from('GIF89a...')],
    ['nothing', Buffer.alloc(0)],
    ['sound in the wrapping of a photo', Buffer.from('RIFF\0\0\0\0WAVEfmt ')],
  ])('%s is no photo, whatever it calls itself', async (_, bytes) => {
    const answer = await mara.photo(bytes, {}, { 'content-type': 'image/jpeg' });
    expect(answer.status).toBe(415);
  });

  test('what is no message of the page is refused', async () => {
    for (const body of [
      '',
      '{',
      '[]',
      '{"key":"x"}',
      JSON.stringify({ ...words, key: 'unknown-01', more: 1 }),
    ])
      expect((await mara.ask('/say', { method: 'POST', body })).status).toBe(400);
    expect((await mara.say('where', { tap: { says: 'ok', visit: '1' } })).status).toBe(400);
    expect((await mara.say('where', { bay: '99' })).status).toBe(400);
  });

  test('the 21st message in ten seconds is refused, a stop never; then it goes again', async () => {
    const jory = await shop.phone('jory');
    const answers: number[] = [];
    for (let count = 0; count < 21; count++) answers.push((await jory.say('where', { bay: '2' })).status);
    expect(answers).toEqual([...Array(20).fill(204), 429]);
    expect((await jory.say('stop', { bay: '2' })).status).toBe(204);
    expect((await mara.say('where')).status).toBe(204);
    await shop.later(0.2);
    expect((await jory.say('where', { bay: '2' })).status).toBe(204);
  });
});

describe('files', () => {
  test('only the files of the page are served', async () => {
    for (const path of [
      '/../lock',
      '/..%2flock',
      '/%2e%2e/register/people.json',
      '/lock',
      '/index.html/..%2f..%2flock',
      '//etc/passwd',
    ])
      expect((await mara.ask(path)).status).toBe(404);
  });

  test('a photo that is asked for by anything but its hash is not found', async () => {
    mkdirSync(shop.page, { recursive: true });
    for (const hash of ['..%2Flock', 'a'.repeat(63), 'A'.repeat(64), 'f'.repeat(64)])
      expect((await mara.ask(`/photo/${hash}`)).status).toBe(404);
  });
});
