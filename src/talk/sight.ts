import type { Heard, SightSaid } from '../job/heard.js';
import { ENGLISH } from './lexicon.js';
import { holds, joined, type Word } from './plain.js';
import { hearNumbers, type Wanted } from './reading.js';

const { watched } = ENGLISH;
const NOTHING_MORE: ReadonlySet<string> = new Set(watched.nothingMore);
const NEGATIONS: ReadonlySet<string> = new Set(ENGLISH.negations);
const UNSURE: ReadonlySet<string> = new Set([...ENGLISH.conditions, ...ENGLISH.hedges]);
/** Said before a number they are past or pointing, and no doubt about it. */
const POINTING: ReadonlySet<string> = new Set(['was', 'were', 'when', 'before']);
const LONGEST_REPORT = 7;

/**
 * What is said at a watch beside a bare number: `+30`, `30 more`, `emptied at 200`, `nothing more`, `85, no bubbles`,
 * `still running`. Null for anything else: then it is heard as a number.
 */
export function hearSight(text: string, words: readonly Word[], wanted: Wanted): Heard | null {
  if (text.includes('?') || words.length === 0) return null;
  const line = joined(words);
  if (watched.emptied.some((phrase) => holds(line, phrase))) return emptied(text, line, words, wanted);
  if (watched.bubbles.some((phrase) => holds(line, phrase))) return bubbles(text, words, wanted);
  if (NOTHING_MORE.has(line)) return sight({ is: 'nothing-more' });
  if (!/\d/.test(text) && words.length <= LONGEST_REPORT) {
    if (watched.running.some((phrase) => holds(line, phrase))) return sight({ is: 'running' });
  }
  if (/^\s*\+\s*[\d.,]/.test(text) || added(line)) {
    const rest = without(text.replace(/^\s*\+/, ''), [...watched.added, ...watched.beside]);
    return oneNumber(rest, wanted, (number) => ({ is: 'added', number }));
  }
  if (!watched.beside.some((phrase) => holds(line, phrase))) return null;
  const read = hearNumbers(without(text, watched.beside), wanted);
  return read.heard === 'readings' ? read : null;
}

const sight = (says: SightSaid): Heard => ({ heard: 'sight', says });

/** `more than 30` is no more than a bound. */
function added(line: string): boolean {
  return watched.added.some((phrase) => holds(line, phrase)) && !holds(line, 'more than');
}

/** `emptied unread`, with no number in it and no question. */
export function saysUnread(text: string, words: readonly Word[]): boolean {
  const line = joined(words);
  const said = (phrases: readonly string[]) => phrases.some((phrase) => holds(line, phrase));
  return !/[\d?]/.test(text) && said(watched.emptied) && said(watched.unread);
}

function emptied(text: string, line: string, words: readonly Word[], wanted: Wanted): Heard {
  if (watched.unread.some((phrase) => holds(line, phrase))) {
    return sight({ is: 'emptied', number: null, unread: true });
  }
  const turned = words.some(({ word }) => NEGATIONS.has(word) || (UNSURE.has(word) && !POINTING.has(word)));
  if (turned) return sight({ is: 'running' });
  const rest = without(text, [...watched.emptied, ...watched.beside]);
  if (!/[\p{L}\d]/u.test(rest)) return sight({ is: 'emptied', number: null, unread: false });
  return oneNumber(rest, wanted, (number) => ({ is: 'emptied', number, unread: false }));
}

function bubbles(text: string, words: readonly Word[], wanted: Wanted): Heard | null {
  if (words.some(({ word }) => UNSURE.has(word))) return null;
  const seen = !words.some(({ word }) => NEGATIONS.has(word));
  const rest = without(text, [...watched.bubbles, ...ENGLISH.negations, ...watched.beside, 'and', 'more']);
  if (!/\d/.test(rest)) return sight({ is: 'bubbles', seen });
  return oneNumber(rest, wanted, (number) => ({ is: 'stands', number, bubbles: seen }));
}

type Number = Extract<Heard, { heard: 'readings' }>['numbers'][number];

function oneNumber(text: string, wanted: Wanted, make: (number: Number) => SightSaid): Heard {
  const read = hearNumbers(text, wanted);
  const only = read.heard === 'readings' ? read.numbers[0] : undefined;
  return only === undefined ? read : sight(make(only));
}

/** The message with these phrases cut out, longest first. */
function without(text: string, phrases: readonly string[]): string {
  const longest = phrases.toSorted((a, b) => b.length - a.length).join('|');
  return text
    .replace(new RegExp(`(?<![\\p{L}\\d])(?:${longest})(?![\\p{L}\\d])`, 'giu'), ' ')
    .replace(/^[\s,;:.]+/, '')
    .trim();
}
