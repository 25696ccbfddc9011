import { type Disk, DiskError, type DiskFile } from './disk.js';

/** How many of so many unsynced bytes of a file a power cut leaves. */
export type Tear = (unsynced: number) => number;

/** A disk in memory that can be pulled, filled and broken. Synced and unsynced bytes are kept apart. */
export type MemoryDisk = Disk & {
  /** Power cut: unsynced bytes and names are lost, but for what `tear` leaves of each file; open files are dead. */
  crash(tear?: Tear): void;
  /** The power goes at the so-many-th operation from now: all fail from there on, until `crash`. */
  loseAt(operations: number): void;
  /** While full, appends leave `partial` bytes and fail. */
  full: boolean;
  partial: number;
  /** The next so many syncs fail. */
  failSyncs: number;
  /** Syncs of files so far. */
  readonly syncs: number;
  /** Every file as it is now, by path. */
  readonly files: ReadonlyMap<string, { readonly bytes: Buffer }>;
};

type Kept = { bytes: Buffer; synced: Buffer };

export function openMemoryDisk(): MemoryDisk {
  let files = new Map<string, Kept>();
  /** Names as they would be found after a power cut. */
  const names = new Map<string, Kept>();
  let age = 0;
  let left = Number.POSITIVE_INFINITY;
  let syncs = 0;

  const tick = (from = age) => {
    if (from !== age) throw new DiskError('failed', 'other', 'this file was open before the power cut');
    left--;
    if (left < 0) throw new DiskError('power-lost', 'other', 'the power is off');
  };

  const syncName = (path: string) => {
    const kept = files.get(path);
    if (kept === undefined) names.delete(path);
    else names.set(path, kept);
  };

  const move = (map: Map<string, Kept>, from: string, to: string) => {
    const kept = map.get(from);
    if (kept === undefined) return;
    map.delete(from);
    map.set(to, kept);
  };

  const syncMove = (from: string, to: string) => {
    syncName(from);
    syncName(to);
  };

  const syncFile = (kept: Kept) => {
    syncs++;
    if (disk.failSyncs > 0) {
      disk.failSyncs--;
      throw new DiskError('failed', 'sync', 'sync failed');
    }
    kept.synced = kept.bytes;
  };

  const inFolder = (folder: string, path: string) => path.startsWith(`${folder}/`);

  const openKept = (kept: Kept): DiskFile => {
    const born = age;
    return {
      append: async (bytes, sync) => {
        tick(born);
        if (disk.full) {
          kept.bytes = Buffer.concat([kept.bytes, bytes.subarray(0, disk.partial)]);
          throw new DiskError('full', 'write', 'no space left on the disk');
        }
        kept.bytes = Buffer.concat([kept.bytes, bytes]);
        if (!sync) return;
        tick(born);
        syncFile(kept);
        // The flush may be done and the power go before anybody hears of it.
        tick(born);
      },
      truncate: async (length) => {
        tick(born);
        kept.bytes = kept.bytes.subarray(0, length);
      },
      sync: async () => {
        tick(born);
        syncFile(kept);
      },
      close: async () => tick(born),
    };
  };

  const disk: MemoryDisk = {
    full: false,
    partial: 0,
    failSyncs: 0,
    get syncs() {
      return syncs;
    },
    get files() {
      return files;
    },
    crash: (tear = () => 0) => {
      for (const kept of new Set([...files.values(), ...names.values()])) {
        const { bytes, synced } = kept;
        const extra = bytes.length - synced.length;
        const grown = extra > 0 && bytes.subarray(0, synced.length).equals(synced);
        kept.bytes = grown ? bytes.subarray(0, synced.length + Math.min(extra, tear(extra))) : synced;
        kept.synced = kept.bytes;
      }
      files = new Map(names);
      age++;
      left = Number.POSITIVE_INFINITY;
    },
    loseAt: (operations) => {
      left = operations;
    },
    open: async (path) => {
      tick();
      const known = files.get(path);
      if (known !== undefined) return openKept(known);
      const kept: Kept = { bytes: Buffer.alloc(0), synced: Buffer.alloc(0) };
      files.set(path, kept);
      tick();
      syncName(path);
      return openKept(kept);
    },
    read: async (path) => {
      tick();
      const kept = files.get(path);
      return kept === undefined ? null : Buffer.from(kept.bytes);
    },
    write: async (path, bytes) => {
      tick();
      const kept: Kept = { bytes: Buffer.alloc(0), synced: Buffer.alloc(0) };
      files.set(path, kept);
      if (disk.full) throw new DiskError('full', 'write', 'no space left on the disk');
      kept.bytes = Buffer.from(bytes);
      tick();
      syncFile(kept);
    },
    rename: async (from, to) => {
      tick();
      const moved = [...files.keys()].filter((path) => path === from || inFolder(from, path));
      const nameOf = (path: string) => to + path.slice(from.length);
      for (const path of moved) move(files, path, nameOf(path));
      tick();
      // Moving a folder makes its own name sure, not the names in it.
      for (const path of moved) if (path === from || names.has(path)) syncMove(path, nameOf(path));
    },
    remove: async (path) => {
      tick();
      for (const name of [...files.keys()]) if (name === path || inFolder(path, name)) files.delete(name);
    },
    exists: async (path) => {
      tick();
      return files.has(path) || [...files.keys()].some((name) => inFolder(path, name));
    },
    list: async (folder) => {
      tick();
      const found = [...files.keys()].filter((path) => inFolder(folder, path));
      return [...new Set(found.map((path) => path.slice(folder.length + 1).split('/')[0] ?? ''))].sort();
    },
    makeFolder: async () => tick(),
    syncFolder: async (folder) => {
      tick();
      for (const path of new Set([...files.keys(), ...names.keys()]))
        if (inFolder(folder, path)) syncName(path);
    },
  };
  return disk;
}
