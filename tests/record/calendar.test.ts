import { describe, expect, test } from 'vitest';
import { calendarEntries, escaped, folded, printCalendar } from '../../src/record/calendar.js';
import type { DueItem } from '../../src/record/due.js';
import { demoRegister } from '../shop/folders.js';

/**
 * What RFC 5545 says, section by section, from memory but for 3.1, whose words on folding were read: "Lines of text
 * SHOULD NOT be longer than 75 octets, excluding the line break", "a long line can be split between any two characters by
 * inserting a CRLF immediately followed by a single linear white-space character", and such a sequence "is ignored (i.e.,
 * removed) when processing".
 */

const ITEMS: readonly DueItem[] = [
  {
    job: 'QM-2603-001',
    registration: 'DEMO-3',
    what: 'fuse',
    on: '2034-03-01',
    atKm: null,
    rule: 'own-cell-from-fitting',
    filedAt: Date.UTC(2026, 2, 2, 16, 40, 5),
  },
  {
    job: 'QM-2603-001',
    registration: 'DEMO-3',
    what: 'wheel-bolts',
    on: '2026-03-20',
    atKm: 81_314,
    rule: 'distance',
    filedAt: Date.UTC(2026, 2, 2, 16, 40, 5),
  },
  {
    job: 'QM-2603-002',
    registration: 'ÄÖÜ; 7, B\\1',
    what: 'coolant',
    on: '2026-04-30',
    atKm: null,
    rule: 'months',
  },
  { job: 'QM-2603-003', registration: 'DEMO-4', what: 'wheel-bolts', on: null, atKm: 900, rule: 'distance' },
];

const OF = { site: 'QM', today: '2026-03-02', days: 396 };
const file = (items = ITEMS) => printCalendar(calendarEntries(items, demoRegister().gear.values(), OF));

/** Reads content lines as 3.1 says: unfolded, then name, parameters and value. */
function contentLines(
  text: string,
): { readonly name: string; readonly params: string; readonly value: string }[] {
  return text
    .replace(/\r\n[ \t]/g, '')
    .split('\r\n')
    .slice(0, -1)
    .map((line) => {
      const found = /^([A-Z-]+)((?:;[A-Z-]+=[^:;]+)*):(.*)$/s.exec(line);
      if (found === null) throw new Error(`no content line: ${line}`);
      return { name: found[1] ?? '', params: found[2] ?? '', value: found[3] ?? '' };
    });
}

/** The events of a calendar, properties by name. */
function eventsOf(text: string): Map<string, { readonly params: string; readonly value: string }>[] {
  const events: Map<string, { readonly params: string; readonly value: string }>[] = [];
  let open: Map<string, { readonly params: string; readonly value: string }> | null = null;
  for (const { name, params, value } of contentLines(text)) {
    if (name === 'BEGIN' && value === 'VEVENT') open = new Map();
    else if (name === 'END' && value === 'VEVENT' && open !== null) {
      events.push(open);
      open = null;
    } else if (open !== null) {
      if (open.has(name)) throw new Error(`${name} twice`);
      open.set(name, { params, value });
    }
  }
  return events;
}

/** A TEXT value read back (3.3.11). */
const unescaped = (value: string) =>
  value.replace(/\\([\\;,nN])/g, (_, sign) => (/n/i.test(sign) ? '\n' : sign));

