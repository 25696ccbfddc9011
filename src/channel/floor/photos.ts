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
 * is kept once.
 *
 * @throws {DiskError} when the disk does not take it.
 */
export async function keepPhoto(disk: Disk, bytes: Uint8Array): Promise<string> {
  const sha256 = createHash('sha256').update(bytes).digest('hex');
  const path = pathOf(sha256);
  if (await disk.exists(path)) return sha256;
  await disk.makeFolder(FOLDER);
  await disk.write(`${path}.new`, bytes);
  await disk.rename(`${path}.new`, path);
  return sha256;
}

/** The bytes of a kept photo, or null. `sha256` as it came from outside: anything but a hash finds nothing. */
export async function readPhoto(disk: Disk, sha256: string): Promise<Buffer | null> {
  return /^[0-9a-f]{64}$/.test(sha256) ? disk.read(pathOf(sha256)) : null;
}

const pathOf = (sha256: string) => `${FOLDER}/${sha256}`;
