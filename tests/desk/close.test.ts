import { expect, test } from 'vitest';
import type { Disk } from '../../src/journal/disk.js';
import { tryOut } from '../channel/bench.js';
import { Floor, wordsIn } from './floor.js';

const flows = await tryOut();

/** The disk, each flush of which takes so many turns. */
const slow =
  (turns: number) =>
  (disk: Disk): Disk => ({
    ...disk,
    open: async (path) => {
      const file = await disk.open(path);
      return {
        ...file,
        append: async (bytes, sync) => {
          for (let turn = 0; turn < turns; turn++) await new Promise((resolve) => setImmediate(resolve));
          return file.append(bytes, sync);
        },
      };
    },
  });

test('an end in order waits for all that was said before it, and for what bays tell each other of it', async () => {
  const floor = await Floor.open({ flows, seenDisk: slow(5) });
  await floor.say('mara', 'start try-out DEMO-1');
  await floor.say('jory', 'start try-out DEMO-2', { bay: '2' });
  const under = ['note one', 'note two', 'smoke'].map((words) =>
    floor.desk.receive(floor.input('mara', words)),
  );
  await floor.desk.close();
  await expect(Promise.all(under)).resolves.toHaveLength(3);
  const words = wordsIn(floor.journal());
  expect(words).toEqual(expect.arrayContaining(['note one', 'note two', 'smoke']));
  expect(floor.posts('2').join('\n')).toMatch(/smoke/i);
});
