import { createHash } from 'node:crypto';
import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import type { Job } from '../../../src/job/job.js';
import { bayChannel, FOREMAN, SlackShop, userOf } from './shop.js';
import { buttonsOf } from './standin/people.js';
import { BOT } from './standin/web-api.js';

let shop: SlackShop;
beforeEach(async () => {
  shop = await SlackShop.open('process');
});
afterEach(() => shop.close());

const start = () => shop.say('mara', 'start disconnect-fuse DEMO-1');
const job = (): Job => {
  const of = shop.desk.jobOf('1');
  if (of === null) throw new Error('no job is under way');
  return of;
};

/** Whether the gate's own word is the next thing but `before` answers. */
const wordIn = (before: number) => (of: Job) => {
  const step = shop.desk.flowOf('1')?.steps.find(({ id }) => id === of.asked?.step);
  if (step === undefined || of.asked?.what !== 'step') return false;
  return step.asks.at(-1)?.ask === 'word' && step.asks.length - of.asked.answers.length === before + 1;
};
const gateWord = () => {
  const ask = shop.desk
    .flowOf('1')
    ?.steps.find(({ id }) => id === job().asked?.step)
    ?.asks.at(-1);
  if (ask?.ask !== 'word') throw new Error('no gate is shown');
  return ask.words[0] ?? '';
};
const confirms = (of: Job) => {
  const step = shop.desk.flowOf('1')?.steps.find(({ id }) => id === of.asked?.step);
  return (
    of.asked?.what === 'step' &&
    step?.kind === 'do' &&
    step.asks.length === 1 &&
    step.asks[0]?.ask === 'confirm' &&
    !step.photo
  );
};

describe('a job in its channel', () => {
  test('opens with a head post and lives in its thread', async () => {
    await start();
    const [head] = shop.inChannel(bayChannel('1')).filter(({ bot_id }) => bot_id === BOT.bot);
    expect(head?.text).toContain('Bay 1: DEMO-1, disconnect-fuse');
    expect(head?.text).toContain('Mara Tillet has it');
    expect(shop.posts()).toHaveLength(1);
    expect(shop.posts()[0]?.thread_ts).toBe(head?.ts);
  });

  test('a mention starts it too, and its two events are one input', async () => {
    const told = shop.people.says(
      userOf('mara'),
      bayChannel('1'),
      `<@${BOT.user}> start disconnect-fuse DEMO-1`,
    );
    await Promise.all([shop.push(shop.people.mention(told)), shop.push(told)]);
    expect(job().holder).toBe('mara');
    expect(shop.posts()).toHaveLength(1);
  });

  test('the same message any number of times has one effect', async () => {
    await start();
    const told = shop.said('mara', 'note one');
    for (let i = 0; i < 3; i++) expect(await shop.push(told)).toBe(true);
    expect(shop.journal().split('note one').length).toBe(2);
    expect(shop.posts()).toHaveLength(2);
  });

  test('two that arrive together are taken in the order in which they were said', async () => {
    await start();
    const [first, second] = [shop.said('mara', 'note first'), shop.said('mara', 'note second')];
    await Promise.all([shop.push(second), shop.push(first)]);
    const journal = shop.journal();
    expect(journal.indexOf('note first')).toBeGreaterThan(0);
    expect(journal.indexOf('note first')).toBeLessThan(journal.indexOf('note second'));
  });

  test('a second start in the bay is refused to its sender alone', async () => {
    await start();
    await shop.push(shop.people.says(userOf('jory'), bayChannel('1'), 'start disconnect-fuse DEMO-2'));
    expect(job().holder).toBe('mara');
    expect(shop.standIn.web.whispers.at(-1)).toMatchObject({
      user: userOf('jory'),
      text: expect.stringContaining('under way'),
    });
    expect(shop.posts()).toHaveLength(1);
  });

  test('talk in the channel beside the thread is left alone, and its technician is told where to answer', async () => {
    await start();
    await shop.push(shop.people.says(userOf('wilf'), bayChannel('1'), 'anybody for tea'));
    expect(shop.standIn.web.whispers).toEqual([]);
    await shop.push(shop.people.says(userOf('mara'), bayChannel('1'), 'done'));
    expect(shop.standIn.web.whispers).toMatchObject([{ user: userOf('mara') }]);
    expect(shop.posts()).toHaveLength(1);
  });

  test('STOP beside the thread freezes the job', async () => {
    await start();
    await shop.push(shop.people.says('UVISITOR', bayChannel('1'), 'STOP'));
    expect(job().mode).toBe('stopped');
    expect(shop.inChannel(FOREMAN).at(-1)?.text).toContain(`<@${userOf('orla')}>`);
  });

  test('what the foreman answers under an alert goes to the bay that it speaks of', async () => {
    await start();
    await shop.say('mara', 'STOP');
    const alert = shop.inChannel(FOREMAN).at(-1);
    await shop.push(shop.people.says(userOf('orla'), FOREMAN, 'release looked at it, all well', alert?.ts));
    expect(job().mode).not.toBe('stopped');
  });

  test('in the thread of a job that has ended nothing is taken for the next one', async () => {
    await start();
    const old = shop.headOf('1')?.ts;
    await shop.say('mara', 'call off wrong car');
    await shop.goOn(() => false);
    await start();
    expect(shop.headOf('1')?.ts).not.toBe(old);
    const before = shop.posts().length;
    await shop.push(shop.people.says(userOf('mara'), bayChannel('1'), 'ok', old));
    expect(shop.posts()).toHaveLength(before);
    expect(shop.standIn.web.whispers.at(-1)?.text).toContain('has ended');
  });
});

