import { z } from 'zod';
import { FACT_KINDS } from '../rule/rules.js';
import { parseQuantity } from '../units/notation.js';
import { dimensionOf, UNITS } from '../units/unit.js';
import { FIELD_TYPES, GEAR_KINDS, LAPSE_CAUSES, STEP_KINDS } from './flow.js';

/**
 * What an author may write, key by key. Messages are `problem` and `remedy` on two lines; those that zod finds by
 * itself are put into words by `complaint.ts`. What needs more than one place to judge is in the checks.
 */

const say = (problem: string, remedy: string) => ({ error: `${problem}\n${remedy}` });

const id = z
  .string()
  .regex(
    /^[a-z][a-z0-9]*(?:-[a-z0-9]+)*$/,
    say('not an id', 'lower-case letters and digits, words joined by -'),
  );
const text = z.string().regex(/\S/, say('an empty text', 'write what people shall read'));
const level = z.string().regex(/^[0-9A-Za-z]+$/, say('not a level', 'write it like 2S'));

const duration = z
  .string()
  .refine(
    (written) => dimensionIn(written) === 'time',
    say('not a time', "write a number, a blank and a unit: '15 min', '90 s', '2 h'"),
  );
const quantity = z
  .string()
  .refine(
    (written) => parseQuantity(written) !== null,
    say('not a quantity', "write a number with a point, a blank and a unit: '0.3 V'"),
  );

function dimensionIn(written: string): string | null {
  const parsed = parseQuantity(written);
  return parsed === null ? null : dimensionOf(parsed.unit);
}

const named = { vehicle: id.optional(), shop: id.optional(), sealant: id.optional(), lift: id.optional() };
const one = (value: object) => Object.keys(value).length === 1;
const ref = z
  .strictObject(named)
  .refine(one, say('not one value', 'name one value: { vehicle: NAME }, or shop, sealant, lift'));
const timeRef = z
  .strictObject({ ...named, figure: id.optional() })
  .refine(one, say('not one value', 'name one value: { vehicle: NAME }, or shop, sealant, lift, figure'));
const amount = z.union([quantity, ref], say('not an amount', "write '5 V' or { vehicle: NAME }"));
const time = z.union([duration, timeRef], say('not a time', "write '15 min' or { vehicle: NAME }"));

const way = z.union(
  [id, z.array(id).min(1)],
  say('not a way', 'write a fact, or a list of facts that all must stand'),
);
const need = z.union(
  [id, z.strictObject({ any: z.array(way).min(2, say('one way only', 'write the fact itself')) })],
  say('not a need', 'write a fact, or { any: [one, [two, three]] }'),
);
const ids = z.array(id);
const idOrIds = z.union([id, ids.min(1)], say('not an id', 'write one id, or a list'));
const when = z.record(id, idOrIds);

export const factSchema = z.strictObject({
  kind: z.enum(FACT_KINDS),
  label: text,
  personal: z.boolean().optional(),
  opening: z.boolean().optional(),
  'rest-on': ids.optional(),
  'instead-of': idOrIds.optional(),
  look: text.optional(),
  'undone-by': z.array(text).optional(),
  lapse: z
    .strictObject({ silence: duration.optional(), on: z.array(z.enum(LAPSE_CAUSES)).optional() })
    .optional(),
  after: time.optional(),
  within: time.optional(),
  'check-in': z.strictObject({ every: duration, while: ids.min(1) }).optional(),
  'no-stop': z.boolean().optional(),
  lasts: z.array(ref).min(1).optional(),
  warning: text.optional(),
  'make-still': text.optional(),
});

const choiceSchema = z.strictObject({
  from: z.literal('vehicle', say('only the vehicle', 'a choice of a step is declared by its `choose`')),
  options: ids.min(1),
});

const limits = z.union(
  [
    z.literal('nil'),
    z.strictObject({ same: id }),
    z
      .strictObject({ min: amount.optional(), max: amount.optional() })
      .refine(
        (value) => Object.keys(value).length > 0,
        say('no limit', "write min, max or both: { max: '5 V' }"),
      ),
  ],
  say('not limits', "write nil, { same: READING } or { min: '4 V', max: { vehicle: NAME } }"),
);
const reading = z.strictObject({
  name: id,
  ask: text,
  unit: z.enum(UNITS),
  limits: limits.optional(),
  plausible: z.tuple([z.number(), z.number()]).optional(),
  by: z.enum(['holder', 'second']).optional(),
});
/** Read again and again: what it has to come to is the settling calculation's to say. */
const watched = reading.omit({ limits: true, by: true });
/** `ask` says which of several is meant: `Car side`. */
const deadTest = z.strictObject({ 'dead-test': id, ask: text.optional(), source: ref, pack: ref });
const gear = z.array(z.enum(GEAR_KINDS));

