import { distance } from '../rule/distance.js';
import { ENGLISH } from './lexicon.js';
import { holds, joined, type Word, wordsIn } from './plain.js';

/** Something that can be chosen: what is answered, and the phrases that mean it, folded. */
export type Choosable = { readonly say: string; readonly phrases: readonly string[] };

const TURNING: ReadonlySet<string> = new Set([
  ...ENGLISH.negations,
  ...ENGLISH.conditions,
  ...ENGLISH.hedges,
]);
const LONGEST_SENTENCE = 8;
/** Shorter words have too many neighbours one slip away. */
const SHORTEST_SLIP = 4;

const PLACES = ['one', 'two', 'three', 'four', 'five', 'six', 'seven', 'eight', 'nine'];
const NUMBER = new RegExp(`^(?:#|no\\. ?|number |option )?([1-9]\\d?|${PLACES.join('|')})[.)]?$`, 'i');

function placeOf(said: string): number {
  const spoken = PLACES.indexOf(said);
  return spoken === -1 ? Number(said) - 1 : spoken;
}

/** A choosable from its name and other words for it. */
export function choosable(say: string, also: readonly string[]): Choosable {
  const phrases = [say, ...also].map((phrase) => joined(wordsIn(phrase)));
  return { say, phrases: [...new Set(phrases)].filter((phrase) => phrase !== '') };
}

/**
 * The option that a message chooses: by its word or another word for it, its number in the list, with one slip of the
 * thumb, or in a short sentence that holds this option and no other ('looks wet to me'). Null when it is not plain: two
 * options, a 'not' or a 'maybe' ('not dry', 'dry but dented'), a question.
 */
export function hearOption(
  text: string,
  words: readonly Word[],
  options: readonly Choosable[],
): string | null {
  if (text.includes('?') || words.length === 0) return null;
  const line = joined(words);
  const exact = options.filter((option) => option.phrases.includes(line));
  if (exact.length > 0) return exact.length === 1 ? (exact[0]?.say ?? null) : null;
  const number = NUMBER.exec(text.trim());
  if (number?.[1] !== undefined) return options[placeOf(number[1].toLowerCase())]?.say ?? null;
  const near = options.filter((option) => option.phrases.some((phrase) => slips(line, phrase)));
  if (near.length > 0) return near.length === 1 ? (near[0]?.say ?? null) : null;
  return words.length > LONGEST_SENTENCE ? null : inSentence(line, options);
}

function slips(said: string, phrase: string): boolean {
  if (Math.min(said.length, phrase.length) < SHORTEST_SLIP || TURNING.has(said)) return false;
  return Math.abs(said.length - phrase.length) <= 1 && distance(said, phrase) <= 1;
}

/** Longest phrases first and cut out, so that 'without cell' is not also 'cell'. */
function inSentence(line: string, options: readonly Choosable[]): string | null {
  const all = options.flatMap((option) => option.phrases.map((phrase) => ({ phrase, say: option.say })));
  all.sort((a, b) => b.phrase.length - a.phrase.length);
  const chosen = new Set<string>();
  let left = line;
  for (const { phrase, say } of all) {
    if (!holds(left, phrase)) continue;
    chosen.add(say);
    left = ` ${left} `.replace(` ${phrase} `, ' ').trim();
  }
  if (chosen.size !== 1 || left.split(' ').some((word) => TURNING.has(word))) return null;
  return [...chosen][0] ?? null;
}
