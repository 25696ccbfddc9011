/**
 * The due list as an iCalendar file, RFC 5545. A calendar that somebody subscribes to has no METHOD (3.7.2); each entry
 * keeps its UID for as long as it speaks of the same thing (3.8.4.7), and its DTSTAMP is when it was last revised
 * (3.8.7.2), so that the same due list gives the same bytes.
 */
import type { Gear } from '../job/world.js';
import { dueName, dueRule, gearPiece } from '../talk/phrase.js';
import type { DueItem } from './due.js';
import { whenDue } from './due.js';
import { gearDue } from './gear-due.js';

/** One day in a calendar. */
export type CalendarEntry = {
  readonly uid: string;
  /** `YYYY-MM-DD`. */
  readonly date: string;
  readonly summary: string;
  readonly description: string;
  /** When it was last revised, ms since 1970. */
  readonly revisedAt: number;
};

/** What is due as days of a calendar: cars by their dates, gear by its last good day. */
export function calendarEntries(
  items: readonly DueItem[],
  gear: Iterable<Gear>,
  of: { readonly site: string; readonly today: string; readonly days: number },
): readonly CalendarEntry[] {
  const pieces = new Map([...gear].map((piece) => [piece.id, piece]));
  return [
    ...items.flatMap((item): CalendarEntry[] => {
      if (item.on === null) return [];
      return [
        {
          uid: uidOf('due', item.job, item.what),
          date: item.on,
          summary: `${item.registration}: ${dueName(item.what)}`,
          description: `${whenDue(item)}\n${dueRule(item.rule)}\nJob ${item.job}`,
          revisedAt: item.filedAt ?? 0,
        },
      ];
    }),
    ...gearDue(pieces.values(), of.today, of.days).map((due): CalendarEntry => {
      const tested = pieces.get(due.id)?.tested ?? due.until;
      return {
        uid: uidOf('gear', of.site, due.id),
        date: due.until,
        summary: `${gearPiece(due)}: last good day`,
        description: `${due.label}\nTested ${tested}`,
        revisedAt: Date.parse(`${tested}T00:00:00Z`),
      };
    }),
  ];
}

/** Letters, digits and dashes of the parts, and who made it. */
function uidOf(...parts: readonly string[]): string {
  const local = parts.map((part) => part.replace(/[^A-Za-z0-9]+/g, '-')).join('-');
  return `${local.toLowerCase()}@baywarden`;
}

/** The file, with CRLF after every line (3.1). */
export function printCalendar(entries: readonly CalendarEntry[]): string {
  const lines = [
    'BEGIN:VCALENDAR',
    // 3.7.3 and 3.7.4: both once, and nothing else is required.
    'VERSION:2.0',
    'PRODID:-//Baywarden//Due list//EN',
    'CALSCALE:GREGORIAN',
    // 3.6: a calendar holds at least one component; one that nothing is due in holds a time zone that shows nowhere.
    ...(entries.length === 0 ? EMPTY : entries.flatMap(entryLines)),
    'END:VCALENDAR',
  ];
  return lines.map((line) => `${folded(line)}\r\n`).join('');
}

const EMPTY = [
  'BEGIN:VTIMEZONE',
  'TZID:UTC',
  'BEGIN:STANDARD',
  'DTSTART:19700101T000000',
  'TZOFFSETFROM:+0000',
  'TZOFFSETTO:+0000',
  'END:STANDARD',
  'END:VTIMEZONE',
] as const;

/** A day without times: without DTEND it lasts that one day (3.6.1), and nobody is busy by it (3.8.2.7). */
function entryLines(entry: CalendarEntry): readonly string[] {
  return [
    'BEGIN:VEVENT',
    `UID:${escaped(entry.uid)}`,
    `DTSTAMP:${stampOf(entry.revisedAt)}`,
    `DTSTART;VALUE=DATE:${entry.date.replaceAll('-', '')}`,
    `SUMMARY:${escaped(entry.summary)}`,
    `DESCRIPTION:${escaped(entry.description)}`,
    'TRANSP:TRANSPARENT',
    'END:VEVENT',
  ];
}

/** An instant in UTC, form #2 of 3.3.5: `20260302T080000Z`. */
function stampOf(at: number): string {
  return new Date(at).toISOString().replace(/[-:]|\.\d{3}/g, '');
}

/** A value of type TEXT: backslash, semicolon, comma and line ends escaped (3.3.11), no control characters (3.1). */
export function escaped(text: string): string {
  return (
    text
      .replace(/[\\;,]/g, (sign) => `\\${sign}`)
      .replace(/\r\n|\r|\n/g, '\\n')
      // biome-ignore lint/suspicious/noControlCharactersInRegex: they are what is taken out
      .replace(/[\u0000-\u0008\u000b-\u001f\u007f]/g, '')
  );
}

/** Octets of a line, its end not counted (3.1). */
const MOST_OCTETS = 75;

/** A line folded so that none has more than 75 octets; no character is cut, and each fold's blank counts (3.1). */
export function folded(line: string): string {
  let out = '';
  let octets = 0;
  for (const sign of line) {
    const size = octetsOf(sign);
    if (octets + size > MOST_OCTETS) {
      out += '\r\n ';
      octets = 1;
    }
    out += sign;
    octets += size;
  }
  return out;
}

/** Octets of a character in UTF-8. */
function octetsOf(sign: string): number {
  const code = sign.codePointAt(0) ?? 0;
  return code < 0x80 ? 1 : code < 0x800 ? 2 : code < 0x10000 ? 3 : 4;
}
