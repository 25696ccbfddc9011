import * as fs from 'node:fs';
import { join } from 'node:path';
import type { EndedJob } from '../../src/desk/shop-port.js';
import { type FolderShop, openFolderShop } from '../../src/desk/shops.js';
import type { Flow } from '../../src/flow/flow.js';
import type { Job } from '../../src/job/job.js';
import { openNodeDisk } from '../../src/journal/node-disk.js';
import { openStore, type Store } from '../../src/journal/store.js';
import { type BoardBay, boardOf } from '../../src/record/board.js';
import { WORKSHOP } from '../../src/shop/demo/workshop.js';
import { DOCUMENT_NAMES } from '../../src/shop/documents.js';
import { openRegister } from '../../src/shop/folder.js';
import { printJson } from '../../src/shop/json.js';
import { whereLines } from '../../src/talk/recap.js';
import { addDays, addMonths } from '../../src/trade/dates.js';
import { makePastJobs } from './past.js';

/** A workshop of twelve bays ends about so many jobs a day, each car comes about so often. */
const JOBS_A_DAY = 20;
const JOBS_A_CAR = 4;
const FIRST_DAY = '2026-03-02';
const DAY_MS = 86_400_000;

/** What a job files: a fuse in eight years, a look at the seal in two, wheel bolts in three weeks, coolant in four years. */
function duesOn(date: string): EndedJob['due'] {
  return [
    { what: 'fuse', on: addMonths(date, 96), atKm: null, rule: 'own-cell-from-fitting' },
    { what: 'seal-look', on: addMonths(date, 24), atKm: 120_000, rule: 'months' },
    { what: 'wheel-bolts', on: addDays(date, 21), atKm: 81_300, rule: 'distance' },
    { what: 'coolant', on: addMonths(date, 48), atKm: null, rule: 'months' },
  ];
}

const STAGES = ['make-safe', 'pack-down', 'cover-reseal', 'pack-up', 're-energise'].map((stage, at) => ({
  ...{ stage, workedMs: (at + 1) * 900_000, waitedMs: 60_000, stoodMs: 0 },
}));

/** The cars that come while it is measured: those that came last before, in both offices alike. */
const FLEET = 25;

/** The `n`-th job from the first day of the bench on; below 0 it lies in the past. Cars come again and again. */
function jobAt(n: number, cars: number): EndedJob {
  const endedOn = addDays(FIRST_DAY, Math.floor(n / JOBS_A_DAY));
  const endedAt = Date.parse(`${endedOn}T16:00:00Z`);
  const car = n < 0 ? ((n % cars) + cars) % cars : cars - FLEET + (n % FLEET);
  return {
    ...{ job: `QM-${n < 0 ? 'P' : 'N'}-${Math.abs(n)}`, seq: 150, flow: 'disconnect-fuse', bay: '1' },
    ...{ registration: `CAR-${car}`, startedAt: endedAt - DAY_MS, endedAt, endedOn },
    ...{ stages: STAGES, how: 'done', due: duesOn(endedOn) },
  };
}

/** An office with so many jobs behind it, as filing them one after the other leaves it, and their journals in `done/`. */
export async function makePast(folder: string, jobs: number): Promise<void> {
  makePastJobs(folder, jobs);
  const register = join(folder, 'register');
  const documents = new Map<string, Record<string, unknown> & { due?: unknown[]; jobs?: unknown[] }>();
  const add = (path: string, list: 'due' | 'jobs', entry: unknown, head: Record<string, unknown> = {}) => {
    const document = documents.get(path) ?? { ...head };
    document[list] = [...(document[list] ?? []), entry];
    documents.set(path, document);
  };
  const cars = Math.max(FLEET, Math.floor(jobs / JOBS_A_CAR));
  for (let n = -jobs; n < 0; n++) {
    const { job, seq, registration, due, flow, bay, startedAt, endedAt, endedOn, how } = jobAt(n, cars);
    const name = registration.replace('-', '');
    const past = { job, flow, bay, startedAt, endedAt, how };
    add(`history/${name}.json`, 'jobs', past, { registration });
    add(`ended/${endedOn.slice(0, 7)}/${endedOn}.json`, 'jobs', job);
    // The last job of a car settles what the ones before had made due.
    if (n < -cars) continue;
    for (const { what, on, atKm, rule } of due) {
      const entry = { job, seq, registration, what, on, atKm, rule, filedAt: endedAt };
      add(`due/${on?.slice(0, 7)}/${on}-${what}.json`, 'due', entry);
      add(`due/cars/${name}.json`, 'due', entry, { registration });
    }
  }
  for (const name of DOCUMENT_NAMES) documents.set(name, WORKSHOP[name] as never);
  for (const [path, document] of documents) {
    fs.mkdirSync(join(register, path, '..'), { recursive: true });
    fs.writeFileSync(join(register, path), printJson(document));
  }
}

/** An office on its folder, that files one job after the other. */
export class OfficeArm {
  private n = 0;

  private constructor(
    private readonly folder: string,
    private readonly shop: FolderShop,
    private readonly store: Store,
    private readonly cars: number,
  ) {}

  static async open(folder: string, jobs: number): Promise<OfficeArm> {
    const read = await openFolderShop(openRegister(join(folder, 'register')));
    if (!read.ok) throw new Error('the office of the bench has faults');
    const store = openStore(openNodeDisk(folder));
    await store.openJobs(0);
    return new OfficeArm(folder, read.shop, store, Math.max(FLEET, Math.floor(jobs / JOBS_A_CAR)));
  }

  /** Milliseconds of a completed job: due dates, history, times and its day filed, its journal put away. */
  async complete(): Promise<number> {
    const ended = jobAt(this.n++, this.cars);
    const open = join(this.folder, 'open', `${ended.job}.jsonl`);
    fs.writeFileSync(open, '{"v":1,"seq":1}\n');
    const from = performance.now();
    await this.shop.fileEnded(ended);
    await this.store.finish(ended.job, ended.endedOn.slice(0, 7), ended.endedAt);
    return performance.now() - from;
  }
}

/** What somebody asks of all bays at once, and the plain reading of their state beside it, in ms. */
export function askAll(bays: readonly BoardBay[], now: number, times: number) {
  const busy = bays.flatMap(({ job, flow }) => (job === null || flow === null ? [] : [{ job, flow }]));
  const works = {
    board: () => boardOf(bays, now).rows.length,
    where: () => busy.reduce((sum, { job, flow }) => sum + whereLines(job, flow).length, 0),
    bare: () => busy.reduce((sum, { job, flow }) => sum + plainReading(job, flow), 0),
  };
  const took = { board: [] as number[], where: [] as number[], bare: [] as number[] };
  for (let at = -20; at < times; at++) {
    for (const arm of at % 2 === 0
      ? (['board', 'where', 'bare'] as const)
      : (['bare', 'where', 'board'] as const)) {
      const from = performance.now();
      if (works[arm]() === 0) throw new Error(`${arm} says nothing`);
      if (at >= 0) took[arm].push(performance.now() - from);
    }
  }
  return took;
}

/** Every fact with its value, instant and cause, every step and whether it is closed, and who is there. */
function plainReading(job: Job, flow: Flow): number {
  const read: unknown[] = [job.mode, job.holder, job.standby, job.asked?.step, job.waitingFor?.until];
  for (const { id } of flow.rules.facts) {
    const standing = job.facts[id];
    read.push(standing?.value, standing?.at, standing?.since, standing?.why);
  }
  for (const { id } of flow.steps) read.push(job.closed[id]);
  return read.length;
}
