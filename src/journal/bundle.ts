import type { Disk } from './disk.js';
import { JournalError } from './fault.js';

/** The texts a job is run by, by file name: its flow, all flows it uses, the hazard table. */
export type BundleTexts = ReadonlyMap<string, string>;

const HASH = /^[0-9a-f]{16,64}$/;
const FILE = /^[a-z0-9][a-z0-9.-]*$/;

/**
 * Keeps the texts of a bundle, once. They are on the disk when this returns; a power cut before leaves nothing.
 *
 * @throws {JournalError} `bad-id` for a hash or a file name that would lead out of the folder.
 */
export async function keepBundle(disk: Disk, hash: string, texts: BundleTexts): Promise<void> {
  const folder = folderOf(hash);
  if (await disk.exists(folder)) return;
  const half = `bundles/${hash}.half`;
  await disk.remove(half);
  await disk.makeFolder(half);
  for (const [name, text] of texts) {
    if (!FILE.test(name))
      throw new JournalError('bad-id', folder, `a bundle cannot hold a file called ${name}`);
    await disk.write(`${half}/${name}`, Buffer.from(text));
  }
  await disk.syncFolder(half);
  await disk.rename(half, folder);
}

/** The texts of a bundle, or null when it was never kept. */
export async function readBundle(disk: Disk, hash: string): Promise<BundleTexts | null> {
  const folder = folderOf(hash);
  const texts = new Map<string, string>();
  for (const name of await disk.list(folder)) {
    texts.set(name, (await disk.read(`${folder}/${name}`))?.toString('utf8') ?? '');
  }
  return texts.size === 0 ? null : texts;
}

/** Whether a bundle was kept. */
export function hasBundle(disk: Disk, hash: string): Promise<boolean> {
  return disk.exists(folderOf(hash));
}

function folderOf(hash: string): string {
  if (HASH.test(hash)) return `bundles/${hash}`;
  throw new JournalError('bad-id', 'bundles', `"${hash}" is not the hash of a bundle`);
}
