import { describe, expect, test } from 'vitest';
import type { Channel } from '../../src/desk/port.js';
import { tryOut } from '../channel/bench.js';
import { Floor, wordsIn } from './floor.js';

const flows = await tryOut();

/** The channel, with a note of every call. */
function watched(calls: string[]): (channel: Channel) => Channel {
  return (channel) => ({
    name: channel.name,
    deliver: (out) => {
      calls.push(`deliver ${out.key}`);
      return channel.deliver(out);
    },
    find: (out) => {
      calls.push(`find ${out.key}`);
      return channel.find(out);
    },
  });
}

/** A channel that can never say what arrived. */
const forgetful = (channel: Channel): Channel => ({
  name: channel.name,
  deliver: (out) => channel.deliver(out),
  find: async () => 'cannot-ask',
});

describe('a post of unknown outcome', () => {
  test('is asked for before the next input is looked at, and is not sent twice', async () => {
    const calls: string[] = [];
    const floor = await Floor.open({ flows, seenChannel: watched(calls) });
    floor.channel.state = 'lost';
    await floor.say('mara', 'start try-out DEMO-1');
    floor.channel.state = 'up';
    calls.length = 0;
    await floor.say('mara', 'ok');
    expect(calls.map((call) => call.split(':')[0]?.replace(/ .*/, ''))).toEqual(['find', 'deliver']);
    expect(floor.posts().length).toBe(2);
    expect(floor.desk.jobOf('1')?.closed).toEqual({ lamp: true });
  });

  test('keeps what comes after it in its thread waiting, and nothing of another bay', async () => {
    const floor = await Floor.open({ flows });
    await floor.say('jory', 'start try-out DEMO-2', { bay: '2' });
    floor.channel.state = 'down';
    await floor.say('mara', 'start try-out DEMO-1');
    await floor.say('mara', 'note one');
    expect(floor.posts()).toEqual([]);
    floor.channel.state = 'up';
    await floor.say('jory', 'note two', { bay: '2' });
    expect(floor.lastPost('2')).toMatch(/^Noted/);
    await floor.later(0);
    expect(floor.posts()[0]).toContain('Try out.');
    expect(floor.posts()[1]).toMatch(/^Noted/);
    expect(floor.posts().length).toBe(2);
  });

  test('a channel that fails in an unknown way once does not silence the thread for good', async () => {
    let broken = false;
    const floor = await Floor.open({
      flows,
      seenChannel: (channel) => ({
        name: channel.name,
        find: (out) => channel.find(out),
        deliver: async (out) => {
          if (broken) throw new TypeError('a slip in the channel');
          return channel.deliver(out);
        },
      }),
    });
    await floor.say('mara', 'start try-out DEMO-1');
    broken = true;
    await floor.say('mara', 'note one').catch(() => undefined);
    broken = false;
    await floor.say('mara', 'stop');
    expect(floor.lastPost()).toContain('STOP');
  });
});

describe('posts through a power cut', () => {
  test('a post that had arrived unheard is not sent again where the channel can be asked', async () => {
    const floor = await Floor.open({ flows });
    await floor.say('mara', 'start try-out DEMO-1');
    floor.channel.state = 'lost';
    await floor.say('mara', 'note one');
    floor.channel.state = 'up';
    await floor.crash();
    await floor.crash();
    expect(floor.posts().length).toBe(2);
    await floor.say('mara', 'ok');
    expect(floor.desk.jobOf('1')?.closed).toEqual({ lamp: true });
  });

  test('a post that had not gone out goes out at the start, once', async () => {
    const floor = await Floor.open({ flows });
    floor.channel.state = 'down';
    await floor.say('mara', 'start try-out DEMO-1');
    floor.channel.state = 'up';
    await floor.crash();
    await floor.crash();
    expect(floor.posts().length).toBe(1);
    expect(floor.lastPost()).toContain('Lamp on.');
  });

  test('where the channel cannot be asked a question goes again, marked, and a note does not', async () => {
    const floor = await Floor.open({ flows, seenChannel: forgetful });
    await floor.say('mara', 'start try-out DEMO-1');
    await floor.crash();
    expect(floor.posts().length).toBe(2);
    expect(floor.lastPost()).toMatch(/^\(again\)/);
    await floor.say('mara', 'note one');
    await floor.crash();
    expect(floor.posts().filter((post) => post.startsWith('Noted')).length).toBe(1);
  });

  test('an orderly end and start sends nothing again, also where the channel cannot be asked', async () => {
    const floor = await Floor.open({ flows, seenChannel: forgetful });
    await floor.say('mara', 'start try-out DEMO-1');
    await floor.restart();
    await floor.say('mara', 'note one');
    await floor.restart();
    expect(floor.posts().length).toBe(2);
  });

  test('the summary of a job that ended while the channel was down is not lost', async () => {
    const floor = await Floor.open({ flows });
    await floor.say('mara', 'start try-out DEMO-1');
    await floor.say('mara', 'ok');
    await floor.later(10);
    const name = floor.input('mara', 'Sun');
    floor.channel.state = 'down';
    await floor.send(name);
    expect(floor.desk.jobOf('1')).toBeNull();
    floor.channel.state = 'up';
    await floor.crash();
    expect(floor.posts().filter((post) => post.includes('RECORD OF JOB')).length).toBe(1);
  });
});

describe('a message that is delivered again', () => {
  test('has one effect and one answer, at once, after a restart and after a power cut', async () => {
    const floor = await Floor.open({ flows });
    await floor.say('mara', 'start try-out DEMO-1');
    const note = floor.input('mara', 'note one');
    await Promise.all([floor.send(note), floor.send(note)]);
    await floor.restart();
    await floor.send(note);
    await floor.crash();
    await floor.send(note);
    expect(wordsIn(floor.journal())).toEqual(['start try-out DEMO-1', 'note one']);
    expect(floor.posts().length).toBe(2);
  });

  test('starts no second job, also when the first one has ended and the program was started again', async () => {
    const floor = await Floor.open({ flows });
    const begin = floor.input('mara', 'start try-out DEMO-1');
    await floor.send(begin);
    await floor.say('mara', 'ok');
    await floor.later(10);
    await floor.say('mara', 'Sun');
    await floor.send(begin);
    await floor.later(24 * 60);
    await floor.crash();
    await floor.send(begin);
    expect(floor.desk.jobOf('1')).toBeNull();
    expect(
      [...floor.disk.files.keys()].filter((path) => path.endsWith('.jsonl') && path.includes('-001')),
    ).toHaveLength(1);
    expect(floor.journal()).toBe('');
  });

  test('is not dropped unseen: an answer that had not gone out goes out with it', async () => {
    const floor = await Floor.open({ flows });
    await floor.say('mara', 'start try-out DEMO-1');
    const note = floor.input('mara', 'note one');
    floor.channel.state = 'down';
    await floor.send(note);
    floor.channel.state = 'up';
    await floor.send(note);
    expect(floor.posts().filter((post) => post.startsWith('Noted')).length).toBe(1);
  });
});
