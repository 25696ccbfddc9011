import { describe, expect, test } from 'vitest';
import { NotTaken } from '../../src/desk/port.js';
import { tryOut } from '../channel/bench.js';
import { Floor, wordsIn } from './floor.js';

const flows = await tryOut();
const office = { bay: 'foreman' };

describe("words in the foreman's thread", () => {
  test.each(['board', 'is the kettle on?', 'hold', 'stop'])(
    '"%s" are kept in the shop journal before they are acknowledged',
    async (words) => {
      const floor = await Floor.open({ flows });
      await floor.say('mara', words, office);
      expect(wordsIn(floor.journal('shop'))).toContain(words);
    },
  );

  test('that the disk does not take have no effect and are answered so', async () => {
    const floor = await Floor.open({ flows });
    floor.disk.full = true;
    await expect(floor.say('orla', 'board', office)).rejects.toBeInstanceOf(NotTaken);
    expect(floor.lastPost('foreman')).toContain('NOT TAKEN');
  });

  test('are answered there and in no bay, one post each', async () => {
    const floor = await Floor.open({ flows });
    for (const words of ['board', 'help', 'nonsense']) await floor.say('orla', words, office);
    expect(floor.posts('foreman').length).toBe(3);
    expect(floor.posts('1')).toEqual([]);
  });

  test.each(['board', 'help', 'stop', 'bay 1: where'])(
    'whose answer to "%s" could not be delivered is told after a power cut, once',
    async (words) => {
      const floor = await Floor.open({ flows });
      floor.channel.state = 'down';
      await floor.say('orla', words, office);
      await floor.crash();
      floor.channel.state = 'up';
      await floor.later(0);
      await floor.crash();
      expect(floor.posts('foreman').length).toBe(1);
    },
  );
});

describe('words for a bay', () => {
  const held = async (): Promise<Floor> => {
    const floor = await Floor.open({ flows });
    await floor.say('mara', 'start try-out DEMO-1');
    await floor.say('mara', 'hold smells odd');
    return floor;
  };

  test('have their effect there once, however often they come', async () => {
    const floor = await held();
    const input = floor.input('orla', 'bay 1: release looked', office);
    await floor.send(input);
    await floor.say('mara', 'hold again');
    await floor.send(input);
    expect(floor.desk.jobOf('1')?.mode).toBe('held');
  });

  test('that were kept in the bay but not here when the power went have one effect when they come again', async () => {
    const floor = await held();
    const input = floor.input('orla', 'bay 1: release looked', office);
    // The line of the bay is written and flushed; the one of the shop is not.
    const before = floor.disk.syncs;
    const sent = floor.desk.receive(input);
    while (floor.disk.syncs === before) await new Promise((resolve) => setImmediate(resolve));
    floor.disk.loseAt(0);
    await sent.catch(() => undefined);
    await floor.crash();
    expect(floor.desk.jobOf('1')?.mode).toBe('working');
    await floor.say('mara', 'hold again');
    await floor.send(input);
    expect(floor.desk.jobOf('1')?.mode).toBe('held');
  });

  test.each(['bay 1: release looked', '1: release looked', 'Bay 1 release looked'])(
    'are understood as "%s"',
    async (words) => {
      const floor = await held();
      await floor.say('orla', words, office);
      expect(floor.desk.jobOf('1')?.mode).toBe('working');
    },
  );

  test.each([
    ['somebody who is not the foreman', 'mara', {}],
    ['a bot', 'orla', { marks: { bot: true as const } }],
    ['an edit', 'orla', { marks: { edited: true as const } }],
    ['a guest', 'guest:orla', {}],
  ])('of %s are not passed on', async (_, who, more) => {
    const floor = await held();
    await floor.say(who, 'bay 1: release looked', { ...office, ...more });
    expect(floor.desk.jobOf('1')?.mode).toBe('held');
  });

  test('do not bring the foreman to that bay: whoever stands by elsewhere still does', async () => {
    const floor = await Floor.open({ flows });
    await floor.say('orla', 'start try-out DEMO-1');
    await floor.say('mara', 'start try-out DEMO-2', { bay: '2' });
    await floor.say('orla', 'bay 2: hold smells odd', office);
    expect(floor.desk.jobOf('2')?.mode).toBe('held');
    expect(floor.journal()).not.toContain(':notice');
  });
});

describe('stop', () => {
  test.each([
    ['stop', ['stopped', 'stopped']],
    ['stop bay 2', ['working', 'stopped']],
    ['fire in bay 1', ['stopped', 'working']],
  ])('said as "%s" leaves the two bays %j', async (words, modes) => {
    const floor = await Floor.open({ flows });
    await floor.say('mara', 'start try-out DEMO-1');
    await floor.say('jory', 'start try-out DEMO-2', { bay: '2' });
    await floor.say('wilf', words, office);
    expect(['1', '2'].map((bay) => floor.desk.jobOf(bay)?.mode)).toEqual(modes);
    expect(floor.posts('foreman').join('\n')).toContain('STOP. Shout');
  });

  test('on a full disk shows the card in every bay and here all the same', async () => {
    const floor = await Floor.open({ flows });
    await floor.say('mara', 'start try-out DEMO-1');
    floor.disk.full = true;
    await expect(floor.say('wilf', 'stop', office)).rejects.toBeInstanceOf(NotTaken);
    expect(floor.lastPost('1')).toContain('STOP');
    expect(floor.posts('foreman').join('\n')).toContain('STOP. Shout');
  });
});
