import { describe, expect, test } from 'vitest';
import { homeInJournal, severalChannels } from '../../src/channel/several.js';
import type { Channel, OutPost } from '../../src/desk/port.js';
import { outPost } from './post.js';

function recorder(name: string, fails = false): Channel & { readonly got: string[] } {
  const got: string[] = [];
  return {
    name,
    got,
    deliver: async ({ key }) => {
      if (fails) throw new Error('away');
      got.push(key);
      return `${name}:${got.length}`;
    },
    find: async ({ key }) => (got.includes(key) ? `${name}:1` : null),
  };
}

const HOMES: Readonly<Record<string, string>> = { J1: 'slack', J2: 'floor', J3: 'gone' };
const homeOf = async (job: string) => HOMES[job] ?? null;
const of = (job: string | null, key = `${job}:1:bay`): OutPost => ({ ...outPost({ key }), job });

describe('several channels', () => {
  test.each([
    ['a job started in one channel', of('J1'), 'slack'],
    ['a job started in the other', of('J2'), 'floor'],
    ['a job whose channel is not there any more', of('J3'), 'floor'],
    ['an answer to words said in one of them', of(null, 'shop:slack:C1:1.2:bay'), 'slack'],
    ['a refusal of words that could not be kept', of(null, 'unkept:slack:C1:1.2:bay'), 'slack'],
    ['words of the desk itself', of(null, 'unkept:J9:3:notice0:2:bay'), 'floor'],
  ])('%s is posted where it belongs, and asked for there', async (_, out, where) => {
    const [floor, slack] = [recorder('floor'), recorder('slack')];
    const both = severalChannels([floor, slack], homeOf);
    expect(await both.deliver(out)).toBe(`${where}:1`);
    expect(await both.find(out)).toBe(`${where}:1`);
    expect([...floor.got, ...slack.got]).toHaveLength(1);
  });

  test('what calls the foreman stands in all of them, once each', async () => {
    const [floor, slack] = [recorder('floor'), recorder('slack')];
    const both = severalChannels([floor, slack], homeOf);
    const alert = { ...outPost({ key: 'J1:4:foreman', to: 'foreman', kind: 'alert' }), job: 'J1' };
    expect(await both.deliver(alert)).toBe('slack:1');
    expect([floor.got, slack.got]).toEqual([['J1:4:foreman'], ['J1:4:foreman']]);
  });

  test('a channel that is away takes nothing from the others', async () => {
    const slack = recorder('slack');
    const both = severalChannels([recorder('floor', true), slack], homeOf);
    const alert = { ...outPost({ key: 'J1:4:foreman', to: 'foreman', kind: 'alert' }), job: 'J1' };
    await expect(both.deliver(alert)).resolves.toBe('slack:1');
  });

  test.each([
    ['{"v":1,"seq":1,"via":"slack"}\n{"v":1,"seq":2,"via":"floor"}\n', 'slack'],
    ['{"v":1,"seq":1}\n', null],
    ['torn', null],
    [null, null],
  ])('the journal %j says that its job lives in %s', async (journal, home) => {
    const read = async (path: string) =>
      path === 'open/J1.jsonl' && journal !== null ? Buffer.from(journal) : null;
    expect(await homeInJournal({ read })('J1')).toBe(home);
  });
});
