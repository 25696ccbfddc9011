import { expect, test } from 'vitest';
import { wholeJob } from './crew.js';
import { Floor, flowTexts, provedFlows } from './floor.js';

const ROOT = new URL('../..', import.meta.url).pathname;
const flows = await provedFlows(flowTexts(ROOT));
const JOB = { flow: 'disconnect-fuse', car: 'DEMO-1' };

async function plain(): Promise<Floor> {
  const floor = await Floor.open({ flows });
  await wholeJob(floor, JOB);
  return floor;
}

test('a whole job', async () => {
  const floor = await plain();
  console.log(floor.thread());
  expect(floor.disk.syncs).toBeGreaterThan(80);
});

test('a program that is ended and started again after every line of a whole job changes no word of any thread', async () => {
  const floor = await Floor.open({ flows });
  await wholeJob(floor, JOB, () => floor.restart());
  expect(floor.thread()).toBe((await plain()).thread());
});

test('a power cut after every line of a whole job changes no word of any thread', async () => {
  const floor = await Floor.open({ flows });
  await wholeJob(floor, JOB, () => floor.crash());
  expect(floor.thread()).toBe((await plain()).thread());
});
