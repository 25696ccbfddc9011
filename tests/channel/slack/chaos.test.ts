import { beforeAll, describe, expect, test } from 'vitest';
import { cameTo, chaosJob, wrongIn } from './chaos.js';
import { type Mode, SlackShop } from './shop.js';

/** More runs: BAYWARDEN_CHAOS=300. One of them again: BAYWARDEN_CHAOS=1 BAYWARDEN_SEED=17. */
const RUNS = Number(process.env.BAYWARDEN_CHAOS ?? 10);
const FIRST = Number(process.env.BAYWARDEN_SEED ?? 1);
const seeds = Array.from({ length: RUNS }, (_, at) => FIRST + at);
const overSockets = seeds.slice(0, Number(process.env.BAYWARDEN_CHAOS_SOCKETS ?? 1));

/** Calls that nobody answers are given up at once: nothing here is slow. */
const TIMEOUT_MS = 40;

let calm: Awaited<ReturnType<typeof cameTo>>;
beforeAll(async () => {
  const shop = await SlackShop.open('process');
  await shop.say('mara', 'start disconnect-fuse DEMO-1');
  await shop.goOn(() => false);
  calm = await cameTo(shop);
  await shop.close();
});

async function run(seed: number, mode: Mode): Promise<void> {
  const shop = await SlackShop.open(mode, TIMEOUT_MS);
  shop.standIn.web.level = { dropsMetadata: seed % 7 === 0 };
  try {
    await chaosJob(seed, shop);
    expect(await wrongIn(shop)).toEqual([]);
    expect(await cameTo(shop)).toEqual(calm);
  } finally {
    await shop.close();
  }
}

describe('a whole job with faults at random comes to the same as without', () => {
  test.each(seeds)('in one process, seed %i', (seed) => run(seed, 'process'));
  test.each(overSockets)('over sockets, seed %i', (seed) => run(seed, 'socket'));
});
