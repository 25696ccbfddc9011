import type { GlobalWord } from '../job/heard.js';
import { FIRST, WHOLE } from './global-words.js';
import { ENGLISH } from './lexicon.js';
import { joined, type Word } from './plain.js';

export type Global = { readonly word: GlobalWord; readonly rest: string; readonly whole: boolean };

const LONGEST = Math.max(...[...FIRST.keys()].map((phrase) => phrase.split(' ').length));
/** The words that those of several words begin with, and those of one. */
const BEGINNINGS: ReadonlySet<string> = new Set(
  [...FIRST.keys()].map((phrase) => phrase.split(' ')[0] ?? ''),
);
const LONGEST_WHOLE = Math.max(...[...WHOLE.keys()].map((phrase) => phrase.split(' ').length));
/** They only read, so asking for them with a question mark is no question about them. */
const ASKING: ReadonlySet<GlobalWord> = new Set(['where', 'why', 'list', 'help', 'numbers']);
const THINGS: ReadonlySet<string> = new Set(ENGLISH.gearTrouble.things);
const HAPPENED: ReadonlySet<string> = new Set(ENGLISH.gearTrouble.happened);

/**
 * The word that works everywhere in a message, with what follows it as typed. `hold` is a hold with its reason, `hold
 * on` a pause. A question about a word ('pause?') is not the word.
 */
export function hearGlobal(text: string, words: readonly Word[]): Global | null {
  const found = find(text, words);
  if (found === null || (text.includes('?') && !ASKING.has(found.word))) return null;
  return found;
}

function find(text: string, words: readonly Word[]): Global | null {
  if (words.length === 0) return null;
  if (words.length <= LONGEST_WHOLE) {
    const whole = WHOLE.get(joined(words));
    if (whole !== undefined) return { word: whole, rest: '', whole: true };
  }
  const longest = BEGINNINGS.has(words[0]?.word ?? '') ? Math.min(LONGEST, words.length - 1) : 0;
  for (let count = longest; count > 0; count--) {
    const word = FIRST.get(joined(words.slice(0, count)));
    const end = words[count - 1]?.end ?? 0;
    if (word !== undefined) return { word, rest: restOf(text, end), whole: false };
  }
  return gearTrouble(text, words);
}

/** `glove torn`, `gear dropped`: what is in use may not be used further. 'gear ok' is no such report. */
function gearTrouble(text: string, words: readonly Word[]): Global | null {
  const [first] = words;
  if (first === undefined || words.length > 5 || !THINGS.has(first.word)) return null;
  if (!words.some((one) => HAPPENED.has(one.word)) || words.some((one) => one.word === 'not')) return null;
  return { word: 'gear', rest: text.trim(), whole: false };
}

/** What stands behind a word, its minus signs kept: `air -5 C 40 %`. */
export function restOf(text: string, end: number): string {
  return text
    .slice(end)
    .replace(/^[\s:;,.!]+/, '')
    .trim();
}