describe('a gate in the thread', () => {
  test('does not pass by a word that was said before its post stood there', async () => {
    await start();
    await shop.goOn(wordIn(1));
    const early = shop.said('mara', gateWord());
    const next = shop.next();
    if (next === null) throw new Error('nobody says anything');
    await shop.push(next);
    expect(wordIn(0)(job())).toBe(true);
    const { step } = job().asked ?? {};
    await shop.push(early);
    expect(job().asked?.step).toBe(step);
    expect(shop.lastPost().text).toContain('before the question');
    await shop.say('mara', gateWord());
    expect(job().closed[step ?? '']).toBe(true);
  });

  test.each([
    [
      'an edit',
      (of: SlackShop) => {
        const said = of.said('mara', 'hm');
        return of.people.edits(userOf('mara'), bayChannel('1'), said.ts, gateWord());
      },
    ],
    ['a quotation', (of: SlackShop) => of.said('mara', `&gt; ${gateWord()}`)],
    [
      'a forward',
      (of: SlackShop) =>
        of.people.says(userOf('mara'), bayChannel('1'), gateWord(), of.headOf('1')?.ts, {
          attachments: [{ is_share: true, text: 'x' }],
        }),
    ],
    [
      'another bot',
      (of: SlackShop) =>
        of.people.says('', bayChannel('1'), gateWord(), of.headOf('1')?.ts, {
          user: undefined,
          bot_id: 'BOTHER',
          subtype: 'bot_message',
        }),
    ],
    ['somebody else', (of: SlackShop) => of.said('wilf', gateWord())],
    ['the word after a mention', (of: SlackShop) => of.said('mara', `<@${BOT.user}> ${gateWord()}`)],
    [
      'the word with a file',
      (of: SlackShop) =>
        of.people.shares(
          userOf('mara'),
          bayChannel('1'),
          of.headOf('1')?.ts ?? '',
          'x.jpg',
          Buffer.from([0xff, 0xd8, 0xff, 1]),
          gateWord(),
        ),
    ],
    ['a thumb', (of: SlackShop) => of.people.reacts(userOf('mara'), of.lastPost(), '+1')],
    [
      'the word at channel level',
      (of: SlackShop) => of.people.says(userOf('mara'), bayChannel('1'), gateWord()),
    ],
    [
      'a button made up',
      (of: SlackShop) =>
        of.people.tapsButton(userOf('mara'), of.lastPost(), {
          action_id: 'say:0',
          value: JSON.stringify([job().id, String(job().asked?.visit), 'mara', gateWord()]),
          text: { text: 'OK' },
        }),
    ],
  ])('does not pass by %s', async (_, tell) => {
    await start();
    await shop.goOn(wordIn(0));
    const step = job().asked?.step ?? '';
    await shop.push(tell(shop));
    expect(job().closed[step]).toBeUndefined();
    expect(shop.desk.jobOf('1')?.asked?.step).toBe(step);
  });

  test('does not pass by an account that the workspace holds for a guest’s', async () => {
    shop.standIn.web.people.set(userOf('mara'), { name: 'Mara Tillet', restricted: true });
    await shop.kill();
    await shop.start();
    await shop.say('mara', 'start disconnect-fuse DEMO-1');
    expect(shop.desk.jobOf('1')).toBeNull();
    expect(shop.inChannel(bayChannel('1')).at(-1)?.text).toContain('not in the register');
  });
});

