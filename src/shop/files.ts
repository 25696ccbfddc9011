import * as fs from 'node:fs/promises';

/** The little of a disk that the register needs. Full paths. */
export type Files = {
  /** The text of a file, or null when there is none. */
  read(path: string): Promise<string | null>;
  /** Another text for every state of a file, without reading it; null when there is none. */
  stamp(path: string): Promise<string | null>;
  /** A whole new file, flushed. */
  write(path: string, text: string): Promise<void>;
  /** A second name for a file, in place of an older one. Nothing happens when there is no such file. */
  keepAs(path: string, second: string): Promise<void>;
  rename(from: string, to: string): Promise<void>;
  syncFolder(folder: string): Promise<void>;
  makeFolder(folder: string): Promise<void>;
  /** Names in a folder, sorted; none where there is no such folder. */
  list(folder: string): Promise<readonly string[]>;
  /** Takes a file away. Nothing happens when there is no such file. */
  remove(path: string): Promise<void>;
};

export const NODE_FILES: Files = {
  read: (path) => fs.readFile(path, 'utf8').catch(nullWhenMissing),
  stamp: async (path) => {
    const found = await fs.stat(path).catch(nullWhenMissing);
    return found === null ? null : `${found.ino}:${found.mtimeMs}:${found.size}`;
  },
  write: async (path, text) => {
    const file = await fs.open(path, 'w', 0o600);
    try {
      await file.writeFile(text);
      await file.sync();
    } finally {
      await file.close();
    }
  },
  keepAs: async (path, second) => {
    await fs.rm(second, { force: true });
    await fs.link(path, second).catch(nullWhenMissing);
  },
  rename: (from, to) => fs.rename(from, to),
  syncFolder: async (folder) => {
    const handle = await fs.open(folder, 'r');
    try {
      await handle.sync();
    } finally {
      await handle.close();
    }
  },
  makeFolder: async (folder) => {
    await fs.mkdir(folder, { recursive: true, mode: 0o700 });
  },
  list: async (folder) => ((await fs.readdir(folder).catch(nullWhenMissing)) ?? []).sort(),
  remove: (path) => fs.rm(path, { force: true }),
};

function nullWhenMissing(error: unknown): null {
  if (error instanceof Error && 'code' in error && error.code === 'ENOENT') return null;
  throw error;
}
