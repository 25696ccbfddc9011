import type { Event } from '../job/event.js';
import { type Input, wordsOf } from '../job/input.js';
import type { NewLine } from '../journal/line.js';

/** What goes into the journal of an input and of what was concluded from it. */
export function lineOf<E = Event>(input: Input, at: number, events: readonly E[]): NewLine<E> {
  const { saidAt, by, name, via, key } = input;
  return { at, saidAt, by, name, via, key, words: wordsOf(input), events };
}

/** What goes into the journal when time has done something. */
export function clockLine(job: string, at: number, seq: number, events: readonly Event[]): NewLine {
  return {
    at,
    saidAt: at,
    by: 'clock',
    name: 'clock',
    via: 'clock',
    key: `clock:${job}:${seq}:${at}`,
    words: '',
    events,
  };
}