describe('a tap', () => {
  test('answers, and the post is drawn anew without its buttons', async () => {
    await start();
    await shop.goOn(confirms);
    const asked = shop.lastPost();
    const step = job().asked?.step ?? '';
    await shop.push(shop.people.taps(userOf('mara'), asked, 'OK'));
    expect(job().closed[step]).toBe(true);
    await shop.slack.tick();
    expect(buttonsOf(shop.standIn.web.messages.at(asked.channel, asked.ts) ?? {})).toEqual([]);
  });

  test('twice is once', async () => {
    await start();
    await shop.goOn(confirms);
    const asked = shop.lastPost();
    const [button] = buttonsOf(asked);
    if (button === undefined) throw new Error('there is no button');
    await shop.push(shop.people.tapsButton(userOf('mara'), asked, button));
    const { closed, asked: now } = job();
    await shop.push(shop.people.tapsButton(userOf('mara'), asked, button));
    expect(job().closed).toEqual(closed);
    expect(job().asked?.step).toBe(now?.step);
  });

  test('on a post of a job that has ended changes nothing in the next one', async () => {
    await start();
    await shop.goOn(confirms);
    const asked = { ...shop.lastPost() };
    await shop.say('mara', 'call off wrong car');
    await shop.goOn(() => false);
    await start();
    await shop.goOn(confirms);
    const { closed } = job();
    await shop.push(
      shop.people.tapsButton(userOf('mara'), asked, {
        action_id: 'say:0',
        value:
          buttonsOf({ blocks: JSON.parse(asked.first ?? '[]') })[0]?.value ??
          buttonsOf(asked)[0]?.value ??
          '',
        text: { text: 'OK' },
      }),
    );
    expect(job().closed).toEqual(closed);
    expect(shop.standIn.web.whispers.at(-1)?.text).toContain('has ended');
  });
});

describe('a reaction', () => {
  test('on the post of an ordinary step completes it', async () => {
    await start();
    await shop.goOn(confirms);
    const step = job().asked?.step ?? '';
    await shop.push(shop.people.reacts(userOf('mara'), shop.lastPost(), '+1::skin-tone-2'));
    expect(job().closed[step]).toBe(true);
  });

  test('on somebody’s own words does nothing', async () => {
    await start();
    await shop.goOn(confirms);
    const said = shop.said('wilf', 'nice weather');
    const { closed } = job();
    await shop.push(shop.people.reacts(userOf('mara'), { channel: bayChannel('1'), ts: said.ts }, '+1'));
    expect(job().closed).toEqual(closed);
  });
});

