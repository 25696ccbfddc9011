import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { afterAll, afterEach, beforeAll, beforeEach, describe, expect, test } from 'vitest';
import { giveLink, givePin } from '../../../src/channel/floor/grant.js';
import type { FlowSource } from '../../../src/desk/flow-source.js';
import { flowTexts, provedFlows } from '../../desk/floor.js';
import { type Browser, PHOTO } from './browser.js';
import { Shop } from './shop.js';

let flows: FlowSource;
beforeAll(async () => {
  flows = await provedFlows(flowTexts());
});

let shop: Shop;
beforeEach(async () => {
  shop = await Shop.start(flows);
});
afterEach(() => shop.end());

const register = () => join(shop.data, 'register');
const pin = (person: string, said: string) => givePin(register(), person, said);

describe('a register without any PIN', () => {
  test('is signed into by name', async () => {
    expect((await shop.browser().signIn({ person: 'mara', own: true })).status).toBe(204);
    expect((await shop.browser().signIn({ person: 'nobody', own: true })).status).toBe(401);
  });

  test('opens no page on an address that others reach, and says what to do', async () => {
    await expect(Shop.start(flows, { host: '0.0.0.0' })).rejects.toThrow(
      /BAYWARDEN_HOST.*orla.*baywarden pin orla/,
    );
  });
});

describe('a register with PINs', () => {
  beforeEach(async () => {
    expect((await pin('mara', '4711')).ok).toBe(true);
  });

  test('asks for it, takes the right one and no other', async () => {
    const browser = shop.browser();
    const asked = await browser.signIn({ person: 'mara', own: true });
    expect([asked.status, asked.json.ask]).toEqual([403, 'pin']);
    for (const wrong of ['', '4712', '47110', '0'])
      expect((await browser.signIn({ person: 'mara', own: true, pin: wrong })).status).toBe(403);
    expect((await browser.signIn({ person: 'mara', own: true, pin: '4711' })).status).toBe(204);
    expect((await browser.say('where')).status).toBe(204);
  });

  test('lets nobody in by name alone who has none', async () => {
    const answer = await shop.browser().signIn({ person: 'orla', own: true });
    expect([answer.status, answer.json.ask]).toEqual([403, 'nothing']);
    expect(answer.json.why).toContain('baywarden pin orla');
  });

  test('takes no PIN at all, the right one included, after five wrong ones in a minute', async () => {
    const browser = shop.browser();
    const answers = await Promise.all(
      Array.from({ length: 8 }, (_, at) => browser.signIn({ person: 'mara', own: true, pin: `000${at}` })),
    );
    const why = answers.map(({ json }) => json.why);
    expect(why.filter((one) => one === 'That is not the PIN.')).toHaveLength(5);
    expect((await browser.signIn({ person: 'mara', own: true, pin: '4711' })).status).toBe(403);
    await shop.later(1.1);
    expect((await browser.signIn({ person: 'mara', own: true, pin: '4711' })).status).toBe(204);
  });

  test('keeps neither PIN nor link, only salted hashes, and no page is told those', async () => {
    await pin('jory', '4711');
    const link = (await giveLink(register(), 'mara', 'http://warden')).lines[0] ?? '';
    const token = link.split('/as/')[1] ?? '';
    const people = JSON.parse(readFileSync(join(register(), 'people.json'), 'utf8')) as {
      people: { id: string; pin?: { salt: string; hash: string }; link?: { salt: string; hash: string } }[];
    };
    const of = (id: string) => people.people.find((one) => one.id === id);
    expect(of('mara')?.pin?.hash).not.toBe(of('jory')?.pin?.hash);
    const secrets = [of('mara')?.pin, of('jory')?.pin, of('mara')?.link].flatMap((one) => [
      one?.salt ?? '',
      one?.hash ?? '',
    ]);
    expect(secrets.filter((one) => one.length >= 32)).toHaveLength(6);
    const mara = shop.browser();
    const entered = await mara.ask(`/as/${token}`);
    const cookie = entered.headers['set-cookie']?.[0]?.split(/[=;]/)[1] ?? '';
    await mara.say('start make-safe DEMO-1');
    const live = await mara.listen();
    await live.caughtUp();
    live.close();
    const told = JSON.stringify(live.events) + (await mara.ask('/pictures/1')).text;
    const kept = [...shop.disk.files].map(([, { bytes }]) => bytes.toString()).join('\n');
    for (const secret of [...secrets, '4711', token, cookie]) {
      expect(told).not.toContain(secret);
      expect(kept).not.toContain(secret);
    }
    expect(told).toContain('"pin":true');
  });
});

