import * as fs from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, expect, test } from 'vitest';
import { openNodeDisk } from '../../src/journal/node-disk.js';
import { openStore } from '../../src/journal/store.js';
import { BUNDLE, EIGHT, lineOf } from './lines.js';

let root = '';
beforeEach(() => {
  root = join(fs.mkdtempSync(join(tmpdir(), 'disk-')), 'data');
});
afterEach(() => fs.rmSync(join(root, '..'), { recursive: true, force: true }));

const JOBS = Array.from({ length: 12 }, (_, index) => `QM-2603-${String(index + 1).padStart(3, '0')}`);

test('twelve bays at once and one alone leave whole journals on a real disk', async () => {
  const store = openStore(openNodeDisk(root));
  await store.openJobs(EIGHT);
  await store.keepBundle(BUNDLE, new Map([['a.yaml', 'flow: a\n']]));
  for (let seq = 1; seq <= 5; seq++) {
    await Promise.all(JOBS.map((job) => store.append(job, seq, lineOf(job, seq))));
  }
  for (let seq = 6; seq <= 40; seq++) await store.append(JOBS[0] ?? '', seq, lineOf(JOBS[0] ?? '', seq));
  await store.tell(JOBS[1] ?? '', { line: 5, thread: 'bay-2', place: '7' });
  await store.finish(JOBS[1] ?? '', '2026-03', EIGHT);
  await store.close();

  const { jobs } = await openStore(openNodeDisk(root)).openJobs(EIGHT);
  expect(jobs.map(({ job, state, journal }) => [job, state, journal.seq])).toEqual(
    JOBS.filter((job) => job !== JOBS[1]).map((job) => [job, 'good', job === JOBS[0] ? 40 : 5]),
  );
  expect(fs.readdirSync(join(root, 'done/2026-03'))).toEqual([`${JOBS[1]}.jsonl`]);
});

test('the data folder is for its owner only, also when it was open to all before', () => {
  fs.mkdirSync(root, { recursive: true, mode: 0o755 });
  openNodeDisk(root);
  expect(fs.statSync(root).mode & 0o777).toBe(0o700);
});

test('a file is for its owner only', async () => {
  const file = await openNodeDisk(root).open('x.jsonl');
  await file.append(Buffer.from('x\n'), true);
  await file.close();
  expect(fs.statSync(join(root, 'x.jsonl')).mode & 0o777).toBe(0o600);
});

test('a failed write says that it was the write', async () => {
  const file = await openNodeDisk(root).open('x.jsonl');
  await file.close();
  for (const sync of [true, false]) {
    await expect(file.append(Buffer.from('x\n'), sync)).rejects.toMatchObject({
      at: 'write',
      code: 'failed',
    });
  }
});
