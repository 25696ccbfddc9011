import { beforeAll, describe, expect, test } from 'vitest';
import { walkClock } from '../../src/channel/script/walk.js';
import type { FlowSource } from '../../src/desk/flow-source.js';
import { Floor, flowTexts, MINUTE, provedFlows } from './floor.js';

const HOUR = 60 * MINUTE;
const DAY = 24 * HOUR;

let flows: FlowSource;
beforeAll(async () => {
  flows = await provedFlows(flowTexts());
});

/** The first lines of the day's posts in the foreman's thread. */
function heads(floor: Floor): string[] {
  return floor.room
    .posts('foreman')
    .map(({ post, again, at }) => ({ post, again, at }))
    .filter(({ post }) => /^(End of day|Morning), $/.test(String(post.lines[0]?.[0])))
    .map(({ post, again }) => {
      const [kind, hour] = post.lines[0] ?? [];
      const at = typeof hour === 'object' ? new Date(hour.instant).toISOString().slice(5, 16) : '?';
      return `${kind}${at}${again ? ' (again)' : ''}`;
    });
}

const WEEK = [
  'End of day, 03-02T23:00',
  'Morning, 03-03T07:00',
  'End of day, 03-03T23:00',
  'Morning, 03-04T07:00',
  'End of day, 03-04T23:00',
  'Morning, 03-05T07:00',
  'End of day, 03-05T23:00',
  'Morning, 03-06T07:00',
  'End of day, 03-06T15:30',
];

describe('the posts of a working day', () => {
  test('come at closing and opening time in the workshop, once each, and not at the weekend', async () => {
    const floor = await Floor.open({ flows });
    await floor.later(6.5 * 24 * 60);
    expect(heads(floor)).toEqual(WEEK);
  });

  test('come once each where the program is started anew every half hour', async () => {
    const floor = await Floor.open({ flows });
    for (let half = 0; half < 2 * 24 * 6; half++) {
      await floor.later(30);
      if (half % 2 === 0) await floor.restart();
      else await floor.crash();
    }
    expect(heads(floor)).toEqual(WEEK);
  });

  test('come once each where the power goes before the told line is on disk', async () => {
    const floor = await Floor.open({ flows });
    await floor.later(15 * 60);
    expect(heads(floor)).toEqual(WEEK.slice(0, 1));
    for (let crash = 0; crash < 3; crash++) await floor.crash();
    expect(heads(floor)).toEqual(WEEK.slice(0, 1));
  });

  test('are kept before they are told: a channel that is down gets them when it is up again', async () => {
    const floor = await Floor.open({ flows });
    floor.channel.state = 'down';
    await floor.later(15 * 60 + 5);
    expect(heads(floor)).toEqual([]);
    expect(floor.journal('shop')).toContain('"type":"day-post"');
    await floor.crash();
    floor.channel.state = 'up';
    await floor.desk.tick();
    expect(heads(floor)).toEqual(WEEK.slice(0, 1));
  });

  test('wait for a disk that takes nothing, and are not told before it does', async () => {
    const floor = await Floor.open({ flows });
    floor.disk.full = true;
    await floor.later(15 * 60 + 20).catch(() => undefined);
    expect(heads(floor)).toEqual([]);
    floor.disk.full = false;
    await floor.later(1);
    expect(heads(floor)).toEqual(WEEK.slice(0, 1));
    expect(floor.posts('foreman').at(-1)).toContain('Made late');
  });

  test('come late after a sleep over closing time, and only the last of several nights', async () => {
    const floor = await Floor.open({ flows });
    await floor.later(60);
    // The lid is shut: no tick until Tuesday at noon.
    floor.clock.moveTo(floor.clock.now() + 27 * HOUR);
    await floor.desk.tick();
    expect(heads(floor)).toEqual(WEEK.slice(0, 2));
    expect(floor.posts('foreman').join('\n')).toContain('Made late');
    // And again until Friday morning.
    floor.clock.moveTo(floor.clock.now() + 3 * DAY - 4 * HOUR);
    await floor.restart();
    expect(heads(floor)).toEqual([...WEEK.slice(0, 2), 'End of day, 03-05T23:00', 'Morning, 03-06T07:00']);
    expect(floor.posts('foreman').at(-2)).toContain('No post was made for 2026-03-03, 2026-03-04');
  });

  test('of the day before the first start are nobody’s', async () => {
    const floor = await Floor.open({ flows });
    expect(heads(floor)).toEqual([]);
    expect(floor.journal('shop')).toBe('');
  });

  test('are not made anew in a month that has just begun and knows nothing of the last', async () => {
    const floor = await Floor.open({ flows });
    // To Tuesday 31 March in the evening, then a word in April, and a day later a start.
    await walkClock(floor.desk, floor.clock, Date.UTC(2026, 2, 31, 22, 30));
    await floor.desk.close();
    floor.clock.moveTo(Date.UTC(2026, 3, 1, 3));
    const before = heads(floor).length;
    await floor.start();
    expect(heads(floor)).toHaveLength(before);
    await floor.say('orla', 'board', { bay: 'foreman' });
    expect([...floor.disk.files.keys()].filter((path) => path.startsWith('shop/')).sort()).toEqual([
      'shop/2026-03.jsonl',
      'shop/2026-04.jsonl',
    ]);
    // Good Friday to Easter Monday the computer was off; the last day told stands in March.
    await floor.desk.close();
    const lines = floor.journal('shop').split('\n').length;
    floor.clock.moveTo(Date.UTC(2026, 3, 2, 5));
    await floor.start();
    expect(heads(floor).slice(before)).toEqual(['End of day, 04-01T22:00']);
    expect(floor.journal('shop').split('\n').length).toBe(lines + 2);
  });
});

describe('DAY, MORNING and DUE', () => {
  test('are answered in the foreman’s thread, to everybody in the register, once for each message', async () => {
    const floor = await Floor.open({ flows });
    await floor.say('mara', 'start disconnect-fuse DEMO-1', { bay: '1' });
    for (const [word, head] of [
      ['day', 'The day so far'],
      ['Morning', 'What the morning begins with'],
      ['due', 'Due, as of 2026-03-02'],
    ] as const) {
      const input = floor.input('mara', word, { bay: 'foreman' });
      await floor.send(input);
      await floor.send(input);
      const posts = floor.posts('foreman').filter((post) => post.startsWith(head));
      expect(posts).toHaveLength(1);
    }
    expect(floor.posts('foreman').find((post) => post.startsWith('The day so far'))).toContain(
      'NOT PARKED, under way, Mara Tillet',
    );
    await floor.say('stranger', 'due', { bay: 'foreman' });
    expect(floor.lastPost('foreman')).toContain('You are not in the register');
  });
});
