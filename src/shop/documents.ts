import * as z from 'zod';
import type { GearKind } from '../flow/flow.js';
import type { Role } from '../job/world.js';
import { say } from './fault.js';
import { APPLIED, DAY, ID, MONTHS, NAME, quantity, TEXT, VALUES } from './field.js';
import { SECRET } from './secret.js';
import { SHOP } from './settings.js';

/** The documents of the register as people write them. What cannot be is refused, with what to write instead. */

const ROLES = ['technician', 'foreman', 'trainee', 'desk'] as const satisfies readonly Role[];

const PERSON = z.strictObject({
  id: ID,
  name: TEXT,
  roles: z.array(z.enum(ROLES)).min(1, say('no role', 'Write at least one, like ["technician"].')),
  levels: z.array(z.strictObject({ level: TEXT, until: DAY })).default([]),
  /** The day somebody left: known by name, and may do nothing any more. */
  left: DAY.optional(),
  /** Who it is in a channel: `{ "slack": "U…" }`. */
  accounts: z.record(z.string(), TEXT).default({}),
  /** Set with `baywarden pin PERSON` and `baywarden link PERSON`; never by hand. */
  pin: SECRET.optional(),
  link: SECRET.optional(),
  note: z.string().optional(),
});

export const PEOPLE = z.strictObject({ applied: APPLIED, people: z.array(PERSON) });

const KINDS = [
  'gloves',
  'tester',
  'source',
  'wrench',
  'insulation-tester',
  'gauge',
  'lift',
  'ohmmeter',
] as const satisfies readonly GearKind[];

const GLOVE_CLASSES = ['00', '0', '1', '2', '3', '4'] as const;

const RANGE = z
  .strictObject({ from: quantity(), to: quantity() })
  .refine(
    ({ from, to }) => from.unit === to.unit && from.value < to.value,
    say('the range does not run upwards in one unit', 'Write it like { "from": "8 N·m", "to": "60 N·m" }.'),
  );

const GEAR_PIECE = z
  .strictObject({
    id: ID,
    kind: z.enum(KINDS),
    label: TEXT,
    serial: TEXT,
    tested: DAY,
    months: MONTHS,
    out: TEXT.nullable().default(null),
    /** Where it is kept. */
    place: TEXT.optional(),
    class: z.enum(GLOVE_CLASSES).optional(),
    range: RANGE.optional(),
    cycles: z
      .strictObject({
        done: z.int().nonnegative(),
        most: z.int().positive(),
        /** The last line of each job under way that was counted; kept by the program. */
        counted: z.record(z.string(), z.int()).optional(),
      })
      .optional(),
    lever: z.strictObject({ length: quantity('length'), adapter: quantity('length') }).optional(),
    nominal: quantity('voltage').optional(),
    rating: z
      .strictObject({ total: quantity('mass'), pad: quantity('mass'), reference: TEXT, enteredBy: TEXT })
      .optional(),
    note: z.string().optional(),
  })
  .superRefine((piece, context) => {
    for (const name of NEEDED[piece.kind]) {
      if (piece[name] !== undefined) continue;
      const message = say(`${piece.kind} ${piece.id} lacks "${name}"`, `Add ${SHAPES[name]}.`);
      context.addIssue({ code: 'custom', path: [], message });
    }
    for (const name of ONLY_SOME) {
      if (piece[name] === undefined || MAY[name].includes(piece.kind)) continue;
      const message = say(`"${name}" means nothing for ${piece.kind}`, 'Take it out, or correct "kind".');
      context.addIssue({ code: 'custom', path: [name], message });
    }
  });

const ONLY_SOME = ['class', 'range', 'cycles', 'lever', 'nominal', 'rating'] as const;
type Special = (typeof ONLY_SOME)[number];

/** Without these a check of the gear could not be made. */
const NEEDED: Readonly<Record<GearKind, readonly Special[]>> = {
  gloves: ['class'],
  tester: [],
  source: ['nominal'],
  wrench: ['range', 'cycles', 'lever'],
  'insulation-tester': ['nominal'],
  gauge: ['range'],
  lift: ['rating'],
  ohmmeter: [],
};

const MAY: Readonly<Record<Special, readonly GearKind[]>> = {
  class: ['gloves'],
  range: ['tester', 'wrench', 'insulation-tester', 'gauge', 'ohmmeter'],
  cycles: ['wrench'],
  lever: ['wrench'],
  nominal: ['source', 'insulation-tester'],
  rating: ['lift'],
};

const SHAPES: Readonly<Record<Special, string>> = {
  class: '"class": "0"',
  range: '"range": { "from": "8 N·m", "to": "60 N·m" }',
  cycles: '"cycles": { "done": 0, "most": 5000 }',
  lever: '"lever": { "length": "320 mm", "adapter": "0 mm" }',
  nominal: '"nominal": "500 V"',
  rating: '"rating": { "total": "3500 kg", "pad": "900 kg", "reference": "…", "enteredBy": "…" }',
};

export const GEAR = z.strictObject({ applied: APPLIED, gear: z.array(GEAR_PIECE) });

const CHOICES = z.record(NAME, NAME);

export const VEHICLES = z.strictObject({
  applied: APPLIED,
  models: z.array(
    z.strictObject({
      id: ID,
      name: TEXT,
      choices: CHOICES.default({}),
      values: VALUES,
      note: z.string().optional(),
    }),
  ),
  cars: z.array(
    z.strictObject({
      registration: TEXT,
      model: ID,
      odometerKm: z.number().nonnegative().nullable(),
      kmPerYear: z.number().positive().nullable(),
      choices: CHOICES.default({}),
      note: z.string().optional(),
    }),
  ),
});

export const SEALANTS = z.strictObject({
  applied: APPLIED,
  products: z.array(
    z.strictObject({
      id: ID,
      name: TEXT,
      reference: TEXT,
      sheet: z.record(NAME, quantity()),
      note: z.string().optional(),
    }),
  ),
  batches: z.array(z.strictObject({ batch: ID, product: ID, useBy: DAY, note: z.string().optional() })),
});

export const BAYS = z.strictObject({
  applied: APPLIED,
  bays: z.array(
    z.strictObject({
      id: ID,
      label: TEXT,
      /** Gear id of its lift, or null. */
      lift: ID.nullable(),
      accounts: z.record(z.string(), TEXT).default({}),
      note: z.string().optional(),
    }),
  ),
});

/** The hand-edited documents, by file name. */
export const DOCUMENTS = {
  'people.json': PEOPLE,
  'gear.json': GEAR,
  'vehicles.json': VEHICLES,
  'sealants.json': SEALANTS,
  'bays.json': BAYS,
  'shop.json': SHOP,
} as const;

export type DocumentName = keyof typeof DOCUMENTS;
/** Every document as it was read and checked. */
export type Documents = { readonly [N in DocumentName]: z.output<(typeof DOCUMENTS)[N]> };
/** Every document as it is written. */
export type Written = { [N in DocumentName]: z.input<(typeof DOCUMENTS)[N]> };

export const DOCUMENT_NAMES: readonly DocumentName[] = [
  'shop.json',
  'people.json',
  'gear.json',
  'bays.json',
  'vehicles.json',
  'sealants.json',
];
