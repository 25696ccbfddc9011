import { join } from 'node:path';
import { writeDocument } from '../document.js';
import { DOCUMENT_NAMES, type DocumentName, type Written } from '../documents.js';
import { type Files, NODE_FILES } from '../files.js';
import { printJson } from '../json.js';
import { BAYS } from './bays.js';
import { GEAR } from './gear.js';
import { PEOPLE } from './people.js';
import { SEALANTS } from './sealants.js';
import { SHOP } from './shop.js';
import { VEHICLES } from './vehicles.js';

/** The demo workshop's register. All of it is invented. */
export const WORKSHOP: Readonly<Written> = {
  'shop.json': SHOP,
  'people.json': PEOPLE,
  'gear.json': GEAR,
  'bays.json': BAYS,
  'vehicles.json': VEHICLES,
  'sealants.json': SEALANTS,
};

/**
 * Writes the demo workshop into a register's folder that holds no documents of its own yet, to be edited by hand
 * from there on, and says whether it did. A first start that was cut short is finished.
 */
export async function writeDemo(folder: string, files: Files = NODE_FILES): Promise<boolean> {
  await files.makeFolder(folder);
  const missing: DocumentName[] = [];
  for (const name of DOCUMENT_NAMES) {
    const text = await files.read(join(folder, name));
    if (text === null) missing.push(name);
    else if (text !== printJson(WORKSHOP[name])) return false;
  }
  for (const name of missing) await writeDocument(files, join(folder, name), printJson(WORKSHOP[name]));
  return missing.length > 0;
}
