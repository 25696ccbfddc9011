import { describe, expect, test } from 'vitest';
import { settled } from '../../src/channel/script/walk.js';
import { NotTaken } from '../../src/desk/port.js';
import { type Disk, DiskError } from '../../src/journal/disk.js';
import type { MemoryDisk } from '../../src/journal/memory-disk.js';
import { tryOut } from '../channel/bench.js';
import { Floor, MINUTE, wordsIn } from './floor.js';

const flows = await tryOut();

/** A disk whose flushes of files with this in their path wait until they are let go. */
function slowDisk(disk: MemoryDisk, part: string): { readonly disk: Disk; hold(): void; go(): void } {
  let held: Promise<void> | null = null;
  let release = () => {};
  return {
    hold: () => {
      held = new Promise((resolve) => {
        release = resolve;
      });
    },
    go: () => {
      held = null;
      release();
    },
    disk: {
      ...disk,
      open: async (path) => {
        const file = await disk.open(path);
        return {
          ...file,
          append: async (bytes, sync) => {
            if (sync && path.includes(part)) await held;
            return file.append(bytes, sync);
          },
        };
      },
    },
  };
}

async function slowFloor(part = 'open/'): Promise<{ floor: Floor; slow: ReturnType<typeof slowDisk> }> {
  let slow: ReturnType<typeof slowDisk> | null = null;
  const floor = await Floor.open({
    flows,
    seenDisk: (disk) => {
      slow = slowDisk(disk, part);
      return slow.disk;
    },
  });
  if (slow === null) throw new Error('the disk was not opened');
  return { floor, slow };
}

describe('what is acknowledged is on the disk', () => {
  test('nothing is acknowledged, concluded or said before the line is flushed', async () => {
    const { floor, slow } = await slowFloor();
    await floor.say('mara', 'start try-out DEMO-1');
    const before = floor.posts();
    slow.hold();
    let acknowledged = false;
    const under = floor.desk.receive(floor.input('mara', 'ok')).then(() => {
      acknowledged = true;
    });
    for (let turn = 0; turn < 20; turn++) await settled();
    expect(acknowledged).toBe(false);
    expect(floor.posts()).toEqual(before);
    expect(floor.desk.jobOf('1')?.closed).toEqual({});
    slow.go();
    await under;
    expect(floor.posts().length).toBe(before.length + 1);
    expect(floor.desk.jobOf('1')?.closed).toEqual({ lamp: true });
  });

  test('what was acknowledged is there after a power cut, what was not is not', async () => {
    const floor = await Floor.open({ flows });
    await floor.say('mara', 'start try-out DEMO-1');
    await floor.say('mara', 'note one');
    floor.disk.full = true;
    await expect(floor.say('mara', 'note two')).rejects.toBeInstanceOf(NotTaken);
    floor.disk.full = false;
    await floor.crash();
    expect(wordsIn(floor.journal())).toEqual(['start try-out DEMO-1', 'note one']);
  });
});

describe('a flush that fails', () => {
  test('once: the good part goes to a new file with the line, and it counts once', async () => {
    const floor = await Floor.open({ flows });
    await floor.say('mara', 'start try-out DEMO-1');
    floor.disk.failSyncs = 1;
    await floor.say('mara', 'ok');
    await floor.crash();
    expect(wordsIn(floor.journal())).toEqual(['start try-out DEMO-1', 'ok']);
    expect(floor.desk.jobOf('1')?.closed).toEqual({ lamp: true });
  });

  test('twice: the input is not taken, nothing has happened, the bay is told, and other bays go on', async () => {
    const floor = await Floor.open({ flows });
    await floor.say('mara', 'start try-out DEMO-1');
    await floor.say('jory', 'start try-out DEMO-2', { bay: '2' });
    floor.disk.failSyncs = 2;
    await expect(floor.say('mara', 'ok')).rejects.toBeInstanceOf(NotTaken);
    expect(floor.desk.jobOf('1')?.closed).toEqual({});
    expect(floor.lastPost()).toContain('NOT TAKEN');
    await floor.say('jory', 'ok', { bay: '2' });
    expect(floor.desk.jobOf('2')?.closed).toEqual({ lamp: true });
  });

  test('twice: after a power cut and a start the same input is taken, once', async () => {
    const floor = await Floor.open({ flows });
    await floor.say('mara', 'start try-out DEMO-1');
    const ok = floor.input('mara', 'ok');
    floor.disk.failSyncs = 2;
    await expect(floor.send(ok)).rejects.toBeInstanceOf(NotTaken);
    await floor.crash();
    await floor.send(ok);
    await floor.send(ok);
    expect(wordsIn(floor.journal())).toEqual(['start try-out DEMO-1', 'ok']);
    expect(floor.desk.jobOf('1')?.closed).toEqual({ lamp: true });
  });
});

