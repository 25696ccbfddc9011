/**
 * The little of a disk that the journal needs. Paths are relative to the data folder, with `/`. Tests and dry
 * runs write to memory through the same port.
 */
export type Disk = {
  /** Opens a file for appending; makes it, durably, when it is not there. */
  open(path: string): Promise<DiskFile>;
  /** All bytes of a file, or null when there is none. */
  read(path: string): Promise<Buffer | null>;
  /** A whole new file, on the disk when this returns. Its name is sure only after a `rename` or `syncFolder`. */
  write(path: string, bytes: Uint8Array): Promise<void>;
  /** Moves a file or a folder, over an old file if need be; both names are sure when this returns. */
  rename(from: string, to: string): Promise<void>;
  /** Nothing happens when there is no such file. */
  remove(path: string): Promise<void>;
  exists(path: string): Promise<boolean>;
  /** Names in a folder, sorted; none when there is no folder. */
  list(folder: string): Promise<readonly string[]>;
  /** Makes a folder and those above it; nothing happens when it is there. */
  makeFolder(folder: string): Promise<void>;
  syncFolder(folder: string): Promise<void>;
};

export type DiskFile = {
  /**
   * Adds the bytes in one write, then flushes them when `sync` is set. Callers wait for one append of a file
   * before they ask for the next.
   *
   * @throws {DiskError} at `write`: some of the bytes may be there. At `sync`: nobody knows what is there.
   */
  append(bytes: Uint8Array, sync: boolean): Promise<void>;
  truncate(length: number): Promise<void>;
  sync(): Promise<void>;
  close(): Promise<void>;
};

export const DISK_ERRORS = ['full', 'failed', 'power-lost'] as const;
export type DiskErrorCode = (typeof DISK_ERRORS)[number];

/** The disk did not do what it was asked. */
export class DiskError extends Error {
  constructor(
    readonly code: DiskErrorCode,
    readonly at: 'write' | 'sync' | 'other',
    message: string,
    cause?: unknown,
  ) {
    super(message, cause === undefined ? undefined : { cause });
    this.name = 'DiskError';
  }
}
