import { expect, test } from 'vitest';
import { wholeJob } from './crew.js';
import { Floor, flowTexts, provedFlows } from './floor.js';

const flows = await provedFlows(flowTexts(new URL('../..', import.meta.url).pathname));

/** Every word of every thread of a whole job, with something done to the program after every line. */
async function threads(each: (floor: Floor) => Promise<void>): Promise<string> {
  const floor = await Floor.open({ flows });
  await wholeJob(floor, { flow: 'disconnect-fuse', car: 'DEMO-1' }, () => each(floor));
  return floor.thread();
}

const undisturbed = await threads(async () => undefined);

test('a good crew comes to the end of the main job', () => {
  expect(undisturbed).toContain('RECORD OF JOB');
  expect(undisturbed).toContain('PACK INSIDE STILL LIVE');
  expect(undisturbed.match(/Type or say: /g)?.length).toBeGreaterThan(8);
});

test.each([
  ['an end and a start of the program', (floor: Floor) => floor.restart()],
  ['a power cut that loses all that was not flushed', (floor: Floor) => floor.crash()],
  ['a power cut that loses nothing', (floor: Floor) => floor.crash((unsynced) => unsynced)],
  [
    'a power cut in the middle of a line',
    (floor: Floor) => floor.crash((unsynced) => Math.ceil(unsynced / 2)),
  ],
])('%s after every line of the main job changes no word of any thread', async (_, each) => {
  expect(await threads(each)).toBe(undisturbed);
});
