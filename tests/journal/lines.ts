import type { Event } from '../../src/job/event.js';
import type { NewLine } from '../../src/journal/line.js';
import type { MemoryDisk } from '../../src/journal/memory-disk.js';
import { openStore, type Store } from '../../src/journal/store.js';

export const BUNDLE = 'b'.repeat(64);
/** 2026-03-02 08:00 UTC. */
export const EIGHT = Date.UTC(2026, 2, 2, 8);
const MINUTE = 60_000;

export const started = (job: string): Event => ({
  type: 'job-started',
  job,
  number: job,
  flow: 'make-safe',
  bundle: BUNDLE,
  bay: '1',
  car: { registration: 'DEMO-1', model: 'teasel', odometerKm: null, kmPerYear: null },
  zone: 'Europe/Dublin',
  holder: 'mara',
  name: 'Mara Tillet',
  at: EIGHT,
  values: {},
  choices: {},
  given: [],
  emergency: [],
});

const WHO = { by: 'mara', name: 'Mara Tillet', at: EIGHT };

export const ended: Event = { type: 'job-ended', how: 'done', open: [], due: [], ...WHO };

const note = (text: string): Event => ({ type: 'noted', text, photo: null, step: null, ...WHO });

/** Input number `seq` of a job: the first starts it, the others say something. */
export function lineOf(job: string, seq: number, words = `note ${seq} – 9 N·m, "0,3" µ`): NewLine {
  const at = EIGHT + seq * MINUTE;
  const events = seq === 1 ? [started(job)] : [note(words)];
  return {
    at,
    saidAt: at - 1000,
    by: 'mara',
    name: 'Mara Tillet',
    via: 'script',
    key: `${job}/${seq}`,
    words,
    events,
  };
}

/** A store on a disk with the bundle kept, as after a start. */
export async function storeOn(disk: MemoryDisk): Promise<Store> {
  const store = openStore(disk);
  await store.openJobs(EIGHT);
  await store.keepBundle(BUNDLE, new Map([['make-safe.yaml', 'flow: make-safe\n']]));
  return store;
}

/** A disk with one job of so many lines, and the bytes of its journal. */
export async function jobOf(disk: MemoryDisk, job: string, lines: number): Promise<Buffer> {
  const store = await storeOn(disk);
  for (let seq = 1; seq <= lines; seq++) await store.append(job, seq, lineOf(job, seq));
  await store.close();
  return disk.files.get(`open/${job}.jsonl`)?.bytes ?? Buffer.alloc(0);
}

/** Puts bytes in place of a file, as a person or a broken disk would. */
export async function overwrite(disk: MemoryDisk, path: string, bytes: Buffer): Promise<void> {
  await disk.write(path, bytes);
  await disk.syncFolder(path.slice(0, path.lastIndexOf('/')));
}
