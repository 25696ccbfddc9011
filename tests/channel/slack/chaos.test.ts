import { describe, expect, test } from 'vitest';
import { cameTo, chaosJob, wrongIn } from './chaos.js';
import { type Mode, SlackShop } from './shop.js';

/** More runs: BAYWARDEN_CHAOS=300. One run again: BAYWARDEN_SEED=17. */
const RUNS = Number(process.env.BAYWARDEN_CHAOS ?? 12);
const ONE = process.env.BAYWARDEN_SEED;
const seeds = ONE === undefined ? Array.from({ length: RUNS }, (_, at) => at + 1) : [Number(ONE)];

async function calm() {
  const shop = await SlackShop.open('process');
  await shop.say('mara', 'start disconnect-fuse DEMO-1');
  await shop.goOn(() => false);
  const came = await cameTo(shop);
  await shop.close();
  return came;
}

async function run(seed: number, mode: Mode, expected: Awaited<ReturnType<typeof calm>>): Promise<void> {
  const shop = await SlackShop.open(mode);
  shop.timeoutMs = 30;
  try {
    await chaosJob(seed, shop);
    expect(await wrongIn(shop), `BAYWARDEN_SEED=${seed}`).toEqual([]);
    expect(await cameTo(shop), `BAYWARDEN_SEED=${seed}`).toEqual(expected);
  } finally {
    await shop.close();
  }
}

describe('a whole job with faults at random', () => {
  test(`comes to the same as without, ${seeds.length} times in one process`, async () => {
    const expected = await calm();
    for (const seed of seeds) await run(seed, 'process', expected);
  });
});
