import type { Heard } from '../job/heard.js';
import { restOf } from './global.js';
import { ENGLISH } from './lexicon.js';
import { holds, joined, type Word } from './plain.js';

const YES: ReadonlySet<string> = new Set(ENGLISH.yes);
const BESIDE: ReadonlySet<string> = new Set(ENGLISH.besideYes);
const NO: ReadonlySet<string> = new Set(ENGLISH.no);
const NOT_YET: ReadonlySet<string> = new Set(ENGLISH.notYet);
const PROBLEM: ReadonlySet<string> = new Set(ENGLISH.problem);
const TROUBLE: ReadonlySet<string> = new Set(ENGLISH.trouble);
const NEGATIONS: ReadonlySet<string> = new Set(ENGLISH.negations);
/** 'is it done', dictated without its question mark. */
const ASKING: ReadonlySet<string> = new Set(['is', 'am', 'you']);
const UNSURE: ReadonlySet<string> = new Set(['sure', 'certain', 'know', 'idea', 'clue', 'bad']);
const DENIED: ReadonlySet<string> = new Set([...PROBLEM, 'worries', 'worry', 'issues']);
const LONGEST_YES = 5;

/**
 * Yes, no or a problem. A yes holds nothing but words of the yes table, so that 'not ok', 'ok but', 'ok 2' and 'ok?'
 * are none. A bare no has no rest; a sentence that tells a problem is the rest itself. Null for anything else.
 */
export function hearYesNo(text: string, words: readonly Word[]): Heard | null {
  if (text.includes('?') || words.length === 0) return null;
  return hearYes(words) ? { heard: 'yes' } : hearNo(text, words);
}

/** Whether a message is a yes and nothing else. */
export function hearYes(words: readonly Word[]): boolean {
  const [first] = words;
  if (first === undefined || words.length > LONGEST_YES || ASKING.has(first.word)) return false;
  let yes = false;
  for (const { word } of words) {
    if (isYes(word)) yes = true;
    else if (!BESIDE.has(word)) return false;
  }
  return yes;
}

/** Stretched yes-words count: `yesss`, `okkk`. So do several thumbs in a row. */
function isYes(word: string): boolean {
  if (YES.has(word)) return true;
  const once = word.replace(/(.)\1{2,}/gu, '$1');
  if (once !== word && YES.has(once)) return true;
  const [sign = ''] = word;
  return sign > '\u2000' && YES.has(sign) && [...word].every((one) => one === sign);
}

/** `no`, `problem`, `can't` and sentences that tell trouble. */
export function hearNo(text: string, words: readonly Word[]): Heard | null {
  const [first, ...others] = words;
  if (first === undefined) return null;
  const rest = restOf(text, first.end);
  // 'not sure' and 'no idea' say neither.
  if (words.length <= 4 && words.some((one) => UNSURE.has(one.word))) return null;
  if (NO.has(first.word)) {
    // 'no yes' and 'no problem' are both and neither.
    const [second, third] = others;
    const denied = second !== undefined && third === undefined && DENIED.has(second.word);
    if (denied || (others.length > 0 && hearYes(others))) return null;
    return { heard: 'no', rest: others.every((one) => NO.has(one.word)) ? '' : rest };
  }
  if (PROBLEM.has(first.word)) return { heard: 'no', rest };
  const line = joined(words);
  if (NOT_YET.has(line) || isNotYet(words)) return { heard: 'no', rest: '' };
  if (others.length === 0)
    return TROUBLE.has(first.word) ? { heard: 'no', rest: bareTrouble(first.word, text) } : null;
  const trouble = words.findIndex((one) => TROUBLE.has(one.word));
  if (trouble === -1) return first.word === 'not' ? { heard: 'no', rest: text.trim() } : null;
  // 'nothing missing', 'not stuck': trouble denied is no answer either.
  const denied = words
    .slice(Math.max(0, trouble - 2), trouble)
    .some((one) => NEGATIONS.has(one.word) && !TROUBLE.has(one.word));
  return denied && !holds(line, 'cant') ? null : { heard: 'no', rest: text.trim() };
}

/** 'can't' alone does not say what is wrong; 'stuck' does. */
function bareTrouble(word: string, text: string): string {
  return NEGATIONS.has(word) || /nt$/.test(word) ? '' : text.trim();
}

/** 'not ok', 'not done yet', 'nearly done', 'half done'. */
function isNotYet(words: readonly Word[]): boolean {
  if (words.length > LONGEST_YES) return false;
  const turned = words.some((one) => one.word === 'not' || NOT_YET.has(one.word) || one.word === 'isnt');
  return (
    turned &&
    words.every(
      ({ word }) => word === 'not' || word === 'isnt' || NOT_YET.has(word) || isYes(word) || BESIDE.has(word),
    )
  );
}