describe('a photo', () => {
  const bytes = Buffer.from([0xff, 0xd8, 0xff, 0xe1, 9, 9]);

  test('is fetched at once and kept by the hash of its bytes', async () => {
    await start();
    await shop.push(
      shop.people.shares(userOf('mara'), bayChannel('1'), shop.headOf('1')?.ts ?? '', 'fuse.jpg', bytes),
    );
    const hash = createHash('sha256').update(bytes).digest('hex');
    expect((await shop.disk.read(`photos/${hash}`))?.equals(bytes)).toBe(true);
    const line =
      shop
        .journal()
        .split('\n')
        .findLast((one) => one.includes(hash)) ?? '{}';
    expect(JSON.parse(line), 'whose it is, when it came and which file it was on the platform').toMatchObject(
      {
        by: 'mara',
        name: 'Mara Tillet',
        saidAt: shop.clock.now(),
        key: expect.stringMatching(/^slack:CBAY1:[\d.]+:FU\d+$/),
      },
    );
  });

  test('that cannot be fetched now is not acknowledged, and comes again', async () => {
    await start();
    const told = shop.people.shares(
      userOf('mara'),
      bayChannel('1'),
      shop.headOf('1')?.ts ?? '',
      'fuse.jpg',
      bytes,
    );
    shop.standIn.web.cut = true;
    expect(await shop.push(told)).toBe(false);
    shop.standIn.web.cut = false;
    expect(await shop.push(told)).toBe(true);
    expect(shop.disk.files.size).toBeGreaterThan(0);
    expect([...shop.disk.files.keys()].some((path) => path.startsWith('photos/'))).toBe(true);
  });

  test('that is a sign-in page in truth is told, and the words stand without it', async () => {
    await start();
    const page = Buffer.from('<html>sign in');
    await shop.push(
      shop.people.shares(
        userOf('mara'),
        bayChannel('1'),
        shop.headOf('1')?.ts ?? '',
        'fuse.jpg',
        page,
        'note scorched',
      ),
    );
    expect(shop.standIn.web.whispers.at(-1)?.text).toContain('files:read');
    expect(shop.journal()).toContain('note scorched');
  });
});

describe('the slash command', () => {
  test('starts a job, shows it and lists all bays', async () => {
    await shop.push(shop.people.commands(userOf('mara'), bayChannel('1'), 'start disconnect-fuse DEMO-1'));
    expect(job().holder).toBe('mara');
    const acks: unknown[] = [];
    for (const text of ['', 'list'])
      acks.push(await shop.ackOf(shop.people.commands(userOf('orla'), bayChannel('1'), text)));
    expect(acks[0]).toMatch(/^Bay 1: DEMO-1 disconnect-fuse/);
    expect(acks[1]).toContain('Bay 2: free');
  });
});

describe('a channel that is shared with another workspace', () => {
  test('is not heard, whatever is said in it', async () => {
    shop.standIn.web.rooms.set(bayChannel('1'), { shared: true });
    await shop.kill();
    await shop.start();
    await start();
    expect(shop.desk.jobOf('1')).toBeNull();
    expect(shop.reports.join('\n')).toContain('shared with another workspace');
  });
});

describe('the board in the home tab', () => {
  test('is drawn when it is opened, and again only when its content has changed', async () => {
    const drawn = () => shop.standIn.web.calls.filter(({ method }) => method === 'views.publish').length;
    await shop.push(shop.people.opensHome(userOf('orla')));
    await shop.later(1);
    expect(drawn()).toBe(1);
    await start();
    await shop.later(1);
    expect(drawn()).toBe(2);
    expect(JSON.stringify(shop.standIn.web.homes.get(userOf('orla')))).toContain('DEMO-1, disconnect-fuse');
    await shop.later(1);
    expect(drawn()).toBe(2);
    expect(shop.standIn.web.refused).toEqual([]);
  });
});
