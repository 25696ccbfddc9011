import type { Danger } from '../job/heard.js';
import { distance } from '../rule/distance.js';
import { FIRST, WHOLE } from './global-words.js';
import { DANGER_OF, ENGLISH } from './lexicon.js';
import { holds, squeeze, type Word, wordsIn } from './plain.js';

export type StopHeard = {
  readonly sure: boolean;
  readonly danger: Danger | null;
  /** The message says that there is no such danger: `no smoke`. */
  readonly denied?: true;
};

const STOPS: ReadonlySet<string> = new Set(ENGLISH.stop.filter((w) => !w.includes(' ')).map(squeeze));
const FIRST_STOPS: ReadonlySet<string> = new Set([...STOPS, ...ENGLISH.stopFirstOnly.map(squeeze)]);
const NOT_STOP: ReadonlySet<string> = new Set(ENGLISH.notStop);
const YES: ReadonlySet<string> = new Set([...ENGLISH.yes, ...ENGLISH.no]);
const CALLERS: ReadonlySet<string> = new Set(ENGLISH.callers);
/** 'can see smoke' is a report. */
const TURNS: ReadonlySet<string> = new Set(
  [...ENGLISH.negations, ...ENGLISH.conditions].filter((w) => w !== 'can'),
);
const NEGATIONS: ReadonlySet<string> = new Set(ENGLISH.negations);
const SIGNS = /^\s*(?:\u{1f6d1}|\u26d4|\u{1f198})/u;
const LETTERS = /^s\W{1,2}t\W{1,2}o\W{1,2}p\b/i;
/** `stop!!1` is shouted; `stop-22` may be a serial, and is obeyed all the same. */
const SHOUTED = /^(\p{L}+)(?:[!1]+$|[^\p{L}\d])/u;

/**
 * Whether a message stops the job, from the text alone: usable without a job and before everything else. `sure` means
 * freeze now; otherwise a stop word or a danger stands inside a sentence and is asked back. Null: neither.
 */
export function hearStop(text: string, words: readonly Word[] = wordsIn(text)): StopHeard | null {
  if (SIGNS.test(text) || LETTERS.test(text.trim())) return { sure: true, danger: null };
  const called = words.findIndex((one) => !CALLERS.has(one.word) && !one.word.startsWith('@'));
  const said = called > 0 ? words.slice(called) : words;
  const danger = hearDanger(text, said);
  const [first] = said;
  if (first !== undefined && isStop(first, said.length, said[1]))
    return { sure: true, danger: danger?.danger ?? null };
  if (danger?.sure === true) return danger;
  if (words.some((one) => !one.code && STOPS.has(squeeze(one.word)))) {
    return { sure: false, danger: danger?.danger ?? null };
  }
  return danger;
}

/** Whether this message freezes the job, and for which danger; null when it does not. */
export function stopWord(text: string): { readonly danger: Danger | null } | null {
  const heard = hearStop(text);
  return heard?.sure === true ? { danger: heard.danger } : null;
}

function isStop(first: Word, count: number, second: Word | undefined): boolean {
  const shouted = first.code ? SHOUTED.exec(first.word)?.[1] : first.word;
  if (shouted === undefined) return false;
  const word = squeeze(shouted);
  if (FIRST_STOPS.has(word)) return true;
  if (shouted === 'may' && second?.word === 'day') return true;
  // `stopstop`, typed without lifting the thumb.
  if (/^(?:stop){2,}$/.test(word)) return true;
  if (first.code || count > 2 || word.length < 3 || word.length > 10) return false;
  if (
    NOT_STOP.has(shouted) ||
    NOT_STOP.has(word) ||
    YES.has(shouted) ||
    WHOLE.has(shouted) ||
    FIRST.has(shouted)
  )
    return false;
  for (const stop of FIRST_STOPS) {
    if (Math.abs(stop.length - word.length) <= 1 && distance(stop, word) <= 1) return true;
  }
  return false;
}

/** Letters and digits, joined by hyphens: `FIRE-2231`, `STOP-12`. */
const JOINED = /^[\p{L}\d]+(?:-[\p{L}\d]+)*$/u;
/** `stop1` and `stop11` are `stop!` with the shift key missed. */
const MISSED_SHIFT = /^\p{L}+1+$/u;

/**
 * Whether a whole message looks like the identifier of a thing, where one is asked: a single piece with a digit or a
 * hyphen directly joined. What is made of our own words only, such as `stop-now` or `s-t-o-p`, does not.
 */
export function isIdentifier(text: string): boolean {
  const piece = text.trim();
  if (!JOINED.test(piece) || MISSED_SHIFT.test(piece) || LETTERS.test(piece)) return false;
  if (/\d/.test(piece)) return true;
  const parts = piece.toLowerCase().split('-');
  return parts.length > 1 && !parts.every((part) => isOurs(part));
}

function isOurs(part: string): boolean {
  const known = [ENGLISH.besideYes, ENGLISH.callers, ENGLISH.reports, ENGLISH.negations, ENGLISH.conditions];
  if (STOPS.has(squeeze(part)) || DANGER_OF.has(part) || YES.has(part) || WHOLE.has(part)) return true;
  return known.some((words) => words.includes(part));
}

/** Words before a danger that turn it into its absence or a question. */
const TURNED_WITHIN = 3;

/** The first danger that is reported, else the first that is only spoken of. */
function hearDanger(text: string, words: readonly Word[]): StopHeard | null {
  if (!words.some((one, i) => dangerAt(one.word, words[i + 1]?.word) !== null)) return null;
  const all = words.map((one) => (one.code ? '#' : one.word));
  const left = withoutHarmless(all);
  const line = all.join(' ');
  const short = all.length <= 4 || ENGLISH.reports.some((phrase) => holds(line, phrase));
  let spokenOf: Danger | null = null;
  let denied = !text.includes('?');
  for (const [at, word] of left.entries()) {
    const danger = dangerAt(word, left[at + 1]);
    if (danger === null) continue;
    const before = left.slice(Math.max(0, at - TURNED_WITHIN), at);
    const turned = before.some((one) => TURNS.has(one)) || (text.includes('?') && all.length > 1);
    if (!turned && (at === 0 || short)) return { sure: true, danger };
    spokenOf ??= danger;
    denied &&= before.some((one) => NEGATIONS.has(one));
  }
  if (spokenOf === null) return null;
  return denied ? { sure: false, danger: spokenOf, denied: true } : { sure: false, danger: spokenOf };
}

/** First words of dangers that take two. */
const PAIRED: ReadonlySet<string> = new Set(
  [...DANGER_OF.keys()].flatMap((phrase) => (phrase.includes(' ') ? (phrase.split(' ')[0] ?? []) : [])),
);

function dangerAt(word: string, next: string | undefined): Danger | null {
  const pair = next === undefined || !PAIRED.has(word) ? undefined : DANGER_OF.get(`${word} ${next}`);
  return pair ?? DANGER_OF.get(word) ?? DANGER_OF.get(squeeze(word)) ?? null;
}

/** What is left when the names of things are taken out: shock absorber, smoke test. */
function withoutHarmless(words: readonly string[]): readonly string[] {
  let left = ` ${words.join(' ')} `;
  for (const phrase of ENGLISH.harmless) {
    if (left.includes(` ${phrase} `)) left = left.replaceAll(` ${phrase} `, ' # ');
  }
  return left.trim().split(' ');
}
