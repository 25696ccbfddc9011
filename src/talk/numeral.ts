import type { Unclear } from '../job/heard.js';

const DIGITS = ['zero', 'one', 'two', 'three', 'four', 'five', 'six', 'seven', 'eight', 'nine'] as const;
const TEENS = [
  ...(['ten', 'eleven', 'twelve', 'thirteen', 'fourteen'] as const),
  ...(['fifteen', 'sixteen', 'seventeen', 'eighteen', 'nineteen'] as const),
];
const TENS = ['twenty', 'thirty', 'forty', 'fifty', 'sixty', 'seventy', 'eighty', 'ninety'] as const;

/** What a spoken word stands for in a number. */
type Part =
  | { readonly is: 'digit' | 'teen' | 'tens' | 'hundred' | 'thousand'; readonly value: number }
  /** Digits typed by the dictation: `3 hundred`, `0 point 3`. */
  | { readonly is: 'typed'; readonly value: number; readonly digits: string }
  | { readonly is: 'and' | 'point' | 'half'; readonly value: 0 };

const PARTS: ReadonlyMap<string, Part> = new Map<string, Part>([
  ...DIGITS.map((word, value): [string, Part] => [word, { is: 'digit', value }]),
  ...['nought', 'naught', 'oh', 'o'].map((word): [string, Part] => [word, { is: 'digit', value: 0 }]),
  ...TEENS.map((word, i): [string, Part] => [word, { is: 'teen', value: 10 + i }]),
  ...TENS.map((word, i): [string, Part] => [word, { is: 'tens', value: 20 + 10 * i }]),
  ['fourty', { is: 'tens', value: 40 }],
  ['hundred', { is: 'hundred', value: 100 }],
  ['thousand', { is: 'thousand', value: 1000 }],
  ['and', { is: 'and', value: 0 }],
  ['point', { is: 'point', value: 0 }],
  ['decimal', { is: 'point', value: 0 }],
  ['dot', { is: 'point', value: 0 }],
  ['half', { is: 'half', value: 0 }],
]);

/** Whether a word can be part of a spoken number. */
export function isNumeral(word: string): boolean {
  return PARTS.has(word);
}

/** A spoken number as the digits it would be typed in: `386`, `0.3`, `03`. */
export type Numeral = { readonly typed: string } | { readonly because: Unclear };

/**
 * One number out of the words of a run: `three hundred and eighty six`, `three eight six`, `three eighty six`, `one two
 * point five`, `nought point three`, `two and a half`; below a million. Spoken `oh` is a zero only beside other number
 * words; beside typed digits it may be a letter and is asked back. Words that can be cut into numbers in several ways
 * (`twelve fifty`) are two numbers.
 */
export function readNumeral(words: readonly string[]): Numeral {
  const parts: Part[] = [];
  for (const word of words) {
    if (word === 'a') continue;
    const known = PARTS.get(word);
    if (known !== undefined) parts.push(known);
    else if (/^\d+$/.test(word)) parts.push({ is: 'typed', value: Number(word), digits: word });
    else return { because: 'not-a-number' };
  }
  const said = words.filter((word) => word !== 'a');
  const ohs = said.some((word) => word === 'oh' || word === 'o');
  if (ohs && (said.length === 1 || parts.some((part) => part.is === 'typed'))) return { because: 'letter-o' };
  let end = parts.length;
  let half = false;
  if (parts.at(-1)?.is === 'half') {
    if (parts.at(-2)?.is !== 'and' || parts.length < 3) return { because: 'not-a-number' };
    half = true;
    end -= 2;
  }
  const point = parts.findIndex((part) => part.is === 'point');
  if (point === -1) {
    const whole = wholeOf(parts.slice(0, end));
    if (whole === null) return { because: 'two-numbers' };
    return { typed: half ? `${whole}.5` : whole };
  }
  if (half) return { because: 'not-a-number' };
  const whole = point === 0 ? '' : wholeOf(parts.slice(0, point));
  const part = decimalsOf(parts.slice(point + 1));
  if (part === null) return { because: point === parts.length - 1 ? 'not-a-number' : 'two-numbers' };
  return whole === null ? { because: 'two-numbers' } : { typed: `${whole}.${part}` };
}

