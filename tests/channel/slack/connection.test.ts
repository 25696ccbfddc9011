import { afterEach, describe, expect, test } from 'vitest';
import type { Job } from '../../../src/job/job.js';
import { bayChannel, type Mode, SlackShop, userOf } from './shop.js';
import { sign } from './standin/signed.js';
import { DISCONNECTS, envelope } from './standin/sockets.js';

let shop: SlackShop;
afterEach(() => shop.close());

const start = () => shop.say('mara', 'start disconnect-fuse DEMO-1');
const wordAsked = (job: Job) => {
  const step = shop.desk.flowOf('1')?.steps.find(({ id }) => id === job.asked?.step);
  return job.asked?.what === 'step' && step?.asks[job.asked.answers.length]?.ask === 'word';
};

/** A free text is asked for next, which would take anything. */
const fieldNext = (job: Job) => {
  const step = shop.desk.flowOf('1')?.steps.find(({ id }) => id === job.asked?.step);
  const ask = job.asked?.what === 'step' ? step?.asks[job.asked.answers.length + 1] : undefined;
  return ask?.ask === 'field' && ask.type === 'text';
};

describe('two sockets', () => {
  test.each(DISCONNECTS)('cost no word when the platform takes one of them away (%s)', async (reason) => {
    shop = await SlackShop.open('socket');
    await start();
    const { sockets } = shop.standIn;
    const [one] = sockets.open;
    const opened = sockets.opened;
    one?.send(JSON.stringify({ type: 'disconnect', reason, debug_info: {} }));
    await sockets.until(() => sockets.open.size === 1);
    await shop.say('mara', 'note while one was away');
    expect(shop.journal()).toContain('note while one was away');
    await sockets.until(() => sockets.open.size === 2 && sockets.opened > opened);
  });

  test('both dead without a word come back by themselves', async () => {
    shop = await SlackShop.open('socket');
    await start();
    shop.standIn.sockets.drop();
    await shop.backAgain();
    await shop.say('mara', 'note after that');
    expect(shop.journal()).toContain('note after that');
  });

  test('are let go when the program ends, and nothing more is heard', async () => {
    shop = await SlackShop.open('socket');
    await start();
    await shop.kill();
    await shop.standIn.sockets.until(() => shop.standIn.sockets.open.size === 0);
    await shop.start();
    expect(shop.standIn.sockets.open.size).toBe(2);
  });
});

describe('a platform that does not answer at first', () => {
  test('is asked until it does', async () => {
    shop = await SlackShop.open('process');
    await shop.kill();
    shop.standIn.web.faults.add({ method: 'auth.test', does: 'cut', times: 2 });
    await shop.start();
    await start();
    expect(shop.posts()).toHaveLength(1);
    expect(shop.reports.join('\n')).toContain('Slack does not answer yet');
  });
});