describe('a full disk', () => {
  async function full(): Promise<Floor> {
    const floor = await Floor.open({ flows });
    await floor.say('mara', 'start try-out DEMO-1');
    await floor.say('jory', 'start try-out DEMO-2', { bay: '2' });
    floor.disk.full = true;
    return floor;
  }

  test('refuses in words, and the same input is taken when there is room again, without a restart', async () => {
    const floor = await full();
    const ok = floor.input('mara', 'ok');
    await expect(floor.send(ok)).rejects.toBeInstanceOf(NotTaken);
    expect(floor.lastPost()).toMatch(/^NOT TAKEN: the disk of this computer is full/);
    expect(floor.desk.jobOf('1')?.closed).toEqual({});
    floor.disk.full = false;
    await floor.send(ok);
    expect(floor.desk.jobOf('1')?.closed).toEqual({ lamp: true });
  });

  test('leaves no part of a line behind', async () => {
    const floor = await full();
    floor.disk.partial = 7;
    await expect(floor.say('mara', 'ok')).rejects.toBeInstanceOf(NotTaken);
    floor.disk.full = false;
    await floor.say('mara', 'note room again');
    await floor.crash();
    expect(floor.desk.reports.join()).not.toMatch(/damaged|torn|cut off/);
    expect(wordsIn(floor.journal())).toContain('note room again');
  });

  test('still shows the stop card and calls the foreman; the stop itself counts when it comes again', async () => {
    const floor = await full();
    const stop = floor.input('mara', 'stop');
    await expect(floor.send(stop)).rejects.toBeInstanceOf(NotTaken);
    expect(floor.lastPost()).toContain('STOP');
    expect(floor.lastPost()).toContain('000');
    expect(floor.lastPost('foreman')).toContain('Bay 1');
    floor.disk.full = false;
    await floor.send(stop);
    expect(floor.desk.jobOf('1')?.mode).toBe('stopped');
  });

  test('still tells the other bays of smoke, and does not tell them to say again what they never said', async () => {
    const floor = await full();
    await expect(floor.say('mara', 'smoke')).rejects.toBeInstanceOf(NotTaken);
    expect(floor.lastPost('2').toLowerCase()).toContain('smoke');
    expect(floor.posts('2').join('\n')).not.toContain('NOT TAKEN');
  });

  test('refuses a start in words, and the same start is taken when there is room', async () => {
    const floor = await Floor.open({ flows });
    floor.disk.full = true;
    const begin = floor.input('mara', 'start try-out DEMO-1');
    await expect(floor.send(begin)).rejects.toBeInstanceOf(NotTaken);
    expect(floor.lastPost()).toContain('NOT TAKEN');
    expect(floor.desk.jobOf('1')).toBeNull();
    floor.disk.full = false;
    await floor.send(begin);
    expect(floor.desk.jobOf('1')?.asked?.step).toBe('lamp');
  });

  test('holds back what time does, and that happens by itself when there is room', async () => {
    const floor = await full();
    floor.disk.full = false;
    await floor.say('mara', 'ok');
    floor.disk.full = true;
    await floor.later(11);
    expect(floor.desk.jobOf('1')?.facts.warm?.value).toBe('running');
    floor.disk.full = false;
    await floor.later(0);
    expect(floor.desk.jobOf('1')?.facts.warm?.value).toBe('stands');
    expect(floor.lastPost()).toContain('Name of the lamp');
  });

  test('at the end of a job: the end was taken, the summary is said, and a start without room still opens the shop', async () => {
    const floor = await Floor.open({ flows });
    await floor.say('jory', 'start try-out DEMO-2', { bay: '2' });
    await floor.say('mara', 'start try-out DEMO-1');
    await floor.say('mara', 'ok');
    await floor.later(10);
    // Room for one more line, not for a new file.
    floor.disk.write = () => Promise.reject(new DiskError('full', 'write', 'no space left on the disk'));
    await floor.say('mara', 'Sun');
    expect(floor.lastPost()).toContain('RECORD OF JOB');
    expect(floor.desk.jobOf('1')).toBeNull();
    await floor.crash();
    expect(floor.desk.jobOf('1')).toBeNull();
    expect(floor.desk.jobOf('2')?.asked?.step).toBe('lamp');
  });
});

