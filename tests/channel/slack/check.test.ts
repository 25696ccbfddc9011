import { readFileSync } from 'node:fs';
import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import { parse } from 'yaml';
import { checkSlack, SCOPES } from '../../../src/channel/slack/check.js';
import { SlackSettingFault, slackSettings } from '../../../src/channel/slack/settings.js';
import type { Register } from '../../../src/shop/register.js';
import { MORNING } from '../../desk/floor.js';
import { bayChannel, FOREMAN, slackRegister } from './shop.js';
import { StandIn } from './standin/standin.js';
import { BOT } from './standin/web-api.js';

const REFUSED = {
  does: 'answer',
  status: 200,
  body: { ok: false, error: 'not_allowed_token_type' },
} as const;

let standIn: StandIn;
let register: Register;

beforeEach(async () => {
  standIn = await StandIn.open(() => MORNING);
  register = await slackRegister();
  standIn.web.scopes = Object.keys(SCOPES);
  for (const bay of register.bays.keys()) standIn.web.rooms.set(bayChannel(bay), {});
  standIn.web.rooms.set(FOREMAN, {});
});
afterEach(() => standIn.close());

const check = async (more: { token?: string; foreman?: string | null; now?: number } = {}) => {
  const { token = BOT.token, foreman = FOREMAN, now = MORNING } = more;
  const settings = {
    botToken: token,
    appToken: BOT.appToken,
    http: null,
    apiUrl: standIn.api,
    foreman,
    shop: null,
  };
  const found = await checkSlack({ settings, register, now: () => now, fetch: standIn.fetch });
  return found.filter(({ state }) => state !== 'good').map(({ state, words }) => `${state}: ${words}`);
};

describe('the look at Slack before the first day', () => {
  test('finds nothing where everything is there', async () => {
    expect(await check()).toEqual([]);
  });

  type Looked = Parameters<typeof check>[0];
  const scopes = (has: (scope: string) => boolean) => () => {
    standIn.web.scopes = Object.keys(SCOPES).filter(has);
  };
  const nothing = () => undefined;

  test.each<[string, () => void, Looked, RegExp]>([
    [
      'a wrong bot token',
      nothing,
      { token: 'xoxb-old' },
      /^blocks: SLACK_BOT_TOKEN is not taken \(invalid_auth\)/,
    ],
    ['a needed scope', scopes((one) => one !== 'chat:write'), {}, /^blocks: the scope chat:write is missing/],
    [
      'a scope for photos',
      scopes((one) => one !== 'files:read'),
      {},
      /^note: the scope files:read is missing: photos/,
    ],
    [
      'a channel shared with others',
      () => standIn.web.rooms.set(bayChannel('2'), { shared: true }),
      {},
      /^blocks: CBAY2 is shared/,
    ],
    [
      'a channel without the bot',
      () => standIn.web.rooms.set(bayChannel('2'), { member: false }),
      {},
      /^blocks: the bot is not in CBAY2/,
    ],
    [
      'a clock that is ahead',
      nothing,
      { now: MORNING + 90_000 },
      /^blocks: this computer's clock is 90 s ahead/,
    ],
    ['no channel for the foreman', nothing, { foreman: null }, /^note: the foreman has no channel/],
    [
      'nobody with an account',
      () => {
        register = { ...register, accounts: new Map() };
      },
      {},
      /^blocks: without an account/,
    ],
    [
      'no way to open a socket',
      () => standIn.web.faults.add({ ...REFUSED, method: 'apps.connections.open' }),
      {},
      /^blocks: SLACK_APP_TOKEN opens no socket \(not_allowed_token_type\)/,
    ],
    [
      'a network that is away',
      () => {
        standIn.web.cut = true;
      },
      {},
      /^blocks: 127.0.0.1:\d+ does not answer/,
    ],
  ])('tells %s', async (_, lacks, more, said) => {
    lacks();
    expect((await check(more)).filter((words) => said.test(words))).toHaveLength(1);
  });

  test('asks for the scopes of the manifest in the README, no more and no fewer', () => {
    const page = readFileSync(new URL('../../../README.md', import.meta.url), 'utf8');
    const manifest = parse(/```yaml\n(display_information[\s\S]*?)```/.exec(page)?.[1] ?? '');
    expect([...manifest.oauth_config.scopes.bot].sort()).toEqual(Object.keys(SCOPES).sort());
    expect(manifest.display_information.name.length).toBeLessThanOrEqual(35);
    expect(manifest.display_information.description.length).toBeLessThanOrEqual(140);
    expect(manifest.settings.event_subscriptions.bot_events).toContain('reaction_added');
  });
});

describe('the settings of Slack', () => {
  test.each([
    [{}, null],
    [{ SLACK_FOREMAN_CHANNEL: 'C1' }, null],
    [
      { SLACK_BOT_TOKEN: 'xoxb-1', SLACK_APP_TOKEN: 'xapp-1' },
      { appToken: 'xapp-1', http: null },
    ],
    [
      { SLACK_BOT_TOKEN: 'xoxb-1', SLACK_HTTP_PORT: '3000', SLACK_SIGNING_SECRET: 's' },
      { appToken: null, http: { port: 3000, signingSecret: 's' } },
    ],
  ])('%j give %j', (environment, settings) => {
    const read = slackSettings(environment);
    if (settings === null) expect(read).toBeNull();
    else expect(read).toMatchObject(settings);
  });

  test.each([
    [{ SLACK_BOT_TOKEN: 'xapp-1', SLACK_APP_TOKEN: 'xapp-1' }, 'SLACK_BOT_TOKEN'],
    [{ SLACK_APP_TOKEN: 'xapp-1' }, 'SLACK_BOT_TOKEN'],
    [{ SLACK_BOT_TOKEN: 'xoxb-1' }, 'SLACK_APP_TOKEN'],
    [{ SLACK_BOT_TOKEN: 'xoxb-1', SLACK_APP_TOKEN: 'xoxb-1' }, 'SLACK_APP_TOKEN'],
    [{ SLACK_BOT_TOKEN: 'xoxb-1', SLACK_HTTP_PORT: 'x', SLACK_SIGNING_SECRET: 's' }, 'SLACK_HTTP_PORT'],
    [{ SLACK_BOT_TOKEN: 'xoxb-1', SLACK_HTTP_PORT: '3000' }, 'SLACK_SIGNING_SECRET'],
    [
      { SLACK_BOT_TOKEN: 'xoxb-1', SLACK_APP_TOKEN: 'xapp-1', SLACK_FOREMAN_CHANNEL: '#foreman' },
      'SLACK_FOREMAN_CHANNEL',
    ],
  ])('%j are refused, and %s is named', (environment, name) => {
    expect(() => slackSettings(environment)).toThrow(SlackSettingFault);
    expect(() => slackSettings(environment)).toThrow(name);
  });
});
