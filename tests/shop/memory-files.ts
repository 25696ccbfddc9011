import { createHash } from 'node:crypto';
import type { MemoryDisk } from '../../src/journal/memory-disk.js';
import type { Files } from '../../src/shop/files.js';

/** The register's files on a disk in memory that can lose its power. A second name is a copy there. */
export function memoryFiles(disk: MemoryDisk): Files {
  const files: Files = {
    read: async (path) => (await disk.read(path))?.toString() ?? null,
    stamp: async (path) => {
      const bytes = await disk.read(path);
      return bytes === null ? null : createHash('sha256').update(bytes).digest('hex');
    },
    write: (path, text) => disk.write(path, Buffer.from(text)),
    keepAs: async (path, second) => {
      const text = await files.read(path);
      if (text !== null) await files.write(second, text);
    },
    rename: (from, to) => disk.rename(from, to),
    syncFolder: (folder) => disk.syncFolder(folder),
    makeFolder: (folder) => disk.makeFolder(folder),
    list: (folder) => disk.list(folder),
    remove: (path) => disk.remove(path),
  };
  return files;
}
