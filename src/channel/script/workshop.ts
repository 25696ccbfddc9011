import { readFile } from 'node:fs/promises';
import { join } from 'node:path';
import { DateTime } from 'luxon';
import { WORKSHOP } from '../../shop/demo/workshop.js';
import { writeDocument } from '../../shop/document.js';
import { DOCUMENT_NAMES } from '../../shop/documents.js';
import { type Files, NODE_FILES } from '../../shop/files.js';
import { printJson } from '../../shop/json.js';
import { type Checked, checkRegister, type Texts } from '../../shop/register.js';

/** The invented workshop that scripts use unless they name another. */
export const DEMO_SHOP = 'demo';

/**
 * The register that a script names: the demo workshop, or the documents of a folder. What a folder does not have is the
 * demo workshop's, so that it says only what is different. Nothing is written to it.
 */
export async function readWorkshop(name: string): Promise<Checked> {
  const texts = await Promise.all(
    DOCUMENT_NAMES.map(async (file) => [file, await textOf(name, file)] as const),
  );
  const none = texts.every(([, text]) => text === null);
  const whole = texts.map(
    ([file, text]) => [file, text ?? (none ? null : printJson(WORKSHOP[file]))] as const,
  );
  return checkRegister(Object.fromEntries(whole) as Texts);
}

async function textOf(name: string, file: (typeof DOCUMENT_NAMES)[number]): Promise<string | null> {
  if (name === DEMO_SHOP) return printJson(WORKSHOP[file]);
  return readFile(join(name, file), 'utf8').catch(() => null);
}

/** The Monday that the demo workshop's dates were written for. */
const WRITTEN_FOR = Date.UTC(2026, 2, 2);
const WEEK_MS = 7 * 24 * 3600_000;
const DAY = /^\d{4}-\d\d-\d\d(?= \d\d:\d\d$|$)/;

/**
 * Writes the demo workshop into a folder that holds no document yet, its dates moved by whole weeks to suit `now`,
 * so that the gear is in date and some of it is not, as on the day it was made up. Says whether it did.
 */
export async function writePractice(
  folder: string,
  now: number,
  files: Files = NODE_FILES,
): Promise<boolean> {
  await files.makeFolder(folder);
  for (const name of DOCUMENT_NAMES) if ((await files.read(join(folder, name))) !== null) return false;
  const days = Math.floor((now - WRITTEN_FOR) / WEEK_MS) * 7;
  for (const name of DOCUMENT_NAMES) {
    const moved = JSON.parse(JSON.stringify(WORKSHOP[name]), (_, value) => moveDay(value, days));
    await writeDocument(files, join(folder, name), printJson(moved));
  }
  return true;
}

function moveDay(value: unknown, days: number): unknown {
  if (typeof value !== 'string') return value;
  return value.replace(DAY, (day) =>
    DateTime.fromISO(day, { zone: 'utc' }).plus({ days }).toFormat('yyyy-MM-dd'),
  );
}
