import type { DocumentName, Documents } from './documents.js';
import { instantOf } from './hours.js';
import type { Path } from './json.js';

/** A fault between entries: one named twice, one that names what is not there. */
export type CrossFault = {
  readonly file: DocumentName;
  readonly path: Path;
  readonly problem: string;
  readonly remedy: string;
};

/** Compares the documents that could be read with each other and with themselves. */
export function crossFaults(documents: Partial<Documents>): readonly CrossFault[] {
  const all = documents['people.json']?.people;
  const people = all?.filter(({ left }) => left === undefined);
  const gear = documents['gear.json']?.gear;
  const bays = documents['bays.json']?.bays;
  const vehicles = documents['vehicles.json'];
  const sealants = documents['sealants.json'];
  const shop = documents['shop.json'];
  return [
    ...twice('people.json', 'people', 'id', all),
    ...twice('gear.json', 'gear', 'id', gear),
    ...twice('bays.json', 'bays', 'id', bays),
    ...twice('vehicles.json', 'models', 'id', vehicles?.models),
    ...twice('vehicles.json', 'cars', 'registration', vehicles?.cars),
    ...twice('sealants.json', 'products', 'id', sealants?.products),
    ...twice('sealants.json', 'batches', 'batch', sealants?.batches),
    ...unknown('vehicles.json', 'cars', 'model', vehicles?.cars, vehicles?.models),
    ...unknown('sealants.json', 'batches', 'product', sealants?.batches, sealants?.products),
    ...unknown('shop.json', 'deputies', 'person', shop?.deputies, all),
    ...unknown(
      'bays.json',
      'bays',
      'lift',
      bays,
      gear?.filter(({ kind }) => kind === 'lift'),
    ),
    ...reserved(bays),
    ...noForeman(people),
    ...badDeputies(shop),
  ];
}

type Entries = readonly Readonly<Record<string, unknown>>[] | undefined;

/** Ids are compared as people type them: case, blanks and hyphens do not tell two things apart. */
const folded = (id: unknown) => String(id).toUpperCase().replace(/[\s-]/g, '');

function twice(file: DocumentName, list: string, name: string, entries: Entries): CrossFault[] {
  const seen = new Set<string>();
  const faults: CrossFault[] = [];
  for (const [index, entry] of (entries ?? []).entries()) {
    const key = folded(entry[name]);
    if (seen.has(key)) {
      const problem = `${list} have two called ${String(entry[name])}`;
      faults.push({ file, path: [list, index, name], problem, remedy: 'Rename one, or take it out.' });
    }
    seen.add(key);
  }
  return faults;
}

function unknown(
  file: DocumentName,
  list: string,
  name: string,
  entries: Entries,
  known: readonly { readonly id: string }[] | undefined,
): CrossFault[] {
  if (known === undefined) return [];
  const ids = known.map(({ id }) => id);
  const faults: CrossFault[] = [];
  for (const [index, entry] of (entries ?? []).entries()) {
    const said = entry[name];
    if (typeof said !== 'string' || ids.includes(said)) continue;
    const remedy =
      ids.length === 0 ? 'Enter it first.' : `Write one of: ${ids.join(', ')}; or enter it first.`;
    faults.push({ file, path: [list, index, name], problem: `there is no ${name} ${said}`, remedy });
  }
  return faults;
}

/** Threads that are nobody's bay. */
const RESERVED: readonly string[] = ['foreman', 'shop'];

function reserved(bays: Documents['bays.json']['bays'] | undefined): CrossFault[] {
  return (bays ?? []).flatMap(({ id }, index): CrossFault[] => {
    if (!RESERVED.includes(id.toLowerCase())) return [];
    const problem = `${id} is the name of a thread of its own`;
    return [{ file: 'bays.json', path: ['bays', index, 'id'], problem, remedy: 'Give the bay another id.' }];
  });
}

function noForeman(people: Documents['people.json']['people'] | undefined): CrossFault[] {
  if (people === undefined || people.some(({ roles }) => roles.includes('foreman'))) return [];
  const problem = 'nobody is foreman, so nobody could release a hold';
  return [{ file: 'people.json', path: ['people'], problem, remedy: 'Give one person the role "foreman".' }];
}

function badDeputies(shop: Documents['shop.json'] | undefined): CrossFault[] {
  const faults: CrossFault[] = [];
  for (const [index, { from, until }] of (shop?.deputies ?? []).entries()) {
    const [begins, ends] = [instantOf(shop?.zone ?? 'utc', from), instantOf(shop?.zone ?? 'utc', until)];
    if (begins < ends) continue;
    const problem = `from ${from} until ${until} is no span of time`;
    const remedy = 'Write days that exist, the earlier one first.';
    faults.push({ file: 'shop.json', path: ['deputies', index], problem, remedy });
  }
  return faults;
}