/** The numbers of a run in a set: each a cardinal, or zeros one after the other. Null where it can be cut in several ways. */
export function readNumerals(words: readonly string[]): readonly string[] | null {
  const found: string[] = [];
  let from = 0;
  while (from < words.length) {
    let to = words.length;
    let typed: string | null = null;
    for (; to > from; to--) {
      const one = readNumeral(words.slice(from, to));
      if ('typed' in one && isCardinal(words.slice(from, to))) {
        typed = one.typed;
        break;
      }
    }
    if (typed === null) return null;
    found.push(typed);
    const last = PARTS.get(words[to - 1] ?? '');
    // After a digit other than zero, or after decimals, the next word might belong to the same number.
    const open =
      last?.is === 'digit' &&
      (last.value !== 0 || words.slice(from, to).some((w) => PARTS.get(w)?.is === 'point'));
    if (to < words.length && open) return null;
    from = to;
  }
  return found;
}

function isCardinal(words: readonly string[]): boolean {
  const parts = words.map((word) => PARTS.get(word)?.is ?? 'typed');
  if (parts[0] === 'and' || parts.at(-1) === 'and') return false;
  const point = parts.indexOf('point');
  const whole = point === -1 ? parts : parts.slice(0, point);
  const digits = whole.every((part) => part === 'digit' || part === 'typed');
  const glued =
    whole.length > 1 && (digits || (parts[0] === 'digit' && (parts[1] === 'tens' || parts[1] === 'teen')));
  return !glued && (point === -1 || parts.length - point <= 2);
}

function wholeOf(parts: readonly Part[]): string | null {
  if (parts.length === 0) return null;
  const [first, second, third] = parts;
  if (parts.every((part) => part.is === 'digit' || (part.is === 'typed' && parts.length === 1))) {
    return parts.map((part) => (part.is === 'typed' ? part.digits : String(part.value))).join('');
  }
  // 'three eighty six', 'one eighteen'
  if (first?.is === 'digit' && first.value > 0 && (second?.is === 'tens' || second?.is === 'teen')) {
    const tail = parts.slice(1);
    const low = belowHundred(tail);
    if (low !== null && !(second.is === 'teen' && third !== undefined))
      return String(first.value * 100 + low);
    return null;
  }
  return cardinal(parts);
}

function cardinal(parts: readonly Part[]): string | null {
  const thousand = parts.findIndex((part) => part.is === 'thousand');
  if (thousand !== -1) {
    const many = thousand === 0 ? 1 : belowThousand(parts.slice(0, thousand));
    const rest = parts.slice(thousand + 1);
    const low = rest.length === 0 ? 0 : belowThousand(rest[0]?.is === 'and' ? rest.slice(1) : rest);
    return many === null || low === null || many === 0 ? null : String(many * 1000 + low);
  }
  const value = belowThousand(parts);
  return value === null ? null : String(value);
}

function belowThousand(parts: readonly Part[]): number | null {
  const hundred = parts.findIndex((part) => part.is === 'hundred');
  if (hundred === -1) return belowHundred(parts);
  const [many] = parts;
  if (hundred > 1 || many === undefined) return null;
  const hundreds = hundred === 0 ? 1 : many.value;
  if (hundred === 1 && many.is !== 'digit' && many.is !== 'typed') return null;
  if (hundreds < 1 || hundreds > 9) return null;
  const rest = parts.slice(hundred + 1);
  const low = rest.length === 0 ? 0 : belowHundred(rest[0]?.is === 'and' ? rest.slice(1) : rest);
  return low === null ? null : hundreds * 100 + low;
}

function belowHundred(parts: readonly Part[]): number | null {
  const [first, second, more] = parts;
  if (first === undefined || more !== undefined) return null;
  if (second === undefined) {
    const single = first.is === 'digit' || first.is === 'teen' || first.is === 'tens';
    if (first.is === 'typed') return first.value < 100 && !/^0\d/.test(first.digits) ? first.value : null;
    return single ? first.value : null;
  }
  if (first.is === 'tens' && second.is === 'digit' && second.value > 0) return first.value + second.value;
  return null;
}

/** 'three', 'three eight', 'thirty five', '35'. */
function decimalsOf(parts: readonly Part[]): string | null {
  if (parts.length === 0) return null;
  const [first] = parts;
  if (parts.length === 1 && first?.is === 'typed') return first.digits;
  if (parts.every((part) => part.is === 'digit')) return parts.map((part) => part.value).join('');
  const low = belowHundred(parts);
  return low === null || low < 10 ? null : String(low);
}
