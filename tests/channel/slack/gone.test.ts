import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import { SlackShop } from './shop.js';
import { envelope } from './standin/sockets.js';

let shop: SlackShop;
beforeEach(async () => {
  shop = await SlackShop.open('process');
  await shop.say('mara', 'start disconnect-fuse DEMO-1');
});
afterEach(() => shop.close());

const event = (of: object) => ({ type: 'events_api', payload: envelope(of, 'EvGone') }) as const;

describe('an app that is taken off the workspace', () => {
  test.each([
    ['by a word of the platform', { type: 'app_uninstalled' }],
    ['by its token', { type: 'tokens_revoked', tokens: { oauth: [], bot: ['UBOT'] } }],
  ])('%s says so once, with what to do, and the desk goes on', async (_, of) => {
    shop.standIn.web.faults.add({
      method: 'chat.postMessage',
      does: 'answer',
      status: 200,
      body: { ok: false, error: 'account_inactive' },
      times: 500,
    });
    expect(await shop.push(event(of))).toBe(true);
    await shop.push(event(of));
    await shop.say('mara', 'note said to nobody there');
    await shop.later(120);
    expect(shop.alarms).toHaveLength(1);
    expect(shop.alarms[0]).toContain('Install the app again');
    expect(shop.reports.filter((words) => words === shop.alarms[0])).toHaveLength(1);
    // It is in the journal, and is told on the day the app is back.
    expect(shop.journal()).toContain('said to nobody there');
    shop.standIn.web.faults.clear();
    await shop.kill();
    await shop.start();
    await shop.later(1);
    await shop.later(1);
    expect(shop.posts().some(({ text }) => text.includes('Noted'))).toBe(true);
  });

  test('without a word of the platform is noticed by what it answers', async () => {
    shop.standIn.web.faults.add({
      method: 'chat.postMessage',
      does: 'answer',
      status: 200,
      body: { ok: false, error: 'token_revoked' },
    });
    await shop.say('mara', 'note one');
    expect(shop.alarms[0]).toContain('token_revoked');
  });

  test('is not mistaken for the token of a person', async () => {
    await shop.push(event({ type: 'tokens_revoked', tokens: { oauth: ['U1'], bot: [] } }));
    expect(shop.alarms).toEqual([]);
  });
});