describe('a personal link', () => {
  const tokenOf = async (person: string) =>
    (await giveLink(register(), person, 'http://warden')).lines[0]?.split('/as/')[1] ?? '';

  test('signs its owner in on their own phone and leads to the page', async () => {
    const phone = shop.browser();
    const answer = await phone.ask(`/as/${await tokenOf('tamsin')}`);
    expect([answer.status, answer.headers.location]).toEqual([303, '/']);
    const live = await phone.listen();
    await live.caughtUp();
    expect(live.of<{ me: unknown }>('hello')[0]?.me).toEqual({
      id: 'tamsin',
      name: 'Tamsin Roake',
      own: true,
    });
    live.close();
  });

  test('that was replaced, cut short or made up opens nothing', async () => {
    const old = await tokenOf('tamsin');
    const now = await tokenOf('tamsin');
    for (const token of [old, now.slice(0, -1), `mara.${now.split('.')[1]}`, 'tamsin.', 'tamsin', '.'])
      expect((await shop.browser().ask(`/as/${token}`)).status).toBeGreaterThanOrEqual(403);
    expect((await shop.browser().ask(`/as/${now}`)).status).toBe(303);
  });
});

describe('a sign-in', () => {
  test('outlives a restart, ends by signing out, and on a shared screen with the shift', async () => {
    const [own, shared] = [shop.browser(), shop.browser()];
    await own.signIn({ person: 'mara', own: true });
    await shared.signIn({ person: 'jory', own: false });
    const say = async (browser: Browser) => {
      return (await browser.at(shop.floor.port).say('where')).status;
    };
    await shop.restart();
    expect([await say(own), await say(shared)]).toEqual([204, 204]);
    await shop.later(13 * 60);
    expect([await say(own), await say(shared)]).toEqual([204, 401]);
    expect((await own.at(shop.floor.port).post('/sign-out', {})).status).toBe(204);
    expect(await say(own)).toBe(401);
  });

  test('of somebody who has left the register is none', async () => {
    const pip = await shop.phone('pip');
    const path = join(register(), 'people.json');
    const { people } = JSON.parse(readFileSync(path, 'utf8')) as { people: { id: string }[] };
    const { writeFileSync } = await import('node:fs');
    writeFileSync(path, JSON.stringify({ people: people.filter(({ id }) => id !== 'pip') }));
    await shop.browser().signIn({ person: 'mara', own: true });
    expect((await pip.say('where')).status).toBe(401);
  });
});

describe('a shared screen', () => {
  const word = () => shop.job().job.asked?.word ?? '';
  let screen: Browser;

  /** The job stands before its first gate word, and Mara has signed in at the screen of the bay. */
  const beforeTheWord = async () => {
    const mara = await shop.phone('mara');
    await mara.say('start make-safe DEMO-1');
    await shop.until((job, flow) => {
      const step = flow.steps.find(({ id }) => id === job.asked?.step);
      return step?.asks[job.asked?.answers.length ?? 0]?.ask === 'word';
    });
    await pin('mara', '4711');
    await pin('tamsin', '0815');
    screen = shop.browser();
    await screen.signIn({ person: 'mara', own: false, pin: '4711' });
  };

  test('passes no gate without the PIN of its speaker', async () => {
    await beforeTheWord();
    const { step } = shop.job().job.asked ?? {};
    const seen = await screen.newestPlace();
    const closed = () => shop.job().job.closed[step ?? ''] === true;
    for (const said of [word(), word().toLowerCase(), `  ${word()}!`]) {
      const answer = await screen.say(said, { seen });
      expect([answer.status, answer.json.ask]).toEqual([403, 'pin']);
    }
    const wrong = await screen.say(word(), { seen, pin: '4712' });
    expect([wrong.status, wrong.json.ask]).toEqual([403, 'nothing']);
    expect(closed()).toBe(false);
    expect((await screen.say(word(), { seen, pin: '4711' })).status).toBe(204);
    expect(closed()).toBe(true);
  });

  test('asks no PIN for an ordinary answer, nor a phone of its own for a gate word', async () => {
    await beforeTheWord();
    expect((await screen.say('where')).status).toBe(204);
    const { step } = shop.job().job.asked ?? {};
    const mara = await shop.phone('mara').catch(() => null);
    const phone = mara ?? shop.browser();
    expect((await phone.say(word(), { seen: await phone.newestPlace() })).status).toBe(204);
    expect(shop.job().job.closed[step ?? '']).toBe(true);
  });

  test.each([
    ...[
      'release all clear',
      'take it',
      'I agree',
      'catch up to work/cover-off',
      'value discharge-wait 5 min book 2',
    ],
    ...['adopt discharge-wait 5 min book 2', 'call it off', 'lock removed he is at home', 'my lock is off'],
  ])('asks the PIN for words that are one person\'s to say: "%s"', async (said) => {
    await beforeTheWord();
    const { seq } = shop.job().job;
    const asked = await screen.say(said);
    expect([asked.status, asked.json.ask]).toEqual([403, 'pin']);
    expect((await screen.photo(PHOTO, { text: said })).json.ask).toBe('nothing');
    expect(shop.job().job.seq).toBe(seq);
    expect((await screen.say(said, { pin: '4711' })).status).toBe(204);
    expect(shop.job().job.seq).toBeGreaterThan(seq);
  });

  test("asks the PIN to correct a step of somebody else, and not to correct one of one's own", async () => {
    await beforeTheWord();
    expect((await screen.say('correct')).status).toBe(204);
    await pin('orla', '2718');
    const foreman = shop.browser();
    await foreman.signIn({ person: 'orla', own: false, pin: '2718' });
    expect((await foreman.say('correct barred')).json.ask).toBe('pin');
    expect((await foreman.say('where')).status).toBe(204);
  });

  test('a gate word from a page that has not drawn its prompt passes nothing', async () => {
    await beforeTheWord();
    const { step, seq } = shop.job().job.asked ?? { step: '', seq: 0 };
    const prompt = shop.job().job.places[seq] ?? '';
    const mara = await shop.phone('mara');
    for (const seen of [null, '', prompt.slice(0, -1), '99999999999999.999999999', 'z'])
      await mara.say(word(), { seen });
    await mara.say(word(), { seen: await mara.newestPlace(), thread: 'foreman' });
    expect(shop.job().job.closed[step]).not.toBe(true);
    await mara.say(word(), { seen: await mara.newestPlace() });
    expect(shop.job().job.closed[step]).toBe(true);
  });
});

