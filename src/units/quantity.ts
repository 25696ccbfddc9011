import { fromNumber, minus, over, plus, times, toNumber } from './exact.js';
import { dimensionOf, scaleOf, type Unit } from './unit.js';

export type { Unit } from './unit.js';

/** A number and what it counts. Temperatures are points on the scale, not differences. */
export type Quantity = { readonly value: number; readonly unit: Unit };

export const UNIT_ERRORS = ['different-dimension', 'not-finite'] as const;
export type UnitErrorCode = (typeof UNIT_ERRORS)[number];

/** A conversion that has no answer: a slip of the program, never of the person. */
export class UnitError extends Error {
  readonly code: UnitErrorCode;

  constructor(code: UnitErrorCode, message: string) {
    super(message);
    this.name = 'UnitError';
    this.code = code;
  }
}

/**
 * The same quantity in another unit of its dimension. Factors are exact (NIST SP 811 definitions) and the value is
 * taken as the decimal it prints as, so 4.35 m is 435 cm; only the result is rounded, once. Temperatures convert as
 * points: 0 °C is 32 °F. For a difference use `convertDifference`.
 *
 * @throws {UnitError} `different-dimension` when the units measure different things, `not-finite` for NaN or infinity.
 */
export function convert(q: Quantity, to: Unit): Quantity {
  return { value: valueIn(q, to), unit: to };
}

/** The value of `convert`, without its unit. */
export function valueIn(q: Quantity, to: Unit): number {
  mustConvert(q, to);
  if (q.unit === to) return q.value;
  const from = scaleOf(q.unit);
  const into = scaleOf(to);
  const base = times(plus(fromNumber(q.value), from.offset), from.scale);
  return toNumber(minus(over(base, into.scale), into.offset));
}

/**
 * A difference in another unit: 2 °C of cooling are 3.6 °F of cooling. Only for temperatures does this differ from
 * `convert`.
 *
 * @throws {UnitError} as `convert`.
 */
export function convertDifference(q: Quantity, to: Unit): Quantity {
  mustConvert(q, to);
  if (q.unit === to) return q;
  const value = toNumber(over(times(fromNumber(q.value), scaleOf(q.unit).scale), scaleOf(to).scale));
  return { value, unit: to };
}

function mustConvert(q: Quantity, to: Unit): void {
  const [has, wants] = [dimensionOf(q.unit), dimensionOf(to)];
  if (has !== wants) {
    throw new UnitError('different-dimension', `${q.unit} is a ${has}, ${to} is a ${wants}: cannot convert`);
  }
  if (!Number.isFinite(q.value)) throw new UnitError('not-finite', `${q.value} ${q.unit} is not a number`);
}
