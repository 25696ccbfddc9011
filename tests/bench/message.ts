import { setTimeout as sleep } from 'node:timers/promises';
import type { Bare } from './bare.js';
import { lettersOf } from './bare.js';
import { median } from './figure.js';
import { bytesOf, type Shop } from './shop.js';

/** A desk on the disk whose messages are timed, one after the other. */
export type Timed = { readonly shop: Shop; readonly folder: string; size: number };

/** Milliseconds of one message: heard, decided, on the disk, said, and the next wake-up known. */
export async function message(timed: Timed, bay: string): Promise<number> {
  const { shop, folder } = timed;
  const input = await shop.next(bay);
  return receive(timed, bay, () => shop.desk.receive(input), folder);
}

async function receive(
  timed: Timed,
  bay: string,
  work: () => Promise<void>,
  folder: string,
): Promise<number> {
  const { shop } = timed;
  const before = bytesOf(shop, folder, bay) ?? 0;
  const from = performance.now();
  await work();
  shop.desk.nextWake();
  const took = performance.now() - from;
  const grown = (bytesOf(shop, folder, bay) ?? 0) - before;
  // The last message of a job files its journal: the size of the one before will do.
  if (grown > 0) timed.size = grown;
  return took;
}

export type Pairs = { readonly desk: readonly number[]; readonly bare: readonly number[] };

/** So many pairs of a message and the bare write of as many bytes, each arm first every other time. */
export async function pairs(timed: Timed, bare: Bare, count: number, pauseMs: number): Promise<Pairs> {
  const { shop, folder } = timed;
  const found = { desk: [] as number[], bare: [] as number[] };
  for (let at = 0; at < count; at++) {
    const bay = shop.bays[at % shop.bays.length] ?? '1';
    await shop.pass();
    const input = await shop.next(bay);
    const arms = [
      async () => void found.desk.push(await receive(timed, bay, () => shop.desk.receive(input), folder)),
      async () => void found.bare.push(bare(lettersOf(timed.size))),
    ];
    for (const arm of at % 2 === 0 ? arms : arms.toReversed()) {
      if (pauseMs > 0) await sleep(pauseMs);
      await arm();
    }
  }
  return found;
}

/** The median of one arm over the median of the other. */
export const ratio = (over: readonly number[], under: readonly number[]) => median(over) / median(under);
