import { basename, dirname, join } from 'node:path';
import { type Adapter, Low } from 'lowdb';
import type * as z from 'zod';
import type { Files } from './files.js';
import { parseJson, printJson } from './json.js';

/** A document of the register cannot be read. */
export class DocumentError extends Error {
  readonly code = 'unreadable-document';

  constructor(
    readonly path: string,
    message: string,
  ) {
    super(message);
    this.name = 'DocumentError';
  }
}

/**
 * A JSON file as lowdb reads and writes it. A write goes to a second file, is flushed, and takes the first one's
 * name; the one before is kept as `NAME.bak`. So a kill or a power cut leaves either the old text or the new.
 * A file that the program keeps for itself and that is unreadable all the same is read from its `.bak`.
 */
export class DocumentFile<T> implements Adapter<T> {
  /** Set when the last read came from the `.bak`. */
  fromBackup = false;

  constructor(
    private readonly files: Files,
    readonly path: string,
    /** Checks what was read; null takes it as it is. */
    private readonly schema: z.ZodType<T>,
  ) {}

  async read(): Promise<T | null> {
    this.fromBackup = false;
    const text = await this.files.read(this.path);
    if (text === null) return null;
    const found = this.parsed(text);
    if (found !== null) return found;
    const backup = this.parsed((await this.files.read(`${this.path}.bak`)) ?? '');
    if (backup === null) {
      throw new DocumentError(this.path, `${this.path} is unreadable, and so is its .bak: put a copy back.`);
    }
    this.fromBackup = true;
    return backup;
  }

  async write(data: T): Promise<void> {
    await writeDocument(this.files, this.path, printJson(data));
  }

  private parsed(text: string): T | null {
    const json = parseJson(text);
    const data = json.ok ? this.schema.safeParse(json.value) : null;
    return data?.success ? data.data : null;
  }
}

/** Puts a text in place of a file's, whole or not at all. */
export async function writeDocument(files: Files, path: string, text: string): Promise<void> {
  const folder = dirname(path);
  const draft = join(folder, `.${basename(path)}.new`);
  await files.write(draft, text);
  await files.keepAs(path, `${path}.bak`);
  await files.rename(draft, path);
  await files.syncFolder(folder);
}

/** Opens a document with `empty()` where there is none yet. */
export async function openDocument<T>(file: DocumentFile<T>, empty: () => T): Promise<Low<T>> {
  const low = new Low(file, empty());
  await low.read();
  return low;
}
