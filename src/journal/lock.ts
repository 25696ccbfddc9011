import * as fs from 'node:fs';
import { hostname } from 'node:os';
import { join } from 'node:path';
import * as z from 'zod';

/** The right to write a data folder, held by one process at a time. */
export type Lock = {
  /** Whose lock was found left behind and taken over, in words for the console; null when there was none. */
  readonly report: string | null;
  release(): void;
};

/** Another process holds the folder, or nobody can tell whether one does. */
export class LockError extends Error {
  constructor(
    readonly code: 'held' | 'held-elsewhere' | 'unreadable',
    message: string,
  ) {
    super(message);
    this.name = 'LockError';
  }
}

const OWNER = z.object({ pid: z.int().positive(), host: z.string(), born: z.string().nullable() });
type Owner = z.infer<typeof OWNER>;

const NAME = 'lock';
const held = new Set<string>();

/**
 * Takes the lock of a data folder. A lock whose process on this computer is gone is taken over.
 *
 * @throws {LockError} with a text that says what to do.
 */
export function takeLock(folder: string): Lock {
  const file = join(folder, NAME);
  if (held.has(file)) throw new LockError('held', `${folder} is open in this program already.`);
  const me: Owner = { pid: process.pid, host: hostname(), born: bornOf(process.pid) };
  let report: string | null = null;
  if (!create(file, me)) {
    report = takeOver(file, folder, me.host);
    if (!create(file, me))
      throw new LockError('held', `${folder}: another start was quicker. This one ends.`);
  }
  held.add(file);
  return {
    report,
    release: () => {
      if (held.delete(file)) fs.rmSync(file, { force: true });
    },
  };
}

function create(file: string, owner: Owner): boolean {
  // Linked from a finished file, so that nobody ever reads half a lock.
  const draft = `${file}.${owner.pid}`;
  fs.writeFileSync(draft, `${JSON.stringify(owner)}\n`, { mode: 0o600 });
  try {
    fs.linkSync(draft, file);
    return true;
  } catch (error) {
    if (isCode(error, 'EEXIST')) return false;
    throw error;
  } finally {
    fs.rmSync(draft, { force: true });
  }
}

/** Clears a lock left behind, or throws when it is not one. */
function takeOver(file: string, folder: string, host: string): string {
  const owner = read(file, folder);
  if (owner === null) return `${folder}: its lock was just given back.`;
  refuseIfAlive(owner, file, folder, host);
  // Of two that find the same old lock, one may come here after the other has already put its own in place.
  const aside = `${file}.old.${process.pid}`;
  try {
    fs.renameSync(file, aside);
  } catch (error) {
    if (isCode(error, 'ENOENT'))
      throw new LockError('held', `${folder}: another start was quicker. This one ends.`);
    throw error;
  }
  const moved = read(aside, folder);
  if (moved !== null && (moved.pid !== owner.pid || moved.born !== owner.born)) {
    fs.renameSync(aside, file);
    throw new LockError('held', `${folder}: another start was quicker. This one ends.`);
  }
  fs.rmSync(aside, { force: true });
  return `${folder}: the lock of process ${owner.pid}, which is gone, was taken over. It did not end in order.`;
}

function refuseIfAlive(owner: Owner, file: string, folder: string, host: string): void {
  if (owner.host !== host) {
    throw new LockError(
      'held-elsewhere',
      `${folder} is locked by process ${owner.pid} on ${owner.host}. Stop it there. If that computer is gone for good, delete ${file}.`,
    );
  }
  if (!isAlive(owner)) return;
  throw new LockError(
    'held',
    `${folder} is in use by process ${owner.pid} on this computer. One program writes it at a time: stop that one first, or set another data folder.`,
  );
}

function read(file: string, folder: string): Owner | null {
  let text: string;
  try {
    text = fs.readFileSync(file, 'utf8');
  } catch (error) {
    if (isCode(error, 'ENOENT')) return null;
    throw error;
  }
  const parsed = OWNER.safeParse(toJson(text));
  if (parsed.success) return parsed.data;
  throw new LockError(
    'unreadable',
    `${folder}: ${file} is not readable. If nothing else uses the folder, delete it.`,
  );
}

function toJson(text: string): unknown {
  try {
    return JSON.parse(text);
  } catch {
    return null;
  }
}

function isAlive({ pid, born }: Owner): boolean {
  // A container gives the same number again; this very process holds nothing yet.
  if (pid === process.pid) return false;
  try {
    process.kill(pid, 0);
  } catch (error) {
    if (!isCode(error, 'EPERM')) return false;
  }
  const now = bornOf(pid);
  return born === null || now === null || born === now;
}

/** When a process began, in the system's own count, where the system says it: tells a number used again. */
function bornOf(pid: number): string | null {
  try {
    const stat = fs.readFileSync(`/proc/${pid}/stat`, 'utf8');
    // The name in brackets may hold blanks; the count is the 20th field after it.
    return stat.slice(stat.lastIndexOf(')') + 2).split(' ')[19] ?? null;
  } catch {
    return null;
  }
}

function isCode(error: unknown, code: string): boolean {
  return error instanceof Error && 'code' in error && error.code === code;
}
