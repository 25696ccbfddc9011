import type { Value } from '../job/event.js';
import type { EmergencyNumber, Gear, Person, Sealant, ShopSettings } from '../job/world.js';
import { valueIn } from '../units/quantity.js';
import { crossFaults } from './cross.js';
import { DOCUMENT_NAMES, DOCUMENTS, type DocumentName, type Documents, type Written } from './documents.js';
import { type RegisterFault, saidOf } from './fault.js';
import { instantOf, type Opening } from './hours.js';
import { type Path, type Position, parseJson } from './json.js';
import type { Secret } from './secret.js';

/** Everything the workshop has written down about itself, checked. */
export type Register = {
  readonly shop: Shop;
  readonly people: ReadonlyMap<string, Person>;
  /** Register ids by `CHANNEL:ACCOUNT`. */
  readonly accounts: ReadonlyMap<string, string>;
  /** How people prove who they are on the floor page, by register id. Kept apart: no job ever sees it. */
  readonly secrets: ReadonlyMap<string, Secrets>;
  readonly gear: ReadonlyMap<string, Gear>;
  readonly bays: ReadonlyMap<string, Bay>;
  readonly models: ReadonlyMap<string, Model>;
  /** By registration, blanks and case folded: `carKey`. */
  readonly cars: ReadonlyMap<string, RegisteredCar>;
  readonly sealants: ReadonlyMap<string, Sealant>;
  /** The documents that it was read from, as they are written. */
  readonly written: Written;
};

export type Secrets = { readonly pin: Secret | null; readonly link: Secret | null };

export type Shop = Opening & {
  readonly name: string;
  readonly site: string;
  readonly emergency: readonly EmergencyNumber[];
  readonly deputies: readonly { readonly person: string; readonly from: number; readonly until: number }[];
  readonly settings: ShopSettings;
  readonly values: Readonly<Record<string, Value>>;
};

export type Bay = {
  readonly id: string;
  readonly label: string;
  readonly lift: string | null;
  readonly accounts: Readonly<Record<string, string>>;
  /** `rating` and `pad-rating` of its lift; none without a lift. */
  readonly values: Readonly<Record<string, Value>>;
};

export type Model = {
  readonly id: string;
  readonly name: string;
  readonly choices: Readonly<Record<string, string>>;
  readonly values: Readonly<Record<string, Value>>;
};

export type RegisteredCar = {
  readonly registration: string;
  readonly model: string;
  readonly odometerKm: number | null;
  readonly kmPerYear: number | null;
  readonly choices: Readonly<Record<string, string>>;
};

export type Checked =
  | { readonly ok: true; readonly register: Register }
  | { readonly ok: false; readonly faults: readonly RegisterFault[] };

export type Texts = Readonly<Record<DocumentName, string | null>>;

/** `demo 7` and `DEMO-7` are one car. */
export const carKey = (registration: string): string => registration.toUpperCase().replace(/[\s-]/g, '');

/** Checks the documents of a register, given as text. Every fault of every document at once. Pure. */
export function checkRegister(texts: Texts): Checked {
  const faults: RegisterFault[] = [];
  const places = new Map<DocumentName, (path: Path) => Position>();
  const found: Partial<Record<DocumentName, unknown>> = {};
  const written: Partial<Record<DocumentName, unknown>> = {};
  for (const file of DOCUMENT_NAMES) {
    const text = texts[file];
    if (text === null) {
      const remedy = 'Put it back, or start with an empty folder to get the demo workshop.';
      faults.push({ file, line: 1, column: 1, problem: 'there is no such file', remedy });
      continue;
    }
    const json = parseJson(text);
    if (!json.ok) {
      faults.push(...json.slips.map((slip) => ({ file, ...slip })));
      continue;
    }
    places.set(file, json.placeOf);
    const document = DOCUMENTS[file].safeParse(json.value);
    if (document.success) {
      found[file] = document.data;
      written[file] = json.value;
    } else {
      for (const { path, problem, remedy } of saidOf(document.error, json.value)) {
        faults.push({ file, ...json.placeOf(path), problem, remedy });
      }
    }
  }
  // Each entry was checked by the schema of its own name.
  const documents = found as Partial<Documents>;
  for (const { file, path, problem, remedy } of crossFaults(documents)) {
    const place = places.get(file)?.(path) ?? { line: 1, column: 1 };
    faults.push({ file, ...place, problem, remedy });
  }
  if (faults.length > 0) return { ok: false, faults };
  return { ok: true, register: registerOf(documents as Documents, written as Written) };
}

