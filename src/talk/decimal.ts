import type { Unclear } from '../job/heard.js';

/** The digits of one number as typed, read once or refused. */
export type Decimal =
  | { readonly ok: true; readonly value: number; readonly thousands: number | null }
  | { readonly ok: false; readonly because: Unclear };

const fault = (because: Unclear): Decimal => ({ ok: false, because });
const GROUPED = /^[1-9]\d{0,2}(?:,\d{3})+(?:\.\d+)?$|^[1-9]\d{0,2}(?:\.\d{3})+(?:,\d+)?$/;

/**
 * A number as people type it: point or comma before the decimals, a digit before it or not. `03` is asked back, since a
 * digit or a point may be lost in front of it.
 *
 * One separator with exactly three digits behind it and one to three before, as in `1,200` or `1.200`, is 1.2 to one
 * half of the world and 1200 to the other: `thousands` gives the second reading, and only the limits of what is asked can
 * tell. `0.386` has one reading, because no grouped number begins with 0. Two kinds of separator (`1,200.5`) have one
 * reading as well.
 */
export function readDecimal(typed: string): Decimal {
  const negative = typed.startsWith('-');
  const raw = typed.replace(/^[-+]/, '').replace(/(\d)[·⋅](\d)/g, '$1.$2');
  if (raw.includes("'")) return fault('kilo-or-not');
  if (/^0\d/.test(raw)) return fault('leading-zero');
  const seps = raw.replace(/\d/g, '');
  const number = (text: string): number => {
    const value = Number(text);
    return negative && value !== 0 ? -value : value;
  };
  if (seps.length <= 1) {
    const [whole = '', part] = raw.split(/[.,]/);
    if (part === '' || (whole === '' && part === undefined)) return fault('not-a-number');
    const value = number(part === undefined ? whole : `${whole === '' ? '0' : whole}.${part}`);
    if (!Number.isFinite(value)) return fault('not-a-number');
    const either = part?.length === 3 && /^[1-9]\d{0,2}$/.test(whole);
    return { ok: true, value, thousands: either ? number(whole + part) : null };
  }
  if (!GROUPED.test(raw)) return fault('not-a-number');
  if (/^,+$|^\.+$/.test(seps)) return fault('kilo-or-not');
  const decimals = seps.at(-1) ?? '.';
  const value = number(raw.replace(decimals === '.' ? /,/g : /\./g, '').replace(',', '.'));
  return { ok: true, value, thousands: null };
}
