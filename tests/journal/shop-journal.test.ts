import { expect, test } from 'vitest';
import { auditJournal } from '../../src/journal/audit.js';
import type { NewLine } from '../../src/journal/line.js';
import { openMemoryDisk } from '../../src/journal/memory-disk.js';
import { openShopJournal } from '../../src/journal/shop-journal.js';
import { EIGHT, overwrite } from './lines.js';

type Said = { readonly type: 'said'; readonly what: string };

const DAY = 24 * 3_600_000;
const said = (at: number, what: string): NewLine<Said> => ({
  at,
  saidAt: at,
  by: 'orla',
  name: 'Orla Fenwick',
  via: 'script',
  key: `k-${what}`,
  words: what,
  events: [{ type: 'said', what }],
});

async function twoMonths() {
  const disk = openMemoryDisk();
  const journal = await openShopJournal<Said>(disk, EIGHT);
  await journal.append('2026-03', said(EIGHT, 'one'));
  await journal.tell('2026-03', { line: 2, thread: 'shop', place: '1' });
  await journal.append('2026-03', said(EIGHT + 1, 'two'));
  await journal.append('2026-04', said(EIGHT + 30 * DAY, 'three'));
  return { disk, journal };
}

test('a new month is a new file that names the end of the one before', async () => {
  const { disk, journal } = await twoMonths();
  const march = await journal.read('2026-03');
  const april = await journal.read('2026-04');
  expect(march?.lines.map(({ words }) => words)).toEqual(['', 'one', 'two']);
  expect(april?.lines[0]?.events).toEqual([
    { type: 'month-opened', after: { month: '2026-03', hash: march?.hash } },
  ]);
  expect(auditJournal(disk.files.get('shop/2026-04.jsonl')?.bytes ?? Buffer.alloc(0)).sound).toBe(true);
});

test('a line that comes late for the old month goes into the one that is open', async () => {
  const { journal } = await twoMonths();
  await journal.append('2026-03', said(EIGHT + 30 * DAY, 'late'));
  expect((await journal.read('2026-04'))?.lines.at(-1)?.words).toBe('late');
});

test('it goes on after a power cut, and knows the keys of the last 25 hours', async () => {
  const { disk } = await twoMonths();
  disk.crash((unsynced) => unsynced - 1);
  const journal = await openShopJournal<Said>(disk, EIGHT + 30 * DAY + 1000);
  expect(journal.report).toBeNull();
  expect(journal.keys.map(({ key, job }) => [key, job])).toContainEqual(['k-three', null]);
  expect(journal.keys.map(({ key }) => key)).not.toContain('k-one');
  expect((await journal.append('2026-04', said(EIGHT + 31 * DAY, 'four'))).seq).toBe(3);
});

test('keys of the evening before are known on the first of a month', async () => {
  const { disk } = await twoMonths();
  const journal = await openShopJournal<Said>(disk, EIGHT + 60_000);
  expect(journal.keys.map(({ key }) => key)).toContain('k-two');
});

test('a damaged month is reported, left as it is, and a new part of it begun', async () => {
  const { disk, journal: before } = await twoMonths();
  await before.close();
  const bytes = Buffer.from(disk.files.get('shop/2026-04.jsonl')?.bytes ?? Buffer.alloc(0));
  bytes[40] = (bytes[40] ?? 0) ^ 1;
  await overwrite(disk, 'shop/2026-04.jsonl', bytes);
  const journal = await openShopJournal<Said>(disk, EIGHT + 31 * DAY);
  expect(journal.report).toMatch(/^shop\/2026-04\.jsonl line 1/);
  await journal.append('2026-04', said(EIGHT + 31 * DAY, 'after'));
  expect((await journal.read('2026-04-b'))?.lines.map(({ words }) => words)).toEqual(['', 'after']);
  expect(disk.files.get('shop/2026-04.jsonl')?.bytes.equals(bytes)).toBe(true);
  await journal.append('2026-05', said(EIGHT + 61 * DAY, 'may'));
  expect((await journal.read('2026-05'))?.lines.at(-1)?.words).toBe('may');
});