function registerOf(documents: Documents, written: Written): Register {
  // Who has left is nobody any more: in no list, under no account, with no PIN.
  const people = documents['people.json'].people.filter(({ left }) => left === undefined);
  const { models, cars } = documents['vehicles.json'];
  const gear = gearOf(documents['gear.json']);
  const accounts = people.flatMap((person) =>
    Object.entries(person.accounts).map(
      ([channel, account]) => [`${channel}:${account}`, person.id] as const,
    ),
  );
  return {
    shop: shopOf(documents['shop.json']),
    people: byId(people.map(({ id, name, roles, levels }) => ({ id, name, roles, levels }))),
    accounts: new Map(accounts),
    secrets: new Map(people.map(({ id, pin, link }) => [id, { pin: pin ?? null, link: link ?? null }])),
    gear,
    bays: baysOf(documents),
    models: byId(models.map(({ id, name, choices, values }) => ({ id, name, choices, values }))),
    cars: new Map(cars.map(({ note: _, ...car }) => [carKey(car.registration), car])),
    sealants: sealantsOf(documents['sealants.json']),
    written,
  };
}

function byId<T extends { readonly id: string }>(entries: readonly T[]): ReadonlyMap<string, T> {
  return new Map(entries.map((entry) => [entry.id, entry]));
}

function shopOf({ settings, deputies, note: _, applied: __, ...shop }: Documents['shop.json']): Shop {
  return {
    ...shop,
    deputies: deputies.map(({ person, from, until }) => ({
      person,
      from: instantOf(shop.zone, from),
      until: instantOf(shop.zone, until),
    })),
    settings: {
      pauseMinutes: settings.pause,
      visitMinutes: settings.visit,
      deadTestMinutes: settings['dead-test'],
      checkInGraceMinutes: settings['check-in-grace'],
    },
  };
}

function gearOf({ gear }: Documents['gear.json']): ReadonlyMap<string, Gear> {
  return byId(
    gear.map(
      ({ id, kind, label, serial, tested, months, out, cycles, lever, rating, ...piece }): Gear => ({
        id,
        kind,
        label,
        serial,
        tested,
        months,
        out,
        gloveClass: piece.class ?? null,
        range: piece.range ?? null,
        cycles: cycles === undefined ? null : { done: cycles.done, most: cycles.most },
        lever:
          lever === undefined
            ? null
            : { lengthMm: valueIn(lever.length, 'mm'), adapterMm: valueIn(lever.adapter, 'mm') },
        nominal: piece.nominal ?? null,
        rating: rating === undefined ? null : { total: rating.total, pad: rating.pad },
      }),
    ),
  );
}

function baysOf(documents: Documents): ReadonlyMap<string, Bay> {
  const { gear } = documents['gear.json'];
  return byId(
    documents['bays.json'].bays.map(({ id, label, lift, accounts }): Bay => {
      const rating = gear.find((piece) => piece.id === lift)?.rating;
      if (rating === undefined) return { id, label, lift, accounts, values: {} };
      const { total, pad, reference, enteredBy } = rating;
      const value = (quantity: Value['quantity']): Value => ({ quantity, text: null, reference, enteredBy });
      return { id, label, lift, accounts, values: { rating: value(total), 'pad-rating': value(pad) } };
    }),
  );
}

function sealantsOf({ products, batches }: Documents['sealants.json']): ReadonlyMap<string, Sealant> {
  const known = byId(products);
  const found = new Map<string, Sealant>();
  for (const { batch, product, useBy } of batches) {
    const sheet = known.get(product);
    if (sheet === undefined) continue;
    found.set(batch, { batch, product: sheet.name, useBy, sheet: sheet.sheet, reference: sheet.reference });
  }
  return found;
}
