import * as z from 'zod';
import type { Disk } from './disk.js';
import type { Line } from './line.js';

/** A channel redelivers for hours, not for days. */
export const KEYS_MS = 25 * 3_600_000;

/** Where the effect of a message is found when it arrives again. `job` is null in the shop journal. */
export type KnownKey = {
  readonly key: string;
  readonly job: string | null;
  readonly seq: number;
  readonly at: number;
};

/** The keys of a journal's last 25 hours before `now`. */
export function keysOf(
  job: string | null,
  lines: readonly Pick<Line<unknown>, 'key' | 'seq' | 'at'>[],
  now: number,
): KnownKey[] {
  return lines.filter(({ at }) => at > now - KEYS_MS).map(({ key, seq, at }) => ({ key, job, seq, at }));
}

const FOLDER = 'recent';
const KEYS = z.object({ keys: z.array(z.tuple([z.string(), z.number(), z.number()])) });

/** Keeps the keys of a job that ends, in a small file of its own, so that a start need not read finished jobs. */
export async function keepKeys(disk: Disk, job: string, keys: readonly KnownKey[]): Promise<void> {
  const text = JSON.stringify({ keys: keys.map(({ key, seq, at }) => [key, seq, at]) });
  await disk.makeFolder(FOLDER);
  await disk.write(`${FOLDER}/${job}.json`, Buffer.from(`${text}\n`));
  await disk.syncFolder(FOLDER);
}

/** The kept keys of the last 25 hours; files that hold none any more are removed. */
export async function readKeys(disk: Disk, now: number): Promise<KnownKey[]> {
  const found: KnownKey[] = [];
  for (const name of await disk.list(FOLDER)) {
    if (!name.endsWith('.json')) continue;
    const job = name.slice(0, -'.json'.length);
    const keys = parseKeys(await disk.read(`${FOLDER}/${name}`)).filter(([, , at]) => at > now - KEYS_MS);
    if (keys.length === 0) await disk.remove(`${FOLDER}/${name}`);
    for (const [key, seq, at] of keys) found.push({ key, job, seq, at });
  }
  return found;
}

function parseKeys(bytes: Buffer | null): readonly (readonly [string, number, number])[] {
  try {
    const parsed = KEYS.safeParse(JSON.parse(bytes?.toString('utf8') ?? ''));
    return parsed.success ? parsed.data.keys : [];
  } catch {
    // A torn file belongs to a job whose move to `done` was not reached: its keys are in its journal still.
    return [];
  }
}
