/** A piece of a message that is read for numbers. */
export type Token =
  | { readonly is: 'number'; readonly typed: string; readonly glued: boolean }
  | { readonly is: 'word'; readonly word: string }
  | { readonly is: 'separator' | 'at-least' | 'plus-minus' | 'letter-o' | 'range'; readonly text: string }
  | { readonly is: 'other'; readonly text: string };

const BLANK = / +/y;
const SEPARATOR = /[,;/|&\n]|\.(?=\s|$)/y;
const SKIPPED = /[~≈=()!]|:(?=\s|$)/y;
const AT_LEAST = />=?|≥|⩾/y;
const PLUS_MINUS = /\+\/?-|±/y;
const NUMBER = /[-+]?(?:\d[\d.,·⋅']*|[.,]\d[\d.,·⋅']*)/y;
/** Latin, Cyrillic and Greek: they look alike on a small screen. */
const LETTER_O = /[-+]?[oOоОοΟ](?=[.,]?[\doOоОοΟ])[\d.,oOоОοΟ]*/y;
const O_INSIDE = /[oOоОοΟ][\d.,oOоОοΟ]*(?![\p{L}])/uy;
const O_AND_UNIT = /[oOоОοΟ]+[\d.,]*(?=[\p{L}Ω%°])/uy;
const WORD = /[\p{L}°%Ω"'][\p{L}\p{M}°%Ω/·⋅.'"-]*2?/uy;

const LETTER_OR_DIGIT = /[\p{L}\d]/u;
const DIGIT = /^\d/;
/** All but the letter O, which may stand for a nought. */
const LETTER = /^[a-np-zA-NP-Z]/;

/** Cuts a plain message into what matters for numbers. `isUnit` tells `1 Ohm` from a 1 and a letter O. */
export function scan(text: string, isUnit: (word: string) => boolean): readonly Token[] {
  const tokens: Token[] = [];
  let at = 0;
  const take = (pattern: RegExp): string | null => {
    pattern.lastIndex = at;
    const found = pattern.exec(text);
    if (found === null) return null;
    at += found[0].length;
    return found[0];
  };
  while (at < text.length) {
    if (take(BLANK) !== null) continue;
    const before = at === 0 ? ' ' : (text[at - 1] ?? ' ');
    const first = text[at] ?? '';
    // A digit begins nothing but a number, a plain letter nothing but a word: most messages hold no more than these.
    const [isDigit, isLetter] = [DIGIT.test(first), LETTER.test(first)];
    const sign = isDigit || isLetter ? null : take(PLUS_MINUS);
    if (sign !== null) {
      tokens.push({ is: 'plus-minus', text: sign });
      continue;
    }
    const o = isDigit || isLetter || LETTER_OR_DIGIT.test(before) ? null : take(LETTER_O);
    if (o !== null) {
      tokens.push({ is: 'letter-o', text: o });
      continue;
    }
    const number = isLetter ? null : take(NUMBER);
    if (number !== null) {
      const typed = number.replace(/[.,·⋅']+$/, '');
      at -= number.length - typed.length;
      if (/^[-+]/.test(typed) && LETTER_OR_DIGIT.test(before)) tokens.push({ is: 'range', text: typed });
      else tokens.push({ is: 'number', typed, glued: /[\p{L}#@:$€£/]/u.test(before) && before !== '/' });
      letterO(text, at, typed, isUnit, tokens, take);
      continue;
    }
    const bound = isLetter ? null : take(AT_LEAST);
    if (bound !== null) {
      tokens.push({ is: 'at-least', text: bound });
      continue;
    }
    const separator = isLetter ? null : take(SEPARATOR);
    if (separator !== null) {
      tokens.push({ is: 'separator', text: separator });
      continue;
    }
    if (!isLetter && take(SKIPPED) !== null) continue;
    const word = take(WORD);
    if (word !== null) {
      tokens.push({ is: 'word', word: word.replace(/[.'-]+$/, '') });
      continue;
    }
    const point = text.codePointAt(at) ?? 0;
    const other = String.fromCodePoint(point);
    at += other.length;
    tokens.push({ is: 'other', text: other });
  }
  return tokens;
}

/** A letter O straight behind digits, unless it begins the name of a unit. */
function letterO(
  text: string,
  at: number,
  typed: string,
  isUnit: (word: string) => boolean,
  tokens: Token[],
  take: (pattern: RegExp) => string | null,
): void {
  if (!/[oOоОοΟ]/.test(text[at] ?? '')) return;
  WORD.lastIndex = at;
  const word = WORD.exec(text)?.[0] ?? '';
  if (word !== '' && isUnit(word)) return;
  const inside = take(O_INSIDE) ?? take(O_AND_UNIT);
  if (inside === null) return;
  tokens.pop();
  tokens.push({ is: 'letter-o', text: typed + inside });
}
