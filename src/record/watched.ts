import type { Flow } from '../flow/flow.js';
import type { Event, Reading, Sighted, WatchOutcome } from '../job/event.js';
import { spaced, stepOf } from '../talk/phrase.js';
import type { RecordLine } from './line.js';

/** What was watched until it settled, as the record tells it: every sighting with its time, the total, the tail. */
export type WatchedThing = {
  readonly name: string;
  readonly label: string;
  readonly until: string;
  readonly sightings: readonly WatchedRow[];
  /** All that ran out over all visits, or where it stood last; a tray emptied unread makes it a lower bound. */
  readonly total: Reading | null;
  /** The last estimate of the end that could be made. */
  readonly tail: WatchOutcome['tail'];
};

export type WatchedRow = {
  readonly step: string;
  readonly visit: number;
  /** When it was said, ms since 1970. */
  readonly at: number;
  readonly by: string;
  readonly saidFor: string | null;
  readonly words: string;
  readonly sighted: Sighted;
  readonly outcome: WatchOutcome;
  /** Misread or misheard, and corrected: it counts no more. */
  readonly takenBackAt: number | null;
};

type Row = { -readonly [K in keyof WatchedRow]: WatchedRow[K] };
type Watched = Event & { readonly type: 'watched' };

/** Everything watched in a job, in the order in which it was first read. */
export function watchedOf(flow: Flow, lines: readonly RecordLine[]): readonly WatchedThing[] {
  const things = new Map<string, { readonly step: string; readonly rows: Row[] }>();
  for (const event of lines.flatMap((line) => line.events)) {
    if (event.type === 'watched') {
      const thing = things.get(event.of) ?? { step: event.step, rows: [] };
      thing.rows.push(rowOf(event));
      things.set(event.of, thing);
    } else if (event.type === 'watched-taken-back') {
      const last = things.get(event.of)?.rows.findLast((row) => row.takenBackAt === null);
      if (last !== undefined) last.takenBackAt = event.at;
    }
  }
  return [...things].map(([name, { step, rows }]) => {
    const ask = stepOf(flow, step)?.asks.find((one) => one.ask === 'watch' && one.name === name);
    const counted = rows.filter((row) => row.takenBackAt === null);
    return {
      name,
      label: ask?.ask === 'watch' ? ask.text.replace(/[?.:]$/, '') : spaced(name),
      until: ask?.ask === 'watch' ? ask.until : '',
      sightings: rows,
      total: counted.at(-1)?.outcome.total ?? null,
      tail: counted.findLast((row) => row.outcome.tail !== null)?.outcome.tail ?? null,
    };
  });
}

function rowOf({ step, visit, saidAt, name, saidFor, words, sighted, outcome }: Watched): Row {
  return { step, visit, at: saidAt, by: name, saidFor, words, sighted, outcome, takenBackAt: null };
}