describe("a second person's confirmation at a shared screen", () => {
  let main: Shop;
  beforeAll(async () => {
    main = await Shop.start(flows);
  });
  afterAll(() => main.end());

  test('needs the PIN of that person', async () => {
    const mara = await main.phone('mara');
    await main.phone('tamsin');
    await mara.say('start disconnect-fuse DEMO-1');
    const second = () => {
      const { job, flow } = main.job();
      const step = flow.steps.find(({ id }) => id === job.asked?.step);
      const ask = step?.asks[job.asked?.answers.length ?? 0];
      return ask?.ask === 'second-look' || (ask?.ask === 'reading' && ask.by === 'second');
    };
    await main.until(second);
    await givePin(join(main.data, 'register'), 'tamsin', '0815');
    const screen = main.browser();
    await screen.signIn({ person: 'tamsin', own: false, pin: '0815' });
    const before = main.job().job.asked?.answers.length ?? 0;
    const seen = await screen.newestPlace();
    const asked = await screen.say('0 V', { seen });
    expect([asked.status, asked.json.ask]).toEqual([403, 'pin']);
    expect((await screen.say('where')).status).toBe(403);
    expect(main.job().job.asked?.answers.length).toBe(before);
    expect((await screen.say('0 V', { seen, pin: '0815' })).status).toBe(204);
    expect(main.job().job.asked?.answers.length).toBe(before + 1);
  });
});

describe('many who guess at once', () => {
  test('are let in no faster than so many a minute for all together, and who waits is not told a wrong PIN', async () => {
    await pin('mara', '4711');
    const people = ['mara', 'tamsin', 'orla', 'jory', 'pip'];
    for (const person of people.slice(1)) await pin(person, '0815');
    const answers = await Promise.all(
      Array.from({ length: 60 }, (_, at) =>
        shop.browser().signIn({ person: people[at % people.length] ?? '', own: true, pin: '9999' }),
      ),
    );
    const why = answers.map(({ json }) => String(json.why));
    // Five a minute for each of the five are compared at most.
    expect(why.filter((one) => one === 'That is not the PIN.').length).toBeLessThanOrEqual(25);
    expect(why.filter((one) => /Too many|Many are/.test(one)).length).toBeGreaterThanOrEqual(35);
    shop.clock.moveTo(shop.clock.now() + 61_000);
    expect((await shop.browser().signIn({ person: 'mara', own: true, pin: '4711' })).status).toBe(204);
  });
});

describe('setting a PIN', () => {
  test.each(['', '123', 'abcd', '12 34', '1234567890123', '１２３４'])('"%s" is none', async (said) => {
    expect(await pin('mara', said)).toMatchObject({ ok: false });
  });
  test.each(['0000', '1234', '98765'])('%s is too easy', async (said) => {
    expect(await pin('mara', said)).toMatchObject({ ok: false });
  });
  test('names who there is when the person is unknown, and changes nothing', async () => {
    const before = readFileSync(join(register(), 'people.json'), 'utf8');
    expect((await pin('mra', '4711')).lines[0]).toContain('mara');
    expect(readFileSync(join(register(), 'people.json'), 'utf8')).toBe(before);
  });
});
