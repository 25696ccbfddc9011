import * as fs from 'node:fs';
import { join } from 'node:path';

/** One blocking write and one flush: the floor under every durable message. Gives milliseconds. */
export type Bare = (bytes: Uint8Array) => number;

/** A file with nothing around it. */
export function openBare(folder: string, name: string): Bare {
  const fd = fs.openSync(join(folder, name), 'a', 0o600);
  return (bytes) => {
    const from = performance.now();
    fs.writeSync(fd, bytes);
    fs.fdatasyncSync(fd);
    return performance.now() - from;
  };
}

const LETTERS = Buffer.alloc(1 << 16, 'a');

/** So many bytes that look like text. */
export function lettersOf(length: number): Uint8Array {
  return LETTERS.subarray(0, Math.max(1, Math.min(length, LETTERS.length)));
}
