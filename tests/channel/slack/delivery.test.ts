import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import { bayChannel, FOREMAN, SlackShop, userOf } from './shop.js';
import { limited, storedThen500 } from './standin/faults.js';
import { buttonsOf } from './standin/people.js';

let shop: SlackShop;
beforeEach(async () => {
  shop = await SlackShop.open('process');
});
afterEach(() => shop.close());

const start = (person = 'mara', bay = '1') => shop.say(person, `start disconnect-fuse DEMO-${bay}`, bay);
const texts = (bay = '1') => shop.posts(bay).map(({ text }) => text.split('\n')[0] ?? '');
const calls = (method: string) => shop.standIn.web.calls.filter((one) => one.method === method).length;

describe('a post whose fate is unknown', () => {
  test.each([
    ['stored, and the answer was a fault', storedThen500('chat.postMessage')],
    ['stored, and the line was cut', { method: 'chat.postMessage', does: 'cut', afterStore: true } as const],
    [
      'stored, and nobody ever answered',
      { method: 'chat.postMessage', does: 'hang', afterStore: true } as const,
    ],
    ['the line was cut before', { method: 'chat.postMessage', does: 'cut' } as const],
  ])('stands there once: %s', async (_, fault) => {
    await start();
    shop.standIn.web.faults.add({ ...fault });
    await shop.say('mara', 'note one');
    await shop.later(1);
    await shop.later(1);
    expect(texts().filter((text) => text.includes('Noted'))).toHaveLength(1);
    expect(texts().some((text) => text.includes('(again)'))).toBe(false);
  });

  test('a head post of unknown fate is found too, and no job has two threads', async () => {
    shop.standIn.web.faults.add(storedThen500('chat.postMessage'));
    await start();
    await shop.later(1);
    const heads = shop
      .inChannel(bayChannel('1'))
      .filter(({ text }) => text.includes('answered in this thread'));
    expect(heads).toHaveLength(1);
    expect(shop.posts()).toHaveLength(1);
  });

  test('a kill before it was written down that it arrived sends it no second time', async () => {
    await start();
    await shop.say('mara', 'note one');
    const before = texts();
    await shop.kill();
    await shop.start();
    await shop.later(1);
    expect(texts()).toEqual(before);
    expect(shop.inChannel(bayChannel('1'))).toHaveLength(2);
  });

  test('a kill before the head post was written down finds the thread again', async () => {
    await start();
    await shop.kill();
    await shop.disk.remove('slack/ledger.jsonl');
    await shop.start();
    await shop.later(1);
    await shop.say('mara', 'note one');
    await shop.later(1);
    expect(
      shop.inChannel(bayChannel('1')).filter(({ text }) => text.includes('answered in this thread')),
    ).toHaveLength(1);
  });
});

describe('where the platform keeps no marks', () => {
  beforeEach(() => {
    shop.standIn.web.level = { dropsMetadata: true };
  });

  test('a question goes again, marked, and is answered', async () => {
    await start();
    const [asked] = texts();
    await shop.goOn(() => shop.posts().length > 3);
    shop.standIn.web.faults.add(storedThen500('chat.postMessage'));
    const next = shop.next();
    if (next === null) throw new Error('nobody says anything');
    await shop.push(next);
    await shop.later(1);
    expect(shop.lastPost().text).toContain('(again)');
    expect(asked).not.toContain('(again)');
    await shop.goOn(() => shop.posts().length > 12);
  });

  test('what only tells goes at most once', async () => {
    await start();
    await shop.say('mara', 'stop');
    await shop.goOn(({ mode }) => mode === 'working');
    shop.standIn.web.faults.add(storedThen500('chat.postMessage'));
    await shop.say('mara', 'note one');
    await shop.later(1);
    expect(texts().filter((text) => text.includes('Noted')).length).toBeLessThanOrEqual(2);
  });
});

describe('a platform that limits us', () => {
  test('in one channel stalls no other, and the post arrives when the time is over', async () => {
    await start('mara', '1');
    await start('jory', '2');
    shop.standIn.web.faults.add(limited('chat.postMessage', 120, bayChannel('1')));
    await shop.say('mara', 'note one', '1');
    await shop.say('jory', 'note two', '2');
    expect(texts('2').at(-1)).toContain('Noted');
    expect(texts('1').at(-1)).not.toContain('Noted');
    await shop.later(1);
    const asked = calls('chat.postMessage');
    expect(texts('1').at(-1)).not.toContain('Noted');
    await shop.later(1.5);
    expect(texts('1').at(-1)).toContain('Noted');
    expect(calls('chat.postMessage')).toBe(asked + 1);
  });

  test('is not posted to faster than it asks for, and the order stays', async () => {
    await start();
    for (let at = 1; at <= 12; at++) await shop.say('mara', `note number ${at}`);
    expect(texts().length).toBeLessThan(12);
    for (let at = 0; at < 12; at++) await shop.later(0.05);
    expect(texts().filter((text) => text.includes('Noted'))).toHaveLength(12);
  });

  test('is told STOP whatever the pace', async () => {
    await start();
    for (let at = 1; at <= 3; at++) await shop.say('mara', `note number ${at}`);
    await shop.say('mara', 'STOP');
    expect(shop.lastPost().text).toContain('STOP');
    expect(shop.inChannel(FOREMAN)).toHaveLength(1);
  });
});

