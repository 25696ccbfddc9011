/**
 * What a trade function returns when it is asked outside its valid range: which input, what it was, and the
 * bound it missed. Codes and values only; the words a person reads are made in `talk/`.
 */
export type Refused<Because extends string> = {
  readonly ok: false;
  readonly because: Because;
  /** The input at fault, by its parameter name. */
  readonly what: string;
  readonly value: number | string | null;
  /** The bound that was missed, in the unit of `what`; null where there is no single bound. */
  readonly limit: number | null;
};

/** Builds a refusal. */
export const refuse = <Because extends string>(
  because: Because,
  what: string,
  value: number | string | null,
  limit: number | null = null,
): Refused<Because> => ({ ok: false, because, what, value, limit });

/** The first named input that is not a finite number above zero, or null when all of them are. */
export function notPositive(inputs: Readonly<Record<string, number>>): Refused<'not-positive'> | null {
  for (const [what, value] of Object.entries(inputs))
    if (!Number.isFinite(value) || value <= 0) return refuse('not-positive', what, value, 0);
  return null;
}
