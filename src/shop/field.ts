import * as z from 'zod';
import type { Value } from '../job/event.js';
import { parseQuantity } from '../units/notation.js';
import type { Quantity } from '../units/quantity.js';
import { type Dimension, dimensionOf } from '../units/unit.js';
import { say } from './fault.js';

/** Fields that several documents of the register have. */

export const TEXT = z.string().trim().min(1, say('it is empty', 'Write something, or take the line out.'));

/** The line of the shop journal whose change was made last; kept by the program, so that none is made twice. */
export const APPLIED = z.string().optional();

/** A day that exists. */
export const DAY = z.iso.date(say('it is no day', 'Write a day that exists, like "2026-03-31".'));

/** Ids are typed on a phone: letters, digits and hyphens. */
export const ID = z
  .string()
  .regex(/^[A-Za-z0-9][A-Za-z0-9-]*$/, say('it is no id', 'Use letters, digits and hyphens only.'));

/** Value names as the flows write them. */
export const NAME = z
  .string()
  .regex(/^[a-z0-9]+(?:-[a-z0-9]+)*$/, say('it is no name of a value', 'Use lower-case words with hyphens.'));

export const MONTHS = z
  .int()
  .min(1, say('it holds less than a month', 'Write whole months, 1 to 240.'))
  .max(240, say('it holds more than 20 years', 'Write whole months, 1 to 240.'));

const EXAMPLES: Readonly<Partial<Record<Dimension, string>>> = {
  voltage: '410 V',
  torque: '9 N·m',
  length: '320 mm',
  mass: '3500 kg',
  time: '15 min',
  pressure: '30 mbar',
};

/** A quantity as text, `410 V`; of one dimension when given. */
export function quantity(dimension?: Dimension) {
  return z.string().transform((text, context): Quantity => {
    const example = EXAMPLES[dimension ?? 'voltage'] ?? '410 V';
    const remedy = `Write a number with a point, a blank and the unit, like "${example}".`;
    const found = parseQuantity(text);
    if (found === null) {
      context.addIssue({ code: 'custom', message: say(`"${text}" is no quantity`, remedy) });
      return z.NEVER;
    }
    if (dimension !== undefined && dimensionOf(found.unit) !== dimension) {
      context.addIssue({ code: 'custom', message: say(`"${text}" is no ${dimension}`, remedy) });
      return z.NEVER;
    }
    return found;
  });
}

/** A value with where it was taken from and who entered it. */
export const VALUE = z
  .strictObject({
    value: quantity().optional(),
    text: TEXT.optional(),
    reference: TEXT,
    enteredBy: TEXT,
    /** The day it was entered. */
    entered: DAY.optional(),
    note: z.string().optional(),
  })
  .refine(
    ({ value, text }) => (value === undefined) !== (text === undefined),
    say(
      'it needs either "value" or "text"',
      'Write "value": "410 V" for a quantity, "text": "cross" for a word.',
    ),
  )
  .transform(
    ({ value, text, reference, enteredBy }): Value => ({
      quantity: value ?? null,
      text: text ?? null,
      reference,
      enteredBy,
    }),
  );

export const VALUES = z.record(NAME, VALUE);
