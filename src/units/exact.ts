/** A fraction of whole numbers: conversions stay exact until the last step. */
export type Ratio = readonly [over: bigint, under: bigint];

/**
 * The decimal a number prints as, as a fraction of whole numbers. 0.1 becomes 1/10, which is what was typed, not the
 * binary number nearest to it. The number must be finite.
 */
export function fromNumber(value: number): Ratio {
  const [digits = '', power = '0'] = value.toExponential().split('e');
  const [whole = '', part = ''] = digits.split('.');
  const exponent = Number(power) - part.length;
  const over = BigInt(whole + part);
  return exponent >= 0 ? [over * 10n ** BigInt(exponent), 1n] : [over, 10n ** BigInt(-exponent)];
}

// A double holds under 17 significant digits; 40 leave the last rounding to Number() alone.
const DIGITS = 40;

/** The number nearest to a fraction. */
export function toNumber([over, under]: Ratio): number {
  if (over === 0n) return 0;
  const [a, b] = [over < 0n ? -over : over, under < 0n ? -under : under];
  const shift = DIGITS - (a.toString().length - b.toString().length);
  const quotient = shift >= 0 ? (a * 10n ** BigInt(shift)) / b : a / (b * 10n ** BigInt(-shift));
  const size = Number(`${quotient}e${-shift}`);
  return over < 0n === under < 0n ? size : -size;
}

export function plus(a: Ratio, b: Ratio): Ratio {
  return [a[0] * b[1] + b[0] * a[1], a[1] * b[1]];
}

export function minus(a: Ratio, b: Ratio): Ratio {
  return [a[0] * b[1] - b[0] * a[1], a[1] * b[1]];
}

export function times(a: Ratio, b: Ratio): Ratio {
  return [a[0] * b[0], a[1] * b[1]];
}

export function over(a: Ratio, b: Ratio): Ratio {
  return [a[0] * b[1], a[1] * b[0]];
}
