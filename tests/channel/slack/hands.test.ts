import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import type { Job } from '../../../src/job/job.js';
import { SlackShop, userOf } from './shop.js';
import { buttonsOf } from './standin/people.js';

let shop: SlackShop;
beforeEach(async () => {
  shop = await SlackShop.open('process');
  await shop.say('mara', 'start disconnect-fuse DEMO-1');
  await shop.goOn(confirms);
});
afterEach(() => shop.close());

const job = (): Job => {
  const of = shop.desk.jobOf('1');
  if (of === null) throw new Error('no job is under way');
  return of;
};
const confirms = (of: Job) => {
  const step = shop.desk.flowOf('1')?.steps.find(({ id }) => id === of.asked?.step);
  const only = step?.asks.length === 1 && step.asks[0]?.ask === 'confirm';
  return of.asked?.what === 'step' && step?.kind === 'do' && only && !step.photo;
};
/** The line goes; something is done that nobody hears of; it is back. */
const away = async (does: () => void) => {
  shop.standIn.web.cut = true;
  await shop.later(3);
  does();
  shop.standIn.mend();
  await shop.later(1);
  await shop.later(1);
};
const entries = () => shop.journal().split('\n').length;

describe('a thumb while nobody listened', () => {
  test('completes its step when it is read back', async () => {
    const step = job().asked?.step ?? '';
    await away(() => shop.people.reacts(userOf('mara'), shop.lastPost(), '+1'));
    expect(job().closed[step]).toBe(true);
  });

  test('of somebody else’s completes nothing, and that is said', async () => {
    const step = job().asked?.step ?? '';
    const before = shop.posts().length;
    await away(() => shop.people.reacts(userOf('wilf'), shop.lastPost(), '+1'));
    expect(job().closed[step]).toBeUndefined();
    expect(shop.posts().length).toBe(before + 1);
  });

  test('that was heard before is not taken again', async () => {
    await shop.push(shop.people.reacts(userOf('wilf'), shop.lastPost(), '+1'));
    const before = entries();
    const closed = { ...job().closed };
    await away(() => undefined);
    expect(job().closed).toEqual(closed);
    expect(entries()).toBe(before);
  });
});

describe('a tap that was lost', () => {
  test.each([
    ['while the line was away', async () => away(() => undefined)],
    [
      'while the program was down',
      async () => {
        await shop.kill();
        shop.clock.moveTo(shop.clock.now() + 120_000);
        await shop.start();
        await shop.later(1);
      },
    ],
  ])('%s is asked for once more where its button stands, without a post', async (_, outage) => {
    const asked = { ...shop.lastPost() };
    const before = shop.posts().length;
    await outage();
    const now = shop.standIn.web.messages.at(asked.channel, asked.ts);
    expect(shop.posts()).toHaveLength(before);
    expect(now?.text).toContain('tap again');
    expect(JSON.stringify(now?.blocks)).toContain('tap again');
    const step = job().asked?.step ?? '';
    if (now === undefined) throw new Error('the post is gone');
    await shop.push(shop.people.taps(userOf('mara'), now, 'OK'));
    expect(job().closed[step]).toBe(true);
    await shop.slack.tick();
    await shop.quiet();
    expect(buttonsOf(shop.standIn.web.messages.at(asked.channel, asked.ts) ?? {})).toEqual([]);
    expect(shop.standIn.web.refused).toEqual([]);
  });

  test('is not spoken of while everything is heard', async () => {
    await shop.later(3);
    expect(shop.standIn.web.messages.all.some(({ text }) => text.includes('tap again'))).toBe(false);
  });
});
