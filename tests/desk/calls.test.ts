import { beforeAll, describe, expect, test } from 'vitest';
import type { FlowSource } from '../../src/desk/flow-source.js';
import { nextInput } from './crew.js';
import { Floor, flowTexts, provedFlows } from './floor.js';

let flows: FlowSource;
beforeAll(async () => {
  flows = await provedFlows(flowTexts());
});

/** Jobs under way in two bays, and one thing told to the foreman just now, so that the next ones wait. */
async function busyFloor(): Promise<Floor> {
  const floor = await Floor.open({ flows });
  await floor.say('mara', 'start make-safe DEMO-1', { bay: '1' });
  await floor.say('jory', 'start make-safe DEMO-2', { bay: '2' });
  await floor.say('mara', 'hand over wilf', { bay: '1' });
  return floor;
}

describe('posts for the foreman that wait for others', () => {
  test('come as one, and once', async () => {
    const floor = await busyFloor();
    const before = floor.posts('foreman').length;
    await floor.say('jory', 'hand over tamsin', { bay: '2' });
    await floor.say('wilf', 'take', { bay: '1' });
    expect(floor.posts('foreman')).toHaveLength(before);
    await floor.later(21);
    expect(floor.posts('foreman')).toHaveLength(before + 1);
    expect(floor.lastPost('foreman')).toMatch(
      /1\. Bay 2[\s\S]*Tamsin Roake[\s\S]*2\. Bay 1[\s\S]*Wilf Harrow holds/,
    );
    await floor.later(60);
    expect(floor.posts('foreman').filter((post) => post.includes('holds the job'))).toHaveLength(1);
  });

  test('survive a power cut before they go, at their going and after it: each is told exactly once', async () => {
    for (const cut of ['before', 'down', 'lost', 'after'] as const) {
      const floor = await busyFloor();
      await floor.say('jory', 'hand over tamsin', { bay: '2' });
      await floor.say('wilf', 'take', { bay: '1' });
      if (cut === 'before') await floor.crash();
      if (cut === 'down' || cut === 'lost') floor.channel.state = cut;
      await floor.later(21);
      floor.channel.state = 'up';
      if (cut !== 'before') await floor.crash();
      await floor.later(60);
      const told = floor.posts('foreman').join('\n');
      expect(told.match(/Wilf Harrow holds the job/g), cut).toHaveLength(1);
      expect(told.match(/Offered to Tamsin Roake/g), cut).toHaveLength(1);
    }
  });

  test('a job that ends while its news waits is filed all the same, and the news comes', async () => {
    const floor = await busyFloor();
    await floor.say('orla', 'call off', { bay: '2' });
    await parkedToItsEnd(floor, '2');
    expect(floor.posts('foreman').join('\n')).not.toMatch(/called off at/);
    await floor.crash();
    await floor.later(60);
    expect(
      floor
        .posts('foreman')
        .join('\n')
        .match(/called off at/g),
    ).toHaveLength(1);
    expect([...floor.disk.files.keys()].filter((path) => path.startsWith('done/'))).toHaveLength(1);
  });

  test('a hold goes at once, whatever waits, with a disk that takes no more than its own line', async () => {
    const floor = await busyFloor();
    await floor.say('wilf', 'take', { bay: '1' });
    await floor.say('jory', 'hold the lift creaks', { bay: '2' });
    expect(floor.lastPost('foreman')).toContain('the lift creaks');
    expect(floor.posts('foreman').join()).not.toContain('holds the job now');
  });
});

/** A job that was called off is parked first, by a crew that answers what it is asked. */
async function parkedToItsEnd(floor: Floor, bay: string): Promise<void> {
  for (let next = nextInput(floor, bay); next !== null; next = nextInput(floor, bay)) await floor.send(next);
  expect(floor.desk.jobOf(bay)).toBeNull();
}

describe('what nobody has seen to', () => {
  test('is told again in working hours only, also after a start, and not once it is seen to', async () => {
    const floor = await busyFloor();
    await floor.say('jory', 'hold the lift creaks', { bay: '2' });
    const holds = () =>
      floor.posts('foreman').filter((post) => /^Bay 2/.test(post) && /the lift creaks/.test(post));
    expect(holds()).toHaveLength(1);
    await floor.later(16);
    expect(holds()).toHaveLength(2);
    await floor.crash();
    await floor.later(20);
    expect(holds()).toHaveLength(2);
    await floor.later(11);
    expect(holds()).toHaveLength(3);
    await floor.later(24 * 60);
    // The end of the day is told at its hour; what is told again is not.
    const again = floor.room.posts('foreman').filter(({ post }) => post.kind === 'alert');
    const night = again.filter(({ at }) => {
      const hour = new Date(at).getUTCHours();
      return hour < 6 || hour >= 20;
    });
    expect(night).toEqual([]);
    await floor.say('orla', 'release looked at it', { bay: '2' });
    const told = holds().length;
    await floor.later(24 * 60);
    expect(holds().filter((post) => post.includes('Still so'))).toHaveLength(told - 1);
  });

  test('who tries without the competence again and again is told once in a quarter of an hour', async () => {
    const floor = await Floor.open({ flows });
    await floor.say('mara', 'start make-safe DEMO-1', { bay: '1' });
    for (let turn = 0; turn < 6; turn++) {
      await floor.say('kim', 'UMBRELLA', { bay: '1' });
      await floor.later(1);
    }
    expect(floor.posts('foreman').filter((post) => post.includes('not in the register'))).toHaveLength(1);
  });
});
