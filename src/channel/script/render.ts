import { DateTime } from 'luxon';
import type { Part, Post } from '../../talk/post.js';

/** A post as lines of text, instants in a time zone, its buttons in a last line: `[OK] [Problem]`. */
export function renderPost(post: Post, zone: string, again = false): readonly string[] {
  const lines = post.lines.map((line) => line.map((part) => renderPart(part, zone)).join(''));
  if (again) lines[0] = `${lines[0] ?? ''} (again)`.trimStart();
  if (post.buttons.length > 0) lines.push(post.buttons.map(({ label }) => `[${label}]`).join(' '));
  return lines;
}

function renderPart(part: Part, zone: string): string {
  return typeof part === 'string' ? part : renderInstant(part.instant, part.as, zone);
}

const FORMATS = { time: 'HH:mm', 'day-time': 'ccc d LLL HH:mm', date: 'yyyy-MM-dd' } as const;

/** `14:05`, `Tue 3 Mar 08:20`, `2034-03-02`. */
export function renderInstant(instant: number, as: keyof typeof FORMATS, zone: string): string {
  return inZone(instant, zone).toFormat(FORMATS[as]);
}

/** `Mon 2 Mar 2026`. */
export function renderDay(instant: number, zone: string): string {
  return inZone(instant, zone).toFormat('ccc d LLL yyyy');
}

// English names of days and months, whatever the computer speaks.
const inZone = (instant: number, zone: string) => DateTime.fromMillis(instant, { zone, locale: 'en-GB' });

/** Case, blanks and typographic quotes folded, so that a check finds words over the end of a line. */
export function foldText(text: string): string {
  return text
    .normalize('NFC')
    .toLowerCase()
    .replace(/[‘’‚′]/g, "'")
    .replace(/[“”„″]/g, '"')
    .replace(/\s+/g, ' ')
    .trim();
}