describe.each<Mode>(['socket', 'http'])('what was said while nobody listened (%s)', (mode) => {
  const away = async (said: () => void) => {
    if (mode === 'socket') shop.standIn.cutOff();
    else shop.standIn.web.cut = true;
    await shop.later(2);
    said();
    await shop.later(20);
    shop.standIn.mend();
    await shop.later(1);
    await shop.backAgain();
    await shop.later(1);
  };

  test('is read afterwards in the order in which it was said, once', async () => {
    shop = await SlackShop.open(mode);
    await start();
    await away(() => {
      for (const word of ['alpha', 'bravo', 'charlie']) shop.said('mara', `note ${word}`);
    });
    const words = [...shop.journal().matchAll(/"words":"note (\w+)"/g)].map(([, word]) => word);
    expect(words).toEqual(['alpha', 'bravo', 'charlie']);
    const told = shop.posts().filter(({ text }) => text.startsWith('Noted'));
    expect(told.length).toBeGreaterThan(0);
  });

  test('passes no gate: its word is asked for once more', async () => {
    shop = await SlackShop.open(mode);
    await start();
    await shop.goOn(wordAsked);
    const step = shop.desk.jobOf('1')?.asked?.step ?? '';
    const word = shop.desk.jobOf('1')?.asked?.word ?? '';
    if (mode === 'socket') shop.standIn.cutOff();
    else shop.standIn.web.cut = true;
    await shop.later(2);
    shop.said('mara', word);
    await shop.later(2);
    shop.standIn.mend();
    await shop.later(1);
    await shop.backAgain();
    await shop.later(1);
    expect(shop.desk.jobOf('1')?.closed[step]).toBeUndefined();
    expect(shop.journal()).toContain(`"words":"${word}"`);
    await shop.goOn(({ closed }) => closed[step] === true);
    expect(shop.desk.jobOf('1')?.closed[step]).toBe(true);
  });

  test('STOP counts, however late it is read', async () => {
    shop = await SlackShop.open(mode);
    await start();
    await away(() => shop.people.says(userOf('wilf'), bayChannel('1'), 'STOP'));
    expect(shop.desk.jobOf('1')?.mode).toBe('stopped');
  });

  test('starts no job that was wanted long ago', async () => {
    shop = await SlackShop.open(mode);
    await shop.later(2);
    await away(() => shop.people.says(userOf('jory'), bayChannel('2'), 'start disconnect-fuse DEMO-2'));
    expect(shop.desk.jobOf('2')).toBeNull();
    expect(shop.standIn.web.whispers.at(-1)?.text).toContain('once more');
  });
});

test('words that are read late do not fall on a question that came after them', async () => {
  shop = await SlackShop.open('process');
  await start();
  await shop.goOn(fieldNext, '1', 200);
  const answers = () => shop.desk.jobOf('1')?.asked?.answers.length ?? 0;
  shop.standIn.web.cut = true;
  await shop.later(2);
  const first = shop.next();
  await shop.later(2);
  shop.standIn.web.cut = false;
  // What was missed cannot be read at once; meanwhile the same is typed again.
  shop.standIn.web.faults.add({ method: 'conversations.replies', does: 'cut' });
  const second = shop.next();
  if (first === null || second === null) throw new Error('nobody says anything');
  await shop.push(second);
  const { step } = shop.desk.jobOf('1')?.asked ?? {};
  const given = answers();
  await shop.later(1);
  await shop.later(1);
  expect([shop.desk.jobOf('1')?.asked?.step, answers()]).toEqual([step, given]);
});

describe('requests over HTTP', () => {
  const post = (body: string, headers: Record<string, string>) =>
    fetch(`http://127.0.0.1:${shop.port}/slack/events`, {
      method: 'POST',
      body,
      headers: { 'content-type': 'application/json', ...headers },
    });
  const body = (ts: string) =>
    JSON.stringify(
      envelope(
        {
          type: 'message',
          channel: bayChannel('1'),
          user: userOf('mara'),
          text: 'start disconnect-fuse DEMO-1',
          ts,
        },
        'Ev1',
      ),
    );

  test.each([
    ['signed by somebody else', 'other', 0],
    ['signed long ago', 'shh', 3600],
  ])('%s are not heard', async (_, secret, age) => {
    shop = await SlackShop.open('http');
    const text = body('1772438400.000001');
    const answer = await post(text, sign(secret, text, Math.floor(Date.now() / 1000) - age));
    expect(answer.status).toBe(401);
    await shop.quiet();
    expect(shop.desk.jobOf('1')).toBeNull();
  });

  test('that cannot be kept are answered with a failure, and counted when they come again', async () => {
    shop = await SlackShop.open('http');
    await start();
    shop.disk.full = true;
    const told = shop.said('mara', 'note one');
    expect(await shop.push(told)).toBe(false);
    shop.disk.full = false;
    expect(await shop.push(told)).toBe(true);
    expect(shop.journal()).toContain('note one');
  });
});
