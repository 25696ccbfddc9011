import * as fs from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach } from 'vitest';
import { WORKSHOP } from '../../src/shop/demo/workshop.js';
import { DOCUMENT_NAMES, type DocumentName } from '../../src/shop/documents.js';
import { printRegisterFault } from '../../src/shop/fault.js';
import { printJson } from '../../src/shop/json.js';
import { checkRegister, type Register, type Texts } from '../../src/shop/register.js';

const made: string[] = [];
afterEach(() => {
  for (const folder of made.splice(0)) fs.rmSync(folder, { recursive: true, force: true });
});

/** An empty folder that is gone after the test. */
export function emptyFolder(): string {
  const folder = fs.mkdtempSync(join(tmpdir(), 'shop-'));
  made.push(folder);
  return folder;
}

/** The demo workshop's documents as text, some of them replaced. */
export function demoTexts(changed: Partial<Texts> = {}): Texts {
  const texts = Object.fromEntries(DOCUMENT_NAMES.map((name) => [name, printJson(WORKSHOP[name])]));
  return { ...(texts as Record<DocumentName, string>), ...changed };
}

/** One document of the demo workshop with a slip in it. */
export function slipped(name: DocumentName, find: string, put: string): Texts {
  const text = printJson(WORKSHOP[name]);
  if (!text.includes(find)) throw new Error(`${name} has no ${find}`);
  return demoTexts({ [name]: text.replace(find, put) });
}

/** The faults of a register as they are printed. */
export function faultsOf(texts: Texts): readonly string[] {
  const checked = checkRegister(texts);
  return checked.ok ? [] : checked.faults.map(printRegisterFault);
}

/** The register of the demo workshop. */
export function demoRegister(changed: Partial<Texts> = {}): Register {
  const checked = checkRegister(demoTexts(changed));
  if (!checked.ok) throw new Error(checked.faults.map(printRegisterFault).join('\n'));
  return checked.register;
}
