import { FIRST, WHOLE } from './global-words.js';
import { DANGER_OF, ENGLISH } from './lexicon.js';
import { isUnitWord } from './measure.js';
import { isNumeral } from './numeral.js';
import { joined, wordsIn } from './plain.js';
import { stopWord } from './stop.js';

const MEANT: ReadonlySet<string> = new Set([
  ...[...ENGLISH.yes, ...ENGLISH.no, ...ENGLISH.problem, ...ENGLISH.trouble, ...ENGLISH.notYet],
  ...[...ENGLISH.noNumber, ...ENGLISH.correcting, ...ENGLISH.atLeast],
  ...[...WHOLE.keys(), ...FIRST.keys(), ...DANGER_OF.keys()],
]);

/**
 * Whether a word or phrase means something by itself in any message, so that no gate may have it as its word: `ok`,
 * `stop` and what is within one edit of it, `smoke`, `hold on`, `nothing`, numbers, units. Case, hyphens and
 * apostrophes do not count.
 */
export function isOurWord(text: string): boolean {
  const folded = joined(wordsIn(text));
  return MEANT.has(folded) || isNumeral(folded) || isUnitWord(text) || stopWord(text) !== null;
}
