import type { Register } from '../../shop/register.js';
import { renderDay, renderInstant, renderPost } from './render.js';
import type { Entry } from './room.js';

/** How the bot is called in its threads. */
export const BOT_NAME = 'warden';

export type Look = {
  readonly zone: string;
  /** Width of the column with the names. */
  readonly width: number;
  /** What a thread is called: `Bay 1`, `foreman`. */
  readonly label: (thread: string) => string;
  /** Makes words stand out; only on a screen that can. */
  readonly strong?: (text: string) => string;
};

/**
 * Prints entries one after the other as lines of a thread: `09:14 mara   0 0 0`. A line between says when the day
 * or the thread changes.
 */
export function openTranscript(look: Look): (entry: Entry) => readonly string[] {
  let day = '';
  let thread: string | null = null;
  const strong = look.strong ?? ((text: string) => text);
  return (entry) => {
    if (entry.is === 'chapter') return ['', `## ${entry.text}`];
    const lines: string[] = [];
    const today = renderDay(entry.at, look.zone);
    const moved = entry.is !== 'event' && entry.thread !== thread;
    if (entry.is !== 'event') thread = entry.thread;
    const where = moved && thread !== null ? [look.label(thread)] : [];
    const when = today === day ? [] : [today];
    if (where.length + when.length > 0) lines.push(`-- ${[...where, ...when].join(', ')} --`);
    day = today;
    const time = renderInstant(entry.at, 'time', look.zone);
    const indent = ' '.repeat(time.length + look.width + 2);
    const row = (who: string, [first = '', ...rest]: readonly string[]) => [
      `${time} ${who.padEnd(look.width)} ${first}`,
      ...rest.map((line) => `${indent}${line}`.trimEnd()),
    ];
    if (entry.is === 'event') lines.push(...row('--', [entry.text]));
    else if (entry.is === 'said') lines.push(...row(entry.who, entry.text.split('\n')));
    else {
      const [first = '', ...rest] = renderPost(entry.post, look.zone, entry.again);
      lines.push(...row(BOT_NAME, [strong(first), ...rest]));
    }
    return lines;
  };
}

/** The whole of a thread, or of all threads in the order in which things happened. */
export function printThread(entries: readonly Entry[], look: Look, thread: string | null): readonly string[] {
  const print = openTranscript(look);
  return entries
    .filter((entry) => thread === null || !('thread' in entry) || entry.thread === thread)
    .flatMap(print);
}

/** What a thread is called: the label of its bay, `foreman`, `shop`. */
export function labelOf(register: Register, thread: string): string {
  return register.bays.get(thread)?.label ?? thread;
}
