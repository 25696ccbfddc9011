import { readFileSync } from 'node:fs';
import { z } from 'zod';

const RowSchema = z.strictObject({
  id: z.string(),
  quantity: z.string(),
  inputs: z.record(z.string(), z.unknown()),
  value: z.unknown(),
  unit: z.string().nullable(),
  tolerance: z.number().nullable(),
  source: z.string(),
  basis: z.enum(['read', 'memory', 'computed']),
  note: z.string(),
});

/** One published or computed figure that a trade formula is held against. */
export type Row = z.infer<typeof RowSchema>;

/** The rows of a topic with one of these quantities; a quantity without any row is a slip in the test. */
export function rowsOf(topic: string, ...quantities: readonly string[]): readonly Row[] {
  const text = readFileSync(new URL(`./${topic}.json`, import.meta.url), 'utf8');
  const all = z.array(RowSchema).parse(JSON.parse(text));
  return quantities.flatMap((quantity) => {
    const found = all.filter((row) => row.quantity === quantity);
    if (found.length === 0) throw new Error(`tests/reference/${topic}.json has no row of ${quantity}`);
    return found;
  });
}

/** Source and basis, for test titles and messages. */
export const cite = (row: Row): string => `${row.id} (${row.basis}): ${row.source}`;

/** A numeric input of a row. */
export const input = (row: Row, name: string): number =>
  z.number().parse(row.inputs[name], { error: () => `${row.id} ${name}` });

/** A numeric value of a row. */
export const value = (row: Row): number => z.number().parse(row.value);

/** The row's own tolerance; rows without one are not numeric. */
export const tolerance = (row: Row): number => z.number().parse(row.tolerance);
