import { describe, expect, test } from 'vitest';
import { auditJournal } from '../../src/journal/audit.js';
import { openMemoryDisk } from '../../src/journal/memory-disk.js';
import { openStore } from '../../src/journal/store.js';
import { EIGHT, jobOf, lineOf, overwrite, storeOn } from './lines.js';

const HURT = 'QM-2603-001';
const WELL = 'QM-2603-002';
const PATH = `open/${HURT}.jsonl`;

async function damaged(change: (bytes: Buffer) => Buffer) {
  const bytes = await jobOf(openMemoryDisk(), HURT, 4);
  const disk = openMemoryDisk();
  const before = await storeOn(disk);
  await before.append(WELL, 1, lineOf(WELL, 1));
  await before.close();
  await overwrite(disk, PATH, change(Buffer.from(bytes)));
  const store = openStore(disk);
  const { jobs } = await store.openJobs(EIGHT);
  const [hurt, well] = jobs;
  return { disk, store, hurt, well };
}

const startOf = (bytes: Buffer, line: number) => {
  let at = 0;
  for (let passed = 1; passed < line; passed++) at = bytes.indexOf(10, at) + 1;
  return at;
};

const flip = (line: number, offset: number) => (bytes: Buffer) => {
  const at = startOf(bytes, line) + offset;
  bytes[at] = (bytes[at] ?? 0) ^ 1;
  return bytes;
};

test('any byte changed in the middle stops that job and names the line', async () => {
  const bytes = await jobOf(openMemoryDisk(), HURT, 4);
  const length = startOf(bytes, 3) - startOf(bytes, 2);
  for (let offset = 0; offset < length; offset++) {
    const { hurt, well } = await damaged(flip(2, offset));
    expect(hurt?.state, `byte ${offset}`).toBe('stopped');
    expect(hurt?.journal.fault, `byte ${offset}`).toMatchObject({ is: 'damaged', line: 2 });
    expect(hurt?.journal.seq).toBe(1);
    expect(well?.state).toBe('good');
  }
});

test('a stopped job takes no line and keeps its file as it was found; the others go on', async () => {
  const { disk, store, hurt } = await damaged(flip(2, 30));
  const found = disk.files.get(PATH)?.bytes;
  expect(hurt?.report).toMatch(
    /line 2: does not fit the line before.*This job is stopped; all others go on\./,
  );
  await expect(store.append(HURT, 2, lineOf(HURT, 2))).rejects.toMatchObject({ code: 'stopped' });
  await expect(store.tell(HURT, { line: 1, thread: 't', place: 'p' })).rejects.toMatchObject({
    code: 'stopped',
  });
  expect((await store.append(WELL, 2, lineOf(WELL, 2))).seq).toBe(2);
  await store.close();
  expect(disk.files.get(PATH)?.bytes).toBe(found);
});

describe('other damage', () => {
  test.each<[string, (bytes: Buffer) => Buffer, number, string]>([
    [
      'a line taken out',
      (b) => Buffer.concat([b.subarray(0, startOf(b, 2)), b.subarray(startOf(b, 3))]),
      2,
      'bad-hash',
    ],
    [
      'a line written twice',
      (b) => Buffer.concat([b.subarray(0, startOf(b, 3)), b.subarray(startOf(b, 2))]),
      3,
      'bad-hash',
    ],
    [
      'a line that is no JSON',
      (b) => Buffer.concat([b.subarray(0, startOf(b, 2)), Buffer.from('{oops\n'), b.subarray(startOf(b, 2))]),
      2,
      'not-json',
    ],
    ['the last line changed', flip(4, 30), 4, 'bad-hash'],
    [
      'bytes that are no text',
      (b) => {
        b[startOf(b, 3) + 40] = 0xff;
        return b;
      },
      3,
      'not-text',
    ],
  ])('%s stops the job at that line', async (_, change, line, because) => {
    const { hurt } = await damaged(change);
    expect([hurt?.state, hurt?.journal.fault]).toEqual(['stopped', { is: 'damaged', line, because }]);
  });
});

describe('audit', () => {
  test('a sound journal is sound, with its hash', async () => {
    const audit = auditJournal(await jobOf(openMemoryDisk(), HURT, 4));
    expect(audit).toMatchObject({ sound: true, inputs: 4, told: 0, findings: [], firstAt: EIGHT + 60_000 });
    expect(audit.hash).toMatch(/^[0-9a-f]{64}$/);
  });

  test('two changed lines are two findings, and the lines between are not blamed', async () => {
    const bytes = flip(4, 30)(flip(2, 30)(Buffer.from(await jobOf(openMemoryDisk(), HURT, 5))));
    expect(auditJournal(bytes).findings).toEqual([
      { line: 2, what: 'bad-hash' },
      { line: 4, what: 'bad-hash' },
    ]);
  });

  test('time that runs back is found though every hash is right', async () => {
    const disk = openMemoryDisk();
    const store = await storeOn(disk);
    await store.append(HURT, 1, lineOf(HURT, 1));
    await store.append(HURT, 2, { ...lineOf(HURT, 2), at: EIGHT });
    expect(auditJournal(disk.files.get(PATH)?.bytes ?? Buffer.alloc(0)).findings).toEqual([
      { line: 2, what: 'time-runs-back' },
    ]);
  });

  test('a torn end and an empty file are findings', async () => {
    const bytes = await jobOf(openMemoryDisk(), HURT, 2);
    expect(auditJournal(bytes.subarray(0, -3)).findings).toEqual([{ line: 2, what: 'torn' }]);
    expect(auditJournal(Buffer.alloc(0)).findings).toEqual([{ line: 0, what: 'empty' }]);
  });
});

test('a job continued by a later version is read-only here', async () => {
  const { createHash } = await import('node:crypto');
  const { disk, store, hurt } = await damaged((bytes) => {
    const last = JSON.parse(bytes.toString('utf8').split('\n')[3] ?? '');
    const body = '{"v":7,"seq":5,"packed":"…"';
    const hash = createHash('sha256')
      .update(last.hash + body)
      .digest('hex');
    return Buffer.concat([bytes, Buffer.from(`${body},"hash":"${hash}"}\n{"half of the next`)]);
  });
  const found = disk.files.get(PATH)?.bytes;
  expect([hurt?.state, hurt?.journal.seq, hurt?.journal.fault]).toEqual([
    'read-only',
    4,
    { is: 'newer', line: 5, v: 7 },
  ]);
  await expect(store.append(HURT, 5, lineOf(HURT, 5))).rejects.toMatchObject({ code: 'read-only' });
  expect(disk.files.get(PATH)?.bytes).toBe(found);
});