describe('inputs of a bay', () => {
  test('are handled one at a time, the one said first first among those waiting', async () => {
    const { floor, slow } = await slowFloor();
    await floor.say('mara', 'start try-out DEMO-1');
    slow.hold();
    const at = floor.clock.now();
    const first = floor.desk.receive(floor.input('mara', 'note a', { saidAt: at + 50 }));
    const rest = [
      floor.input('mara', 'note d', { saidAt: at + 40 }),
      floor.input('mara', 'note b', { saidAt: at + 10 }),
      floor.input('mara', 'note c', { saidAt: at + 20 }),
    ].map((input) => floor.desk.receive(input));
    for (let turn = 0; turn < 10; turn++) await settled();
    expect(wordsIn(floor.journal())).toEqual(['start try-out DEMO-1']);
    slow.go();
    await Promise.all([first, ...rest]);
    expect(wordsIn(floor.journal()).slice(1)).toEqual(['note a', 'note b', 'note c', 'note d']);
  });

  test('do not wait for the disk of another bay', async () => {
    const { floor, slow } = await slowFloor('-001');
    await floor.say('mara', 'start try-out DEMO-1');
    await floor.say('jory', 'start try-out DEMO-2', { bay: '2' });
    slow.hold();
    const held = floor.desk.receive(floor.input('mara', 'ok'));
    await floor.say('jory', 'ok', { bay: '2' });
    expect(floor.desk.jobOf('2')?.closed).toEqual({ lamp: true });
    expect(floor.desk.jobOf('1')?.closed).toEqual({});
    slow.go();
    await held;
  });

  test('what time does in a bay whose record fails does not keep time from another bay', async () => {
    let broken = false;
    const failing = (path: string) => {
      if (broken && path.includes('-001')) throw new DiskError('failed', 'sync', 'sync failed');
    };
    const floor = await Floor.open({
      flows,
      seenDisk: (disk) => ({
        ...disk,
        write: async (path, bytes) => {
          failing(path);
          return disk.write(path, bytes);
        },
        open: async (path) => {
          const file = await disk.open(path);
          const append = async (bytes: Uint8Array, sync: boolean) => {
            failing(path);
            return file.append(bytes, sync);
          };
          return { ...file, append };
        },
      }),
    });
    await floor.say('mara', 'start try-out DEMO-1');
    await floor.say('jory', 'start try-out DEMO-2', { bay: '2' });
    await floor.say('mara', 'ok');
    await floor.say('jory', 'ok', { bay: '2' });
    floor.clock.moveTo(floor.clock.now() + 11 * MINUTE);
    broken = true;
    await floor.desk.tick().catch(() => undefined);
    expect(floor.desk.jobOf('1')?.facts.warm?.value).toBe('running');
    expect(floor.desk.jobOf('2')?.facts.warm?.value).toBe('stands');
  });
});