describe('hours without a line', () => {
  const lines = () => shop.posts().flatMap(({ text }) => text.split('\n'));
  const back = async () => {
    shop.standIn.mend();
    await shop.later(1);
    await shop.later(1);
  };

  test('cost no post and no second one: what waited is told together', async () => {
    await start();
    shop.standIn.cutOff();
    for (let at = 1; at <= 3; at++) await shop.say('mara', `note number ${at}`).catch(() => undefined);
    await shop.later(180);
    expect(shop.posts()).toHaveLength(1);
    await back();
    expect(lines().filter((line) => line.includes('Noted'))).toHaveLength(3);
    expect(texts().filter((text) => text.includes('Noted'))).toHaveLength(1);
  });

  test('leave one question, the one that is open now; what was judged meanwhile is all told, in order', async () => {
    await start();
    await shop.goOn(({ closed }) => Object.keys(closed).length > 1);
    const before = shop.posts().length;
    shop.standIn.web.cut = true;
    await shop.say('mara', 'note one');
    const next = shop.next();
    if (next === null) throw new Error('nobody says anything');
    await shop.push(next);
    await shop.say('mara', 'where');
    await shop.later(30);
    await back();
    const late = shop.posts().slice(before);
    expect(late).toHaveLength(1);
    expect(late[0]?.text).toMatch(/^Noted/);
    const { asked } = shop.desk.jobOf('1') ?? {};
    const [button] = buttonsOf(late[0] ?? {});
    if (button !== undefined) expect(JSON.parse(button.value)[1]).toBe(String(asked?.visit));
    // All of it was told: nothing is said again, and what is open now is answered.
    await shop.kill();
    await shop.start();
    await shop.later(1);
    expect(shop.posts()).toHaveLength(before + 1);
    const closed = Object.keys(shop.desk.jobOf('1')?.closed ?? {}).length;
    await shop.goOn((job) => Object.keys(job.closed).length > closed);
  });

  test('with a kill in them too are told once', async () => {
    await start();
    shop.standIn.web.cut = true;
    for (let at = 1; at <= 3; at++) await shop.say('mara', `note number ${at}`);
    await shop.later(10);
    await shop.kill();
    shop.standIn.mend();
    await shop.start();
    await shop.later(1);
    // It arrives, and dies with us before it is written down that it did.
    await shop.kill();
    await shop.start();
    await shop.later(1);
    expect(lines().filter((line) => line.includes('Noted'))).toHaveLength(3);
  });

  test('hold up no alert, and leave each where it was', async () => {
    await start();
    await shop.goOn(({ closed }) => Object.keys(closed).length > 4);
    const before = shop.posts().length;
    shop.standIn.web.cut = true;
    await shop.say('mara', 'note one');
    await shop.say('wilf', 'hold the rack is wet');
    await shop.say('orla', 'release looked at it, all dry');
    await shop.say('mara', 'STOP');
    await shop.later(120);
    await back();
    const late = shop.posts().slice(before);
    expect(late[0]?.text, 'the card goes first').toContain('STOP');
    expect(late.map(({ text }) => text).join('\n')).toMatch(/Noted.*rack is wet/s);
    const alerts = shop.inChannel(FOREMAN).map(({ text }) => text);
    const [held, stopped] = [/rack is wet/, /STOP/].map((words) =>
      alerts.findIndex((one) => words.test(one)),
    );
    expect(held).toBeGreaterThanOrEqual(0);
    expect(stopped).toBeGreaterThan(held ?? 0);
  });
});

describe('a platform that only knows the common methods', () => {
  const COMMON = ['auth.test', 'apps.connections.open', 'chat.postMessage'];

  test.each([
    ['threads can be read', [...COMMON, 'conversations.replies']],
    ['not even threads', COMMON],
  ])('carries the whole job all the same, and says what it lacks (%s)', async (_, only) => {
    shop.standIn.web.level = { only, dropsMetadata: true };
    await shop.kill();
    await shop.start();
    await start();
    await shop.push(shop.people.opensHome(userOf('orla')));
    await shop.goOn(({ closed }) => Object.keys(closed).length > 12);
    shop.standIn.web.faults.add(storedThen500('chat.postMessage'));
    await shop.goOn(() => false);
    expect(shop.desk.lastJobOf('1')?.mode).toBe('done');
    await shop.slack.tick();
    await shop.standIn.sockets.until(() => true);
    const last = shop.thread().map(({ text }) => text);
    expect(last.some((text) => text.includes('I may not upload files here'))).toBe(true);
    expect(shop.reports.join('\n')).toContain('takes no files');
    const rest = shop.reports.filter((words) => !/takes no files|cannot be read/.test(words));
    expect(rest).toEqual([]);
  });

  test('without blocks it is answered in text alone', async () => {
    await start();
    shop.standIn.web.faults.add({
      method: 'chat.postMessage',
      does: 'answer',
      status: 200,
      body: { ok: false, error: 'invalid_blocks' },
    });
    await shop.say('mara', 'note one');
    expect(shop.lastPost().text).toContain('Noted');
    expect(shop.lastPost().blocks).toBeUndefined();
  });
});

describe('a bot that is not in the channel', () => {
  test('is missed in words, once, and everything arrives when it is there', async () => {
    shop.standIn.web.rooms.delete(bayChannel('1'));
    await start();
    await shop.later(1);
    await shop.later(1);
    const told = shop.reports.filter((words) => words.includes('Invite the bot'));
    expect(told).toHaveLength(1);
    shop.standIn.web.rooms.set(bayChannel('1'), {});
    await shop.later(1);
    expect(shop.posts()).toHaveLength(1);
  });
});

describe('a disk that takes nothing', () => {
  test('lets nothing be acknowledged, and the same message counts when there is room', async () => {
    await start();
    shop.disk.full = true;
    const told = shop.said('mara', 'note one');
    expect(await shop.push(told)).toBe(false);
    expect(shop.lastPost().text).toContain('NOT TAKEN');
    shop.disk.full = false;
    expect(await shop.push(told)).toBe(true);
    expect(shop.journal()).toContain('note one');
  });
});
