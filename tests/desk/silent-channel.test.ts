import { describe, expect, test } from 'vitest';
import type { Patience } from '../../src/desk/patience.js';
import type { Channel } from '../../src/desk/port.js';
import { tryOut } from '../channel/bench.js';
import { Floor } from './floor.js';

const flows = await tryOut();

/** Time that the test lets pass by hand, for whoever waits. */
function handTimer(): Patience & { readonly pass: () => void; readonly waiting: () => number } {
  const due = new Set<() => void>();
  return {
    ms: 10_000,
    timer: (_, run) => {
      due.add(run);
      return () => due.delete(run);
    },
    waiting: () => due.size,
    pass: () => {
      for (const run of [...due]) run();
      due.clear();
    },
  };
}

const turns = async () => {
  for (let turn = 0; turn < 20; turn++) await new Promise((resolve) => setImmediate(resolve));
};

/** A channel that does not answer for one bay while `silent`; what it took may stand there all the same. */
function deaf(bay: string, state: { silent: boolean; takes: boolean }): (channel: Channel) => Channel {
  const never = new Promise<never>(() => undefined);
  return (channel) => ({
    name: channel.name,
    deliver: async (out) => {
      if (!state.silent || out.bay !== bay) return channel.deliver(out);
      if (state.takes) await channel.deliver(out);
      return never;
    },
    find: (out) => (state.silent && out.bay === bay ? never : channel.find(out)),
  });
}

async function deafFloor(takes: boolean) {
  const state = { silent: false, takes };
  const patience = handTimer();
  const floor = await Floor.open({ flows, patience, seenChannel: deaf('1', state) });
  await floor.say('mara', 'start try-out DEMO-1');
  await floor.say('jory', 'start try-out DEMO-2', { bay: '2' });
  state.silent = true;
  return { floor, state, patience };
}

describe('a channel that does not answer', () => {
  test.each([
    ['had arrived all the same', true],
    ['had not arrived', false],
  ])('lets go of the bay after its time, and the post that %s stands there once', async (_, takes) => {
    const { floor, state, patience } = await deafFloor(takes);
    let acknowledged = false;
    const under = floor.say('mara', 'note one').then(() => {
      acknowledged = true;
    });
    await turns();
    expect(acknowledged).toBe(false);
    patience.pass();
    await under;
    state.silent = false;
    await floor.say('mara', 'ok');
    expect(floor.posts().filter((post) => post.startsWith('Noted')).length).toBe(1);
    expect(floor.desk.jobOf('1')?.closed).toEqual({ lamp: true });
  });

  test('does not keep time and words from other bays', async () => {
    const { floor, patience } = await deafFloor(false);
    const under = floor.say('mara', 'note one');
    await turns();
    await floor.say('jory', 'ok', { bay: '2' });
    expect(floor.desk.jobOf('2')?.closed).toEqual({ lamp: true });
    const ticked = floor.desk.tick();
    for (let round = 0; round < 3; round++) {
      await turns();
      patience.pass();
    }
    await Promise.all([under, ticked]);
    await floor.say('jory', 'note two', { bay: '2' });
    expect(floor.lastPost('2')).toMatch(/^Noted/);
  });

  test('leaves no timer behind for posts that were delivered in time', async () => {
    const { floor, state, patience } = await deafFloor(false);
    state.silent = false;
    await floor.say('mara', 'note one');
    expect(patience.waiting()).toBe(0);
  });
});
