import { hash } from 'node:crypto';
import * as fs from 'node:fs';
import { join } from 'node:path';
import { VirtualClock } from '../../src/desk/clock.js';
import { Desk } from '../../src/desk/desk.js';
import type { FlowSource } from '../../src/desk/flow-source.js';
import { memoryShop } from '../../src/desk/shops.js';
import { foldAll } from '../../src/job/fold.js';
import { openMemoryDisk } from '../../src/journal/memory-disk.js';
import { openNodeDisk } from '../../src/journal/node-disk.js';
import { openStore } from '../../src/journal/store.js';
import type { Register } from '../../src/shop/register.js';
import { MORNING } from '../desk/floor.js';
import { busyRegister, Shop } from './shop.js';

/** Writes so many jobs under way into a data folder, each with at least so many events. Gives the events in all. */
export async function makeOpenJobs(
  folder: string,
  demo: Register,
  flows: FlowSource,
  { jobs, events }: { readonly jobs: number; readonly events: number },
): Promise<number> {
  fs.mkdirSync(join(folder, 'open'), { recursive: true, mode: 0o700 });
  let all = 0;
  for (let number = 1; number <= jobs; number++) {
    const disk = openMemoryDisk();
    const shop = await Shop.open(busyRegister(demo, 1, `R${number}`), flows, disk);
    let found = 0;
    while (found < events) {
      await shop.desk.receive(await shop.next('1'));
      await shop.pass();
      const open = [...disk.files].find(([path]) => path.startsWith('open/'));
      if (open === undefined) throw new Error(`a job ended after ${found} events`);
      found = open[1].bytes.toString().split('"type":').length - 1;
    }
    all += found;
    for (const [path, { bytes }] of disk.files) {
      if (path.startsWith('open/')) {
        // A bay each, as in a shop that has them all under way.
        fs.writeFileSync(join(folder, path), bytes);
      } else if (path.startsWith('bundles/')) {
        fs.mkdirSync(join(folder, path, '..'), { recursive: true });
        fs.writeFileSync(join(folder, path), bytes);
      }
    }
  }
  return all;
}

/** Milliseconds to read, verify and fold all jobs under way, as a start does. */
export async function replay(folder: string): Promise<number> {
  const from = performance.now();
  const { jobs } = await openStore(openNodeDisk(folder)).openJobs(MORNING);
  for (const { job, journal } of jobs) foldAll(job, journal.lines);
  return performance.now() - from;
}

const TAIL_LENGTH = ',"hash":""}'.length + 64;

/** Milliseconds to read the same files, hash every line on the one before, and parse it. */
export function bareReplay(folder: string): number {
  const from = performance.now();
  for (const name of fs.readdirSync(join(folder, 'open'))) {
    let before = '0'.repeat(64);
    for (const line of fs.readFileSync(join(folder, 'open', name), 'utf8').split('\n')) {
      if (line === '') continue;
      before = hash('sha256', before + line.slice(0, -TAIL_LENGTH));
      JSON.parse(line);
    }
  }
  return performance.now() - from;
}

/** Milliseconds until a whole desk is open on the folder: replay, flows, what was left unsaid, what is due. */
export async function openDesk(folder: string, register: Register, flows: FlowSource): Promise<number> {
  const from = performance.now();
  const channel = { name: 'bench', deliver: async () => '1', find: async () => null };
  const parts = { disk: openNodeDisk(folder), clock: new VirtualClock(MORNING), channel, flows };
  const desk = await Desk.open({ ...parts, shop: memoryShop(register) });
  const took = performance.now() - from;
  await desk.close();
  return took;
}
