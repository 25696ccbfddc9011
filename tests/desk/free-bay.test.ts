import { describe, expect, test } from 'vitest';
import { NotTaken } from '../../src/desk/port.js';
import { tryOut } from '../channel/bench.js';
import { Floor, wordsIn } from './floor.js';

const flows = await tryOut();

const stops = (floor: Floor) => floor.posts().filter((post) => post.includes('STOP. Shout'));

describe('words in a bay without a job', () => {
  test.each([
    ['that nobody here understands', 'is the kettle on?', {}],
    ['of a bot', 'lights off at ten', { marks: { bot: true as const } }],
    ['that were understood', 'where', {}],
  ])('%s are kept in the shop journal before they are acknowledged', async (_, words, more) => {
    const floor = await Floor.open({ flows });
    await floor.say('mara', words, more);
    expect(wordsIn(floor.journal('shop'))).toContain(words);
  });

  test('that nobody here understands are not answered', async () => {
    const floor = await Floor.open({ flows });
    await floor.say('mara', 'is the kettle on?');
    expect(floor.posts()).toEqual([]);
  });

  test('that the disk does not take are not acknowledged', async () => {
    const floor = await Floor.open({ flows });
    floor.disk.full = true;
    await expect(floor.say('mara', 'is the kettle on?')).rejects.toBeInstanceOf(NotTaken);
    expect(floor.posts()).toEqual([]);
  });
});

describe('an answer in a bay without a job', () => {
  test.each([
    ['a stop', 'stop', 'STOP. Shout'],
    ['where', 'where', '1: free'],
    ['help', 'help', 'Flows: try-out'],
    ['a start that is refused', 'start try-out NO-CAR', 'No car "NO-CAR"'],
  ])('to %s that could not be delivered is told after a power cut, once', async (_, words, answer) => {
    const floor = await Floor.open({ flows });
    floor.channel.state = 'down';
    await floor.say('mara', words);
    expect(floor.posts()).toEqual([]);
    await floor.crash();
    floor.channel.state = 'up';
    await floor.later(0);
    await floor.crash();
    await floor.restart();
    expect(floor.posts().length).toBe(1);
    expect(floor.lastPost()).toContain(answer);
  });

  test('that had arrived is not told again after a power cut', async () => {
    const floor = await Floor.open({ flows });
    await floor.say('mara', 'stop');
    await floor.crash();
    await floor.restart();
    expect(stops(floor).length).toBe(1);
    expect(floor.posts('foreman').length).toBe(1);
  });

  test('that had arrived unheard is told at most once where the channel cannot be asked, a stop card again', async () => {
    const floor = await Floor.open({
      flows,
      seenChannel: ({ name, deliver }) => ({ name, deliver, find: async () => 'cannot-ask' }),
    });
    await floor.say('mara', 'where');
    await floor.say('mara', 'stop');
    await floor.crash();
    expect(floor.posts().filter((post) => post.includes('1: free')).length).toBe(1);
    expect(stops(floor).length).toBe(2);
    expect(floor.lastPost()).toContain('(again)');
  });

  test('is not told again a day later', async () => {
    const floor = await Floor.open({ flows });
    floor.channel.state = 'down';
    await floor.say('mara', 'stop');
    floor.disk.crash();
    floor.clock.moveTo(floor.clock.now() + 26 * 3_600_000);
    floor.channel.state = 'up';
    await floor.start();
    expect(floor.posts()).toEqual([]);
  });
});

describe('a car on which a job is under way', () => {
  test.each(['DEMO-1', 'demo-1'])('gets no second one in another bay, typed %s', async (car) => {
    const floor = await Floor.open({ flows });
    await floor.say('mara', 'start try-out DEMO-1');
    await floor.say('jory', `start try-out ${car}`, { bay: '2' });
    expect(floor.lastPost('2')).toContain('No second one is started');
    expect(floor.lastPost('2')).toContain('under way in Bay 1');
    expect(floor.desk.jobOf('2')).toBeNull();
  });

  test('gets only one of two that are started at once', async () => {
    const floor = await Floor.open({ flows });
    await Promise.all([
      floor.say('mara', 'start try-out DEMO-1'),
      floor.say('jory', 'start try-out DEMO-1', { bay: '2' }),
    ]);
    const under = ['1', '2'].filter((bay) => floor.desk.jobOf(bay) !== null);
    expect(under.length).toBe(1);
  });

  test('gets one again when that is called off, after a restart too', async () => {
    const floor = await Floor.open({ flows });
    await floor.say('mara', 'start try-out DEMO-1');
    await floor.restart();
    await floor.say('jory', 'start try-out DEMO-1', { bay: '2' });
    expect(floor.lastPost('2')).toContain('No second one is started');
    await floor.say('orla', 'call off');
    for (const words of ['ok', 'ok']) await floor.say('mara', words);
    await floor.say('jory', 'start try-out DEMO-1', { bay: '2' });
    expect(floor.desk.jobOf('2')?.car.registration).toBe('DEMO-1');
  });
});