describe('the calendar of what is due', () => {
  test('3.1: every line ends in CRLF and has at most 75 octets', () => {
    const text = file();
    expect(text.endsWith('END:VCALENDAR\r\n')).toBe(true);
    expect(text.replaceAll('\r\n', '')).not.toMatch(/[\r\n]/);
    const lines = text.split('\r\n');
    expect(lines.length).toBeGreaterThan(60);
    expect(lines.filter((line) => Buffer.byteLength(line) > 75)).toEqual([]);
  });

  test.each([
    'x'.repeat(300),
    'ä'.repeat(200),
    'a€'.repeat(90),
    '\u{1F50B}'.repeat(60),
    `${'x'.repeat(74)}ä${'y'.repeat(80)}`,
    'x'.repeat(75),
  ])('3.1: a long line is split between characters only, and unfolds to itself (%#)', (line) => {
    const text = folded(line);
    expect(text.replaceAll('\r\n ', '')).toBe(line);
    for (const part of text.split('\r\n')) {
      expect(Buffer.byteLength(part)).toBeLessThanOrEqual(75);
      expect(part).not.toContain('\ufffd');
      expect(Buffer.from(part).toString('utf8')).toBe(part);
    }
    // As few lines as fit.
    if (line.length === 75) expect(text).toBe(line);
  });

  test('3.3.11: backslash, semicolon, comma and line ends are escaped, a colon is not, and nothing is lost', () => {
    expect(escaped('a;b,c\\d\ne: "f"')).toBe('a\\;b\\,c\\\\d\\ne: "f"');
    for (const text of ['\\n', '\\\\;', 'one\ntwo,three;four\\', 'plain'])
      expect(unescaped(escaped(text))).toBe(text);
    expect(escaped('a\r\nb\rc')).toBe('a\\nb\\nc');
    // 3.1: no control characters but the tab.
    expect(escaped('a\u0000\u0007b\tc\u007f')).toBe('ab\tc');
    const event = eventsOf(file()).find((one) => one.get('SUMMARY')?.value.includes('7'));
    expect(unescaped(event?.get('SUMMARY')?.value ?? '')).toBe('ÄÖÜ; 7, B\\1: coolant, renew');
  });

  test('3.6, 3.7: version and maker once, no method, and at least one component, with nothing due as well', () => {
    for (const text of [file(), printCalendar([])]) {
      const lines = contentLines(text);
      expect(lines.filter(({ name }) => name === 'VERSION').map(({ value }) => value)).toEqual(['2.0']);
      expect(lines.filter(({ name }) => name === 'PRODID')).toHaveLength(1);
      expect(lines.some(({ name }) => name === 'METHOD')).toBe(false);
      expect(lines.filter(({ name }) => name === 'BEGIN').length).toBeGreaterThan(1);
    }
  });

  test('3.6.1: each event has its UID and DTSTAMP once, and begins on a day without times', () => {
    const events = eventsOf(file());
    expect(events).toHaveLength(3 + 18);
    for (const event of events) {
      expect([...event.keys()].sort()).toEqual([
        'DESCRIPTION',
        'DTSTAMP',
        'DTSTART',
        'SUMMARY',
        'TRANSP',
        'UID',
      ]);
      expect(event.get('DTSTART')?.params).toBe(';VALUE=DATE');
      expect(event.get('DTSTART')?.value).toMatch(/^\d{8}$/);
      // 3.3.5, form #2, and 3.8.7.2: in UTC.
      expect(event.get('DTSTAMP')?.value).toMatch(/^\d{8}T\d{6}Z$/);
    }
    const fuse = events.find((event) => event.get('UID')?.value === 'due-qm-2603-001-fuse@baywarden');
    expect(fuse?.get('DTSTART')?.value).toBe('20340301');
    expect(fuse?.get('DTSTAMP')?.value).toBe('20260302T164005Z');
  });

  test('3.8.4.7: UIDs differ, and stay while an entry speaks of the same thing', () => {
    const uids = (text: string) => eventsOf(text).map((event) => event.get('UID')?.value ?? '');
    const before = uids(file());
    expect(new Set(before).size).toBe(before.length);
    const moved = ITEMS.map((item) => (item.what === 'fuse' ? { ...item, on: '2034-05-01' } : item));
    expect(uids(file(moved)).sort()).toEqual(before.sort());
    expect(file()).toBe(file());
  });

  test('holds gear in use by its last good day, and no distance without a date', () => {
    const events = eventsOf(file());
    const day = (uid: string) =>
      events.find((event) => event.get('UID')?.value === uid)?.get('DTSTART')?.value;
    // Tested 2025-12-08 for six months; gloves are refused on their due day.
    expect(day('gear-qm-g1@baywarden')).toBe('20260607');
    expect(day('gear-qm-w4@baywarden')).toBe('20260217');
    // Taken out of use: nobody's to test before it is mended.
    expect(day('gear-qm-g5@baywarden')).toBeUndefined();
    expect(events.some((event) => event.get('SUMMARY')?.value.includes('DEMO-4'))).toBe(false);
  });
});
