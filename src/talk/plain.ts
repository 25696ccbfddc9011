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
const RUN = /\S+/gu;

/**
 * The words of a message. A run with a digit in it (`FIRE-22`, `W1`) is a code and stays one word; hyphens split
 * others.
 */
export function wordsIn(text: string): readonly Word[] {
  const words: Word[] = [];
  const isPlain = PLAIN.test(text);
  const wordIn = isPlain ? PLAIN_WORD : WORD;
  RUN.lastIndex = 0;
  for (let found = RUN.exec(text); found !== null; found = RUN.exec(text)) {
    const run = found[0];
    if (HAS_DIGIT.test(run)) {
      words.push({ word: foldWord(run, isPlain), end: found.index + run.length, code: true });
      continue;
    }
    wordIn.lastIndex = 0;
    for (let part = wordIn.exec(run); part !== null; part = wordIn.exec(run)) {
      const word = foldWord(part[0], isPlain);
      if (word !== '') words.push({ word, end: found.index + part.index + part[0].length, code: false });
    }
  }
  return words;
}

function foldWord(raw: string, isPlain: boolean): string {
  const clean = isPlain || PLAIN.test(raw) ? raw : raw.replace(INVISIBLE, '').normalize('NFKC');
  return clean.toLowerCase().replace(/['’‘`´]/g, '');
}

/** The words joined by single blanks, as the lexicon writes phrases. */
export function joined(words: readonly Word[]): string {
  return words.map((one) => one.word).join(' ');
}

/** A letter typed several times counts once: `stooop`. */
export function squeeze(word: string): string {
  if (!mayRepeat(word)) return word;
  return word.replace(/(.)\1+/gu, '$1');
}

/** Whether a letter stands beside itself; words of other than plain letters may hide it. */
function mayRepeat(word: string): boolean {
  for (let at = 0; at < word.length; at++) {
    const code = word.charCodeAt(at);
    if (code > 0x7e || (at > 0 && code === word.charCodeAt(at - 1))) return true;
  }
  return false;
}

/** Whether the phrase stands in the line of words, whole words only. */
export function holds(line: string, phrase: string): boolean {
  return ` ${line} `.includes(` ${phrase} `);
}
