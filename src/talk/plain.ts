/** A word of a message, folded for comparing, with its place in the untouched text. */
export type Word = { readonly word: string; readonly end: number; readonly code: boolean };

const INVISIBLE =
  /[\u00ad\u200b-\u200f\u202a-\u202e\u2060-\u2064\ufeff]|[\ufe00-\ufe0f]|[\u{1f3fb}-\u{1f3ff}]/gu;
const PLAIN = /^[\x20-\x7e]*$/;

/**
 * A message with everything alike written alike: full-width digits and letters, no-break blanks, curly quotes, the
 * several minus signs, nothing invisible. Line ends stay; the case stays.
 */
export function plain(text: string): string {
  if (PLAIN.test(text)) return text.trim();
  return (
    text
      .replace(INVISIBLE, '')
      // A raised digit is no digit: 10⁶ must not become 106. Only the squares of units are written so.
      .replace(/(m|in)²/g, '$12')
      .replace(/[\u00b2\u00b3\u00b9\u2070-\u209c\u00bc-\u00be\u2150-\u215f]/g, '\u00a4')
      .normalize('NFKC')
      .replace(/[’‘‛`´]/g, "'")
      .replace(/[“”„″]/g, '"')
      .replace(/[\u2010-\u2013\u2212\ufe63]/g, '-')
      .replace(/\r\n?|[\u2028\u2029\v\f]/g, '\n')
      .replace(/[\t\p{Zs}]+/gu, ' ')
      .trim()
  );
}

const WORD = /(?:[^\s\p{P}+=<>|~`^$]|['’‘])+/gu;
/** The same for text of plain Latin letters only, where every other sign parts words. */
const PLAIN_WORD = /[A-Za-z0-9']+/g;
const HAS_DIGIT = /\d/;

/**
 * The words of a message. A run with a digit in it (`FIRE-22`, `W1`) is a code and stays one word; hyphens split
 * others.
 */
export function wordsIn(text: string): readonly Word[] {
  const words: Word[] = [];
  const wordIn = PLAIN.test(text) ? PLAIN_WORD : WORD;
  let from = 0;
  for (const run of text.split(/(\s+)/u)) {
    if (HAS_DIGIT.test(run)) {
      words.push({ word: foldWord(run), end: from + run.length, code: true });
    } else if (run.trim() !== '') {
      for (const match of run.matchAll(wordIn)) {
        const word = foldWord(match[0]);
        if (word !== '') words.push({ word, end: from + match.index + match[0].length, code: false });
      }
    }
    from += run.length;
  }
  return words;
}

function foldWord(raw: string): string {
  const clean = PLAIN.test(raw) ? raw : raw.replace(INVISIBLE, '').normalize('NFKC');
  return clean.toLowerCase().replace(/['’‘`´]/g, '');
}

/** The words joined by single blanks, as the lexicon writes phrases. */
export function joined(words: readonly Word[]): string {
  return words.map((one) => one.word).join(' ');
}

/** A letter typed several times counts once: `stooop`. */
export function squeeze(word: string): string {
  return word.replace(/(.)\1+/gu, '$1');
}

/** Whether the phrase stands in the line of words, whole words only. */
export function holds(line: string, phrase: string): boolean {
  return ` ${line} `.includes(` ${phrase} `);
}
