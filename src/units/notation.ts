import type { Quantity } from './quantity.js';
import { isUnit } from './unit.js';
import { parseUnit } from './word.js';

export { ambiguousUnit, parseUnit } from './word.js';

/** More would show the dust of binary arithmetic: 0.30000000000000004. */
const MOST_DIGITS = 12;

/**
 * A quantity as people read it: `9 N·m`, `0.3 V`, `20 °C`, `55 %`. The shortest decimal that reads back as the value,
 * of at most `digits` significant digits (1 to 12), never with an exponent. A value of at most 12 significant digits
 * reads back exactly. What is not a number prints as `? V`.
 */
export function printQuantity(q: Quantity, digits: number = MOST_DIGITS): string {
  return `${printNumber(q.value, digits)} ${q.unit}`;
}

/** The number of `printQuantity` alone. */
export function printNumber(value: number, digits: number = MOST_DIGITS): string {
  if (!Number.isFinite(value)) return '?';
  const wanted = Math.min(MOST_DIGITS, Math.max(1, Math.trunc(digits)));
  const [mantissa = '', power = '0'] = Number(value.toPrecision(wanted)).toExponential().split('e');
  const figures = mantissa.replace(/[-.]/g, '');
  const point = 1 + Number(power);
  const padded = point <= 0 ? '0'.repeat(1 - point) + figures : figures.padEnd(point, '0');
  const whole = padded.slice(0, Math.max(1, point));
  const part = padded.slice(Math.max(1, point));
  return `${mantissa.startsWith('-') ? '-' : ''}${whole}${part === '' ? '' : `.${part}`}`;
}

/**
 * A quantity as files write it, `NUMBER UNIT`: a decimal with a point, then one of our symbols or any one-meaning
 * spelling of it (`9 N·m`, `9 Nm`, `55 %`, `55%`). Null for anything else, `0,3 V`, `03 V`, `.3 V`, `1e3 V` and a bare
 * number included: what people say is heard elsewhere. In files `pint`, `qt`, `gal` and `fl oz` are the US measures, as
 * printed.
 */
export function parseQuantity(text: string): Quantity | null {
  const match = /^(-?(?:0|[1-9]\d*)(?:\.\d+)?) ?([\p{L}\u2126°%"″”].*)$/u.exec(text.trim());
  if (!match) return null;
  const [, number = '', symbol = ''] = match;
  const unit = isUnit(symbol) ? symbol : parseUnit(symbol);
  const value = Number(number);
  return unit === null || !Number.isFinite(value) ? null : { value: value === 0 ? 0 : value, unit };
}
