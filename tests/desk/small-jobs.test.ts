import { expect, test } from 'vitest';
import { wholeJob } from './crew.js';
import { Floor, flowTexts, provedFlows } from './floor.js';

const flows = await provedFlows(flowTexts(new URL('../..', import.meta.url).pathname));

/** Each flow on a car that has its support kept, its battery told and sensors in its wheels, and on one that has not. */
test.each([
  ['lv-battery', 'DEMO-1', 'low-voltage battery, change 2031-03-02'],
  ['lv-battery', 'DEMO-3', 'Fitted type lithium'],
  ['tyre-swap', 'DEMO-1', 'wheel bolts, tighten again'],
  ['tyre-swap', 'DEMO-4', 'wheel bolts, tighten again'],
  ['hv-cable', 'DEMO-1', 'Cable serial'],
  ['hv-cable', 'DEMO-5', 'Cable serial'],
  ['coolant-renew', 'DEMO-3', 'coolant, renew 2030-03-02'],
])('a good crew brings %s of %s to its end', async (flow, car, says) => {
  const floor = await Floor.open({ flows });
  await wholeJob(floor, { flow, car });
  expect(floor.thread()).toContain('RECORD OF JOB');
  expect(floor.thread()).toContain(says);
});
