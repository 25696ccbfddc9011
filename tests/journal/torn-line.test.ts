import { expect, test } from 'vitest';
import { openMemoryDisk } from '../../src/journal/memory-disk.js';
import { openStore } from '../../src/journal/store.js';
import { EIGHT, jobOf, lineOf, overwrite, storeOn } from './lines.js';

const JOB = 'QM-2603-001';
const PATH = `open/${JOB}.jsonl`;

test('cut at any byte of its last line, a job goes on from the line before, and the cut is reported', async () => {
  const whole = await jobOf(openMemoryDisk(), JOB, 3);
  const lastStart = whole.lastIndexOf(10, whole.length - 2) + 1;
  expect(whole.length - lastStart).toBeGreaterThan(200);
  for (let cut = lastStart; cut < whole.length; cut++) {
    const disk = openMemoryDisk();
    await overwrite(disk, PATH, whole.subarray(0, cut));
    const { jobs } = await openedOn(disk);
    const store = await storeOn(disk);
    expect(jobs.map(({ state, journal }) => [state, journal.seq])).toEqual([['good', 2]]);
    expect(disk.files.get(PATH)?.bytes.length).toBe(lastStart);
    expect((await store.append(JOB, 3, lineOf(JOB, 3))).seq).toBe(3);
    expect(disk.files.get(PATH)?.bytes.equals(whole)).toBe(true);
  }
});

test('a torn line is named with its number and its bytes', async () => {
  const whole = await jobOf(openMemoryDisk(), JOB, 3);
  const disk = openMemoryDisk();
  await overwrite(disk, PATH, whole.subarray(0, whole.length - 40));
  const { jobs } = await openedOn(disk);
  expect(jobs[0]?.report).toMatch(/^open\/QM-2603-001\.jsonl line 3: the power went while it was written/);
});

test('a hole of zeros in the last line is a torn line', async () => {
  const whole = Buffer.from(await jobOf(openMemoryDisk(), JOB, 3));
  whole.fill(0, whole.length - 120, whole.length - 20);
  const disk = openMemoryDisk();
  await overwrite(disk, PATH, whole);
  const { jobs } = await openedOn(disk);
  expect(jobs.map(({ state, journal }) => [state, journal.seq, journal.fault?.is])).toEqual([
    ['good', 2, 'torn'],
  ]);
});

test('a job whose very first line was torn never started', async () => {
  const whole = await jobOf(openMemoryDisk(), JOB, 1);
  const disk = openMemoryDisk();
  await overwrite(disk, PATH, whole.subarray(0, 50));
  const store = await storeOn(disk);
  expect(await store.has(JOB)).toBe(false);
  expect((await store.append(JOB, 1, lineOf(JOB, 1))).seq).toBe(1);
});

async function openedOn(disk: ReturnType<typeof openMemoryDisk>) {
  return openStore(disk).openJobs(EIGHT);
}
