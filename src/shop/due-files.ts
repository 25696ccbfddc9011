import { createHash } from 'node:crypto';
import { join } from 'node:path';
import type { Low } from 'lowdb';
import type * as z from 'zod';
import { DocumentFile, openDocument } from './document.js';
import type { Files } from './files.js';
import * as kept from './kept.js';
import { carKey } from './register.js';

/**
 * What is due, in files whose size does not grow with the years: a file for each day and kind of work that is due on it
 * (`due/2034-03/2034-03-02-fuse.json`, what one day's jobs have filed), one for each car that a distance alone rules (`due/undated/CAR.json`), and one
 * for each car with what it has due at all (`due/cars/CAR.json`), so that work done again settles the date of before.
 * `due/2034-03.json` and `due/undated.json` are those of the first days: read, and no more written.
 */
export type DueFiles = {
  /** Files what an ended job makes due. Doing it again changes nothing. */
  file(due: kept.JobDue): Promise<void>;
  /** Everything due up to a day, `YYYY-MM-DD`, that was not settled since, earliest first. */
  until(date: string): Promise<readonly kept.DueEntry[]>;
  /** What only a distance rules. */
  undated(): Promise<readonly kept.DueEntry[]>;
};

export function openDueFiles(folder: string, files: Files): DueFiles {
  const due = join(folder, 'due');
  const dayFile = (path: string) => ownDocument(files, join(due, path), kept.DUE, () => ({ due: [] }));

  const edit = async (path: string, to: (document: kept.DueDocument) => kept.DueDocument) => {
    const low = await dayFile(path);
    const after = to(low.data);
    if (after === low.data) return;
    if (after.due.length === 0) {
      await files.remove(join(due, path));
      return files.remove(join(due, `${path}.bak`));
    }
    low.data = after;
    await files.makeFolder(join(due, path, '..'));
    await low.write();
  };

  const entriesIn = async (paths: readonly string[]): Promise<readonly kept.DueEntry[]> => {
    const found = await Promise.all(paths.map(async (path) => (await dayFile(path)).data.due));
    return found.flat();
  };

  const jsonIn = async (path: string): Promise<readonly string[]> =>
    (await files.list(join(due, path))).filter((name) => name.endsWith('.json') && !name.startsWith('.'));

  return {
    file: async (job) => {
      const path = `cars/${fileNameOf(job.registration)}.json`;
      const empty = () => ({ registration: job.registration, due: [] });
      const low = await ownDocument(files, join(due, path), kept.CAR_DUE, empty);
      const { car, fresh, settled } = kept.fileForCar(low.data, kept.entriesOf(job));
      if (fresh.length === 0) return;
      // The car's own file last: until it says so, all of this is done again.
      for (const entry of fresh) {
        const where = pathOf(entry);
        if (where !== null) await edit(where, (document) => kept.fileEntry(document, entry));
      }
      for (const entry of settled) {
        const where = pathOf(entry);
        if (where !== null) await edit(where, (document) => kept.takeEntry(document, entry));
      }
      await files.makeFolder(join(due, 'cars'));
      low.data = car;
      await low.write();
    },
    until: async (date) => {
      const month = date.slice(0, 7);
      const names = await files.list(due);
      const months = names.filter((name) => /^\d{4}-\d\d$/.test(name) && name <= month);
      const days = await Promise.all(
        months.map(async (one) => (await jsonIn(one)).map((name) => `${one}/${name}`)),
      );
      const old = names.filter((name) => /^\d{4}-\d\d\.json$/.test(name) && name.slice(0, 7) <= month);
      const found = await entriesIn([...old, ...days.flat()]);
      return found
        .filter(({ on }) => on !== null && on <= date)
        .toSorted((a, b) => (a.on ?? '').localeCompare(b.on ?? '') || a.job.localeCompare(b.job));
    },
    undated: async () => {
      const cars = (await jsonIn('undated')).map((name) => `undated/${name}`);
      return entriesIn(['undated.json', ...cars]);
    },
  };
}

/** Where an entry is filed; null where neither a day nor a distance is known. */
function pathOf({ on, what, atKm, registration }: kept.DueEntry): string | null {
  if (on !== null) return `${on.slice(0, 7)}/${on}-${what.replace(/[^A-Za-z0-9]+/g, '-')}.json`;
  return atKm === null ? null : `undated/${fileNameOf(registration)}.json`;
}

/** A document that the program keeps for itself. */
export function ownDocument<T>(
  files: Files,
  path: string,
  schema: z.ZodType<T>,
  empty: () => T,
): Promise<Low<T>> {
  return openDocument(new DocumentFile(files, path, schema), empty);
}

/** Registrations are free text; a file's name is not. */
export function fileNameOf(registration: string): string {
  const key = carKey(registration);
  if (/^[A-Z0-9]{1,20}$/.test(key)) return key;
  return createHash('sha256').update(key).digest('hex').slice(0, 24);
}
