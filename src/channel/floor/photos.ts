import { createHash } from 'node:crypto';
import type { Disk } from '../../journal/disk.js';

/** A photo may have so many bytes. */
export const MOST_PHOTO_BYTES = 8 * 1024 * 1024;

const FOLDER = 'photos';
const TYPES = ['image/jpeg', 'image/png', 'image/webp'] as const;
export type PhotoType = (typeof TYPES)[number];

/** What an image is by its first bytes, whatever it calls itself; null for anything else. */
export function photoType(bytes: Uint8Array): PhotoType | null {
  const at = (from: number, ...wanted: number[]) => wanted.every((byte, i) => bytes[from + i] === byte);
  if (at(0, 0xff, 0xd8, 0xff)) return 'image/jpeg';
  if (at(0, 0x89, 0x50, 0x4e, 0x47, 0x0d, 0x0a, 0x1a, 0x0a)) return 'image/png';
  // RIFF, four bytes of length, WEBP.
  if (at(0, 0x52, 0x49, 0x46, 0x46) && at(8, 0x57, 0x45, 0x42, 0x50)) return 'image/webp';
  return null;
}

/**
 * Keeps a photo under the hash of its bytes, on the disk when this returns, and gives the hash. The same photo again
 * is kept once. `now` in ms since 1970.
 *
 * @throws {DiskError} when the disk does not take it.
 */
export async function keepPhoto(disk: Disk, bytes: Uint8Array, now: number): Promise<string> {
  const sha256 = createHash('sha256').update(bytes).digest('hex');
  const path = pathOf(sha256);
  if (await disk.exists(path)) return sha256;
  await disk.makeFolder(FOLDER);
  // First on the list of those that nothing may name in the end: a photo on no list would stay for ever.
  await append(disk, `${JSON.stringify({ sha256, at: now })}\n`);
  await disk.write(`${path}.new`, bytes);
  await disk.rename(`${path}.new`, path);
  return sha256;
}

/** The bytes of a kept photo, or null. `sha256` as it came from outside: anything but a hash finds nothing. */
export async function readPhoto(disk: Disk, sha256: string): Promise<Buffer | null> {
  return /^[0-9a-f]{64}$/.test(sha256) ? disk.read(pathOf(sha256)) : null;
}

const pathOf = (sha256: string) => `${FOLDER}/${sha256}`;

/** Photos that came since it was last looked which of them a record names. */
const NEW = `${FOLDER}/new.jsonl`;
const DAY_MS = 86_400_000;

/**
 * Clears away photos that came more than a day ago and that no record names: they were refused. To be called while no
 * photo can come. A photo is looked at once; one that is named stays for good. Gives how many went.
 */
export async function sweepPhotos(disk: Disk, now: number): Promise<number> {
  const listed = ((await disk.read(NEW))?.toString() ?? '').split('\n').flatMap(entryIn);
  const due = listed.filter(({ at }) => at < now - DAY_MS);
  if (due.length === 0) return 0;
  const named = await namedOf(
    disk,
    due.map(({ sha256 }) => sha256),
  );
  const left = due.filter(({ sha256 }) => !named.has(sha256));
  for (const { sha256 } of left) await disk.remove(pathOf(sha256));
  const rest = listed.filter((one) => !due.includes(one));
  await disk.write(`${NEW}.new`, Buffer.from(rest.map((one) => `${JSON.stringify(one)}\n`).join('')));
  await disk.rename(`${NEW}.new`, NEW);
  return left.length;
}

/** Which of these hashes stand in any journal: of the shop, of jobs under way and of finished ones. */
async function namedOf(disk: Disk, hashes: readonly string[]): Promise<ReadonlySet<string>> {
  const named = new Set<string>();
  const months = (await disk.list('done')).toReversed().map((month) => `done/${month}`);
  for (const folder of ['open', 'shop', ...months]) {
    for (const name of await disk.list(folder)) {
      if (named.size === new Set(hashes).size) return named;
      const bytes = await disk.read(`${folder}/${name}`);
      if (bytes === null) continue;
      for (const hash of hashes) if (bytes.includes(hash)) named.add(hash);
    }
  }
  return named;
}

async function append(disk: Disk, line: string): Promise<void> {
  const file = await disk.open(NEW);
  try {
    await file.append(Buffer.from(line), true);
  } finally {
    await file.close();
  }
}

function entryIn(line: string): readonly { readonly sha256: string; readonly at: number }[] {
  const found = /^\{"sha256":"([0-9a-f]{64})","at":(\d+)\}$/.exec(line);
  return found === null ? [] : [{ sha256: found[1] ?? '', at: Number(found[2]) }];
}
