import type { Flow } from '../flow/flow.js';
import type { Heard } from '../job/heard.js';
import type { Job } from '../job/job.js';
import { distance } from '../rule/distance.js';
import { ENGLISH } from './lexicon.js';
import { stepOf } from './phrase.js';
import { holds, joined, type Word, wordsIn } from './plain.js';

type Undoing = { readonly fact: string; readonly phrase: string; readonly slip: boolean };

/** What reports an undoing in a flow, and the words that any such report has one of, slips of long ones aside. */
type Undoings = { readonly all: readonly Undoing[]; readonly first: ReadonlySet<string> };

const known = new WeakMap<Flow, Undoings>();
const TURNING: ReadonlySet<string> = new Set([...ENGLISH.negations, ...ENGLISH.conditions]);
/** A single word this long may be one slip away from what was meant: 'reconected'. */
const SLIP_FROM = 8;

/**
 * A report that something standing was undone, in the words of the flow, anywhere in a message: 'I reconnected the
 * battery 20 minutes ago'. With a 'not', an 'if' or a question about it, it is asked back: both missing a reconnected
 * battery and inventing one would do harm. What is gone already, and what the step shown undoes itself, is no news.
 */
export function hearUndone(job: Job, flow: Flow, text: string, words: readonly Word[]): Heard | null {
  const undoings = undoingsOf(flow);
  if (!words.some(({ word }) => undoings.first.has(word) || word.length >= SLIP_FROM - 1)) return null;
  const line = joined(words);
  const told = undoings.all.filter((one) => isNews(job, flow, one.fact) && says(line, words, one));
  const [first] = told;
  if (first === undefined) return null;
  const from = words[0]?.word === 'no' ? 1 : 0;
  const rest = ` ${joined(words.slice(from))} `.replace(` ${first.phrase} `, ' ').trim();
  const turned = rest.split(' ').some((word) => TURNING.has(word));
  if (turned || text.includes('?')) {
    return { heard: 'unclear', because: 'undone-or-not', detail: first.phrase };
  }
  return { heard: 'undone', facts: [...new Set(told.map((one) => one.fact))] };
}

function undoingsOf(flow: Flow): Undoings {
  const before = known.get(flow);
  if (before !== undefined) return before;
  const all = [...flow.facts.values()].flatMap((fact) =>
    fact.undoneBy.map((words) => {
      const phrase = joined(wordsIn(words));
      return { fact: fact.id, phrase, slip: !phrase.includes(' ') && phrase.length >= SLIP_FROM };
    }),
  );
  const found = { all, first: new Set(all.map(({ phrase }) => phrase.split(' ')[0] ?? '')) };
  known.set(flow, found);
  return found;
}

function says(line: string, words: readonly Word[], undoing: Undoing): boolean {
  if (holds(line, undoing.phrase)) return true;
  return (
    undoing.slip &&
    words.some((one) => one.word.length >= SLIP_FROM - 1 && distance(one.word, undoing.phrase) <= 1)
  );
}

function isNews(job: Job, flow: Flow, fact: string): boolean {
  const standing = job.facts[fact]?.value ?? 'gone';
  if (standing === 'gone') return false;
  if (job.asked?.what !== 'step') return true;
  return stepOf(flow, job.asked.step)?.ends.includes(fact) !== true;
}