/** Every key of a step but its kind, once. */
const parts = {
  id,
  hazard: id,
  needs: z.array(need).optional(),
  makes: ids.optional(),
  ends: ids.optional(),
  when: when.optional(),
  card: z.array(text).optional(),
  photo: z.boolean().optional(),
  again: z.boolean().optional(),
  stage: text.optional(),
  meanwhile: z.array(text).optional(),
  gear: gear.optional(),
  'out-of-limits': z.enum(['hold', 'again']).optional(),
  /** What the alarm of its calculation ends: only its maker brings it back. */
  alarm: ids.min(1).optional(),
};
const readings = z
  .array(
    z.union(
      [reading, deadTest],
      say('not a reading', 'write { name, ask, unit } or { dead-test, source, pack }'),
    ),
  )
  .min(1);
const fields = z
  .array(z.strictObject({ name: id, ask: text, type: z.enum(FIELD_TYPES), as: id.optional() }))
  .min(1);
const second = z.strictObject({ look: text });
const options = z.record(
  id,
  z.strictObject({
    hold: text.optional(),
    also: z.array(text).optional(),
    'named-in': ref.optional(),
    else: text.optional(),
  }),
);
const takes = gear.min(1);
const words = z.array(text).min(1);

/** By the key that says what kind of step it is. */
export const STEP_SCHEMAS = {
  do: z.strictObject({ ...parts, do: text }),
  gate: z.strictObject({
    ...parts,
    gate: text,
    words,
    readings: readings.optional(),
    second: second.optional(),
    takes: takes.optional(),
    fields: fields.optional(),
    judge: id.optional(),
  }),
  measure: z.strictObject({ ...parts, measure: text, readings, judge: id.optional() }),
  tighten: z.strictObject({
    ...parts,
    tighten: text,
    torque: ref,
    bolts: ref,
    pattern: ref,
    pass: z.enum(['first', 'rest', 'all']),
    values: id.optional(),
    judge: id.optional(),
  }),
  wait: z.strictObject({ ...parts, wait: text, for: ids.min(1) }),
  watch: z.strictObject({ ...parts, watch: text, reading: watched, until: id }),
  choose: z.strictObject({ ...parts, choose: text, options, choice: id.optional() }),
  record: z.strictObject({
    ...parts,
    record: text,
    fields: fields.optional(),
    takes: takes.optional(),
    standby: z.literal(true).optional(),
  }),
} as const;

export const useSchema = z.strictObject({ use: id, id: id.optional(), when: when.optional() });

/** Any step with all its keys at once: what the compiler reads once the kind's own schema has passed it. */
export const anyStepSchema = z.strictObject({
  ...parts,
  do: text.optional(),
  gate: text.optional(),
  measure: text.optional(),
  tighten: text.optional(),
  wait: text.optional(),
  watch: text.optional(),
  choose: text.optional(),
  record: text.optional(),
  words: words.optional(),
  readings: readings.optional(),
  second: second.optional(),
  takes: takes.optional(),
  fields: fields.optional(),
  judge: id.optional(),
  torque: ref.optional(),
  bolts: ref.optional(),
  pattern: ref.optional(),
  pass: z.enum(['first', 'rest', 'all']).optional(),
  values: id.optional(),
  for: ids.optional(),
  reading: watched.optional(),
  until: id.optional(),
  options: options.optional(),
  choice: id.optional(),
  standby: z.literal(true).optional(),
});

const head = {
  flow: id,
  title: text,
  start: z.boolean().optional(),
  park: z.boolean().optional(),
  given: ids.optional(),
  leaves: ids.optional(),
  choices: z.record(id, choiceSchema).optional(),
  facts: z.record(id, factSchema).optional(),
};

/** A flow file with its steps still unread: each is read by the schema of its kind. */
export const flowSchema = z.strictObject({ ...head, steps: z.array(z.unknown()).min(1) });

/** The same with the steps in it, for editors. */
export const wholeFlowSchema = z.strictObject({
  ...head,
  steps: z.array(z.union([...STEP_KINDS.map((kind) => STEP_SCHEMAS[kind]), useSchema])).min(1),
});

export const hazardsSchema = z.strictObject({
  levels: z.array(level).min(1),
  hazards: z.record(
    id,
    z.strictObject({
      label: text,
      demands: z.array(need).optional(),
      level: level.optional(),
      second: z.strictObject({ level: level.optional() }).optional(),
      gear: gear.optional(),
      stop: z.array(text).optional(),
    }),
  ),
});

export type FactText = z.infer<typeof factSchema>;
export type StepText = z.infer<typeof anyStepSchema>;
export type UseText = z.infer<typeof useSchema>;
export type FlowHead = z.infer<typeof flowSchema>;
export type HazardsText = z.infer<typeof hazardsSchema>;
export type NeedText = z.infer<typeof need>;
export type RefText = z.infer<typeof timeRef>;
export type ReadingText = z.infer<typeof readings>[number];
export type WatchedText = z.infer<typeof watched>;
