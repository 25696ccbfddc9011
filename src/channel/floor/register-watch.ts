import { statSync } from 'node:fs';
import { join } from 'node:path';
import { DOCUMENT_NAMES } from '../../shop/documents.js';

/** Looks whether the register was edited: by hand, or by another command of this program. */
export type RegisterWatch = {
  /** Looks now, and takes over what was edited. */
  now(): Promise<void>;
  stop(): void;
};

const EVERY_MS = 3000;

/** Calls `edited` when a document of the folder is another one than at the last look. */
export function watchRegister(folder: string, edited: () => Promise<void>): RegisterWatch {
  let known = stamp(folder);
  let taking: Promise<void> = Promise.resolve();
  const now = (): Promise<void> => {
    const found = stamp(folder);
    if (found !== known) {
      known = found;
      taking = taking.then(edited, edited);
    }
    // Whoever looks while it is being read waits too: nobody signs in by what was so before.
    return taking;
  };
  // Asked again and again rather than told by the system, which on some disks tells nothing.
  const timer = setInterval(() => void now().catch(() => undefined), EVERY_MS);
  timer.unref();
  return { now, stop: () => clearInterval(timer) };
}

function stamp(folder: string): string {
  return DOCUMENT_NAMES.map((name) => {
    const found = statSync(join(folder, name), { throwIfNoEntry: false });
    return found === undefined ? '-' : `${found.ino}:${found.mtimeMs}:${found.size}`;
  }).join(' ');
}
