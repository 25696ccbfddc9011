import { expect, test } from 'vitest';
import { carsOf, runFlow } from './run.js';
import { openTrials, trialRegister } from './shop.js';

const INPUTS = Number(process.env.PROPERTY_INPUTS ?? 20_000);
const SEED = Number(process.env.PROPERTY_SEED ?? 20260302);
const OFTEN = 20;

test('whatever people say, nothing watched settles but by its readings, no tray loses anything, and every job ends', async () => {
  const flows = await openTrials();
  const register = trialRegister();
  const flow = flows.current('trial-spill');
  if (flow === null) throw new Error('there is no trial of a spill');
  const refusals = new Map<string, number>();
  const cars = carsOf(register, flow);
  const counts = await runFlow(flows, register, {
    flow: 'trial-spill',
    cars,
    inputs: INPUTS,
    seed: SEED,
    refusals,
  });
  for (const step of ['spill', 'vacuum', 'level']) {
    expect(counts.shown.get(step) ?? 0, `${step} shown`).toBeGreaterThan(OFTEN);
  }
  for (const why of ['not-settled', 'went-down', 'emptied-at']) {
    expect(refusals.get(why) ?? 0, `refused: ${why}`).toBeGreaterThan(OFTEN);
  }
}, 900_000);
