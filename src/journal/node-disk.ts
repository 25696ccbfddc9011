import * as fs from 'node:fs';
import { dirname, join } from 'node:path';
import { type Disk, DiskError, type DiskFile } from './disk.js';

/** What waits to be written and flushed, in the order it was asked. */
type Waiting = {
  readonly fd: number;
  readonly bytes: Uint8Array;
  readonly resolve: () => void;
  readonly reject: (error: DiskError) => void;
};

/**
 * The disk under a folder, which is made with mode 0700. A single append is written and flushed blocking, which is
 * the fastest there is; as soon as several wait, they go to the thread pool side by side.
 *
 * @throws when the folder cannot be made or belongs to somebody else.
 */
export function openNodeDisk(root: string): Disk {
  fs.mkdirSync(root, { recursive: true, mode: 0o700 });
  fs.chmodSync(root, 0o700);
  const full = (path: string) => join(root, path);
  const lane = openLane();

  return {
    open: async (path) => {
      const isNew = !fs.existsSync(full(path));
      const fd = fs.openSync(full(path), 'a', 0o600);
      if (isNew) syncFolder(dirname(full(path)));
      return openFile(fd, lane);
    },
    read: async (path) => orNull(() => fs.readFileSync(full(path))),
    write: async (path, bytes) => {
      const fd = fs.openSync(full(path), 'w', 0o600);
      try {
        writeAll(fd, bytes);
        fs.fsyncSync(fd);
      } finally {
        fs.closeSync(fd);
      }
    },
    rename: async (from, to) => {
      fs.renameSync(full(from), full(to));
      const [left, reached] = [dirname(full(from)), dirname(full(to))];
      syncFolder(reached);
      if (left !== reached) syncFolder(left);
    },
    remove: async (path) => fs.rmSync(full(path), { force: true, recursive: true }),
    exists: async (path) => fs.existsSync(full(path)),
    list: async (folder) => (orNull(() => fs.readdirSync(full(folder))) ?? []).sort(),
    makeFolder: async (folder) => {
      if (fs.existsSync(full(folder))) return;
      fs.mkdirSync(full(folder), { recursive: true, mode: 0o700 });
      syncFolder(dirname(full(folder)));
    },
    syncFolder: async (folder) => syncFolder(full(folder)),
  };
}

function openFile(fd: number, lane: Lane): DiskFile {
  return {
    append: (bytes, sync) =>
      sync
        ? lane.append(fd, bytes)
        : new Promise((resolve) => {
            writeOnce(fd, bytes);
            resolve();
          }),
    truncate: async (length) => fs.ftruncateSync(fd, length),
    sync: async () => {
      try {
        fs.fdatasyncSync(fd);
      } catch (error) {
        throw toDiskError('sync', error);
      }
    },
    close: async () => fs.closeSync(fd),
  };
}

type Lane = { append(fd: number, bytes: Uint8Array): Promise<void> };

function openLane(): Lane {
  let waiting: Waiting[] = [];
  let running = 0;
  /** Several asked in one turn of the event loop not long ago: look who else waits before flushing. */
  let gathering = false;
  let aloneInRow = 0;
  let inTurn = 0;

  const blocking = ({ fd, bytes, resolve, reject }: Waiting) => {
    let at: 'write' | 'sync' = 'write';
    try {
      writeOnce(fd, bytes);
      at = 'sync';
      fs.fdatasyncSync(fd);
      resolve();
    } catch (error) {
      reject(error instanceof DiskError ? error : toDiskError(at, error));
    }
  };

  const sideBySide = ({ fd, bytes, resolve, reject }: Waiting) => {
    running++;
    const end = (error: DiskError | null) => {
      running--;
      if (error === null) resolve();
      else reject(error);
    };
    fs.write(fd, bytes, (error, written) => {
      if (error) return end(toDiskError('write', error));
      if (written < bytes.length) return end(shortWrite(written, bytes.length));
      fs.fdatasync(fd, (fault) => end(fault ? toDiskError('sync', fault) : null));
    });
  };

  const flush = () => {
    const batch = waiting;
    waiting = [];
    const alone = batch.length === 1 && running === 0;
    aloneInRow = alone ? aloneInRow + 1 : 0;
    if (aloneInRow > CALM) gathering = false;
    for (const one of batch) (alone ? blocking : sideBySide)(one);
  };

  const endTurn = () => {
    if (inTurn > 1) {
      gathering = true;
      aloneInRow = 0;
    }
    inTurn = 0;
  };

  return {
    append: (fd, bytes) =>
      new Promise((resolve, reject) => {
        if (waiting.push({ fd, bytes, resolve, reject }) > 1) return;
        // Immediates run after all inputs that have arrived by now were handled; only then is it known who waits.
        if (gathering || running > 0) return void setImmediate(flush);
        if (++inTurn === 1) setImmediate(endTurn);
        queueMicrotask(flush);
      }),
  };
}

/** So many flushes in a row with nobody else waiting, and the next one need not look round first. */
const CALM = 16;

function writeOnce(fd: number, bytes: Uint8Array): void {
  let written: number;
  try {
    written = fs.writeSync(fd, bytes);
  } catch (error) {
    throw toDiskError('write', error);
  }
  // Finishing it in a second call could leave half a line where the first call had left a whole one.
  if (written < bytes.length) throw shortWrite(written, bytes.length);
}

function writeAll(fd: number, bytes: Uint8Array): void {
  for (let at = 0; at < bytes.length; ) at += fs.writeSync(fd, bytes, at);
}

function syncFolder(folder: string): void {
  const fd = fs.openSync(folder, 'r');
  try {
    fs.fsyncSync(fd);
  } finally {
    fs.closeSync(fd);
  }
}

function shortWrite(written: number, wanted: number): DiskError {
  return new DiskError('full', 'write', `only ${written} of ${wanted} bytes were written`);
}

function toDiskError(at: 'write' | 'sync', error: unknown): DiskError {
  const code = codeOf(error);
  const isFull = code === 'ENOSPC' || code === 'EDQUOT';
  return new DiskError(isFull ? 'full' : 'failed', at, `${at} failed: ${code ?? String(error)}`, error);
}

function codeOf(error: unknown): string | null {
  return error instanceof Error && 'code' in error && typeof error.code === 'string' ? error.code : null;
}

function orNull<T>(read: () => T): T | null {
  try {
    return read();
  } catch (error) {
    if (codeOf(error) === 'ENOENT') return null;
    throw error;
  }
}
