import { describe, expect, test } from 'vitest';
import { auditJournal } from '../../src/journal/audit.js';
import { openMemoryDisk } from '../../src/journal/memory-disk.js';
import { openStore } from '../../src/journal/store.js';
import { BUNDLE, EIGHT, ended, lineOf, storeOn } from './lines.js';

const JOB = 'QM-2603-001';
const PATH = `open/${JOB}.jsonl`;
const HOUR = 3_600_000;

describe('a full disk', () => {
  test.each([0, 1, 100, 10_000])(
    'that took %i bytes of a line keeps nothing of it, and the job goes on',
    async (partial) => {
      const disk = openMemoryDisk();
      const store = await storeOn(disk);
      await store.append(JOB, 1, lineOf(JOB, 1));
      const good = disk.files.get(PATH)?.bytes;
      Object.assign(disk, { full: true, partial });
      const refused = store.append(JOB, 2, lineOf(JOB, 2));
      await expect(refused).rejects.toMatchObject({
        code: 'not-written',
        message: expect.stringMatching(/disk is full/),
      });
      expect(disk.files.get(PATH)?.bytes.equals(good ?? Buffer.alloc(0))).toBe(true);
      disk.full = false;
      expect((await store.append(JOB, 2, lineOf(JOB, 2))).seq).toBe(2);
      disk.crash();
      const read = await openStore(disk).read(JOB);
      expect([read?.seq, read?.fault]).toEqual([2, null]);
    },
  );

  test('at the very first line leaves no job', async () => {
    const disk = openMemoryDisk();
    const store = await storeOn(disk);
    Object.assign(disk, { full: true, partial: 60 });
    await expect(store.append(JOB, 1, lineOf(JOB, 1))).rejects.toMatchObject({ code: 'not-written' });
    disk.full = false;
    disk.crash();
    expect((await openStore(disk).openJobs(EIGHT)).jobs).toEqual([]);
  });
});

describe('a failed flush', () => {
  test('is never tried again on that file: the good part and the line go to a new one', async () => {
    const disk = openMemoryDisk();
    const store = await storeOn(disk);
    await store.append(JOB, 1, lineOf(JOB, 1));
    await store.tell(JOB, { line: 1, thread: 'bay-1', place: '1' });
    const old = disk.files.get(PATH);
    disk.failSyncs = 1;
    expect((await store.append(JOB, 2, lineOf(JOB, 2))).seq).toBe(2);
    expect(disk.files.get(PATH)).not.toBe(old);
    expect((await store.append(JOB, 3, lineOf(JOB, 3))).seq).toBe(3);
    disk.crash();
    const read = await openStore(disk).read(JOB);
    expect([read?.seq, read?.told.length, read?.fault]).toEqual([3, 1, null]);
    expect(await disk.list('open')).toEqual([`${JOB}.jsonl`]);
  });

  test('stops that job, and only that job, when no copy can be made', async () => {
    const disk = openMemoryDisk();
    const store = await storeOn(disk);
    await store.append(JOB, 1, lineOf(JOB, 1));
    disk.failSyncs = 2;
    const refused = store.append(JOB, 2, lineOf(JOB, 2));
    await expect(refused).rejects.toMatchObject({
      code: 'stopped',
      message: expect.stringMatching(/flush failed/),
    });
    await expect(store.append(JOB, 2, lineOf(JOB, 2))).rejects.toMatchObject({ code: 'stopped' });
    expect((await store.append('QM-2603-002', 1, lineOf('QM-2603-002', 1))).seq).toBe(1);
    disk.crash();
    const opened = (await openStore(disk).openJobs(EIGHT)).jobs;
    expect(opened.map(({ job, state, journal }) => [job, state, journal.seq])).toEqual([
      [JOB, 'good', 1],
      ['QM-2603-002', 'good', 1],
    ]);
  });
});

describe('the order of lines', () => {
  test('only the next number is taken', async () => {
    const store = await storeOn(openMemoryDisk());
    await store.append(JOB, 1, lineOf(JOB, 1));
    for (const seq of [1, 3]) {
      await expect(store.append(JOB, seq, lineOf(JOB, seq))).rejects.toMatchObject({ code: 'wrong-seq' });
    }
    expect((await store.append(JOB, 2, lineOf(JOB, 2))).seq).toBe(2);
  });

  test('told lines between inputs move no number and cost no flush', async () => {
    const disk = openMemoryDisk();
    const store = await storeOn(disk);
    await store.append(JOB, 1, lineOf(JOB, 1));
    const flushed = disk.syncs;
    const asked = [
      store.tell(JOB, { line: 1, thread: 'bay-1', place: '10' }),
      store.append(JOB, 2, lineOf(JOB, 2)),
      store.tell(JOB, { line: 2, thread: 'bay-1', place: '11' }),
    ];
    await Promise.all(asked);
    expect(disk.syncs - flushed).toBe(1);
    const read = await store.read(JOB);
    expect([read?.seq, read?.told.map(({ line, place }) => [line, place]), read?.fault]).toEqual([
      2,
      [
        [1, '10'],
        [2, '11'],
      ],
      null,
    ]);
  });

  test('a told line that no input followed may be lost in a power cut, the inputs are not', async () => {
    const disk = openMemoryDisk();
    const store = await storeOn(disk);
    await store.append(JOB, 1, lineOf(JOB, 1));
    await store.tell(JOB, { line: 1, thread: 'bay-1', place: '10' });
    disk.crash();
    const read = await openStore(disk).read(JOB);
    expect([read?.seq, read?.told, read?.fault]).toEqual([1, [], null]);
  });
});

describe('the first line', () => {
  test('says how the job started', async () => {
    const store = await storeOn(openMemoryDisk());
    await expect(store.append(JOB, 1, lineOf(JOB, 2))).rejects.toMatchObject({ code: 'no-start' });
  });

  test('is refused before its bundle is kept', async () => {
    const store = openStore(openMemoryDisk());
    await expect(store.append(JOB, 1, lineOf(JOB, 1))).rejects.toMatchObject({ code: 'no-bundle' });
  });

  test.each(['../x', 'a/b', '', 'QM 1'])('the id "%s" is none', async (id) => {
    const store = await storeOn(openMemoryDisk());
    await expect(store.append(id, 1, lineOf(id, 1))).rejects.toMatchObject({ code: 'bad-id' });
  });
});

describe('bundles', () => {
  test('a bundle once kept is there after a power cut, and is not written again', async () => {
    const disk = openMemoryDisk();
    const store = await storeOn(disk);
    disk.crash();
    await store.keepBundle(BUNDLE, new Map([['make-safe.yaml', 'changed meanwhile']]));
    expect(await store.readBundle(BUNDLE)).toEqual(new Map([['make-safe.yaml', 'flow: make-safe\n']]));
    expect(await store.readBundle('c'.repeat(64))).toBeNull();
  });

  test('cut off at any moment, a bundle is there whole or not at all', async () => {
    const texts = new Map([
      ['a.yaml', 'flow: a\n'],
      ['hazards.yaml', 'levels: []\n'],
    ]);
    let whole = 0;
    for (let operations = 0; operations < 20; operations++) {
      const disk = openMemoryDisk();
      disk.loseAt(operations);
      const kept = await openStore(disk)
        .keepBundle(BUNDLE, texts)
        .then(
          () => true,
          () => false,
        );
      disk.crash();
      const read = await openStore(disk).readBundle(BUNDLE);
      if (kept) expect(read).toEqual(texts);
      else expect([null, texts]).toContainEqual(read);
      if (kept) whole++;
    }
    expect(whole).toBeGreaterThan(0);
    expect(whole).toBeLessThan(20);
  });
});

describe('the end of a job', () => {
  const finished = async () => {
    const disk = openMemoryDisk();
    const store = await storeOn(disk);
    await store.append(JOB, 1, lineOf(JOB, 1));
    await store.append(JOB, 2, { ...lineOf(JOB, 2), events: [ended] });
    return { disk, store };
  };

  test('moves it to its month, where it is still read, told about and closed to new lines', async () => {
    const { disk, store } = await finished();
    await store.finish(JOB, '2026-03', EIGHT);
    expect(await disk.list('open')).toEqual([]);
    await Promise.all(['1', '2'].map((place) => store.tell(JOB, { line: 2, thread: 'bay-1', place })));
    const read = await store.read(JOB);
    expect([read?.seq, read?.told.length, read?.fault]).toEqual([2, 2, null]);
    expect(auditJournal((await disk.read(`done/2026-03/${JOB}.jsonl`)) ?? Buffer.alloc(0)).sound).toBe(true);
    await expect(store.append(JOB, 1, lineOf(JOB, 1))).rejects.toMatchObject({ code: 'finished' });
    expect(await store.has(JOB)).toBe(true);
  });

  test('flushes what was told before the move', async () => {
    const { disk, store } = await finished();
    await store.tell(JOB, { line: 2, thread: 'bay-1', place: '9' });
    await store.finish(JOB, '2026-03', EIGHT);
    disk.crash();
    expect((await openStore(disk).read(JOB))?.told).toEqual([{ line: 2, thread: 'bay-1', place: '9' }]);
  });

  test('is seen at the next start when the power went before the move', async () => {
    const { disk } = await finished();
    disk.crash();
    const store = openStore(disk);
    expect((await store.openJobs(EIGHT)).jobs.map(({ ended }) => ended)).toEqual([true]);
    await store.finish(JOB, '2026-03', EIGHT);
    await store.finish(JOB, '2026-03', EIGHT);
    expect((await openStore(disk).openJobs(EIGHT)).jobs).toEqual([]);
  });

  test('keeps its keys for 25 hours', async () => {
    const { disk, store } = await finished();
    await store.finish(JOB, '2026-03', EIGHT + 10 * 60_000);
    disk.crash();
    const keysAt = async (now: number) =>
      (await openStore(disk).openJobs(now)).keys.map(({ key, seq }) => [key, seq]);
    expect(await keysAt(EIGHT + HOUR)).toEqual([
      [`${JOB}/1`, 1],
      [`${JOB}/2`, 2],
    ]);
    expect(await keysAt(EIGHT + 25 * HOUR + 90_000)).toEqual([[`${JOB}/2`, 2]]);
    expect(await keysAt(EIGHT + 25 * HOUR + 120_000)).toEqual([]);
    expect(await disk.list('recent')).toEqual([]);
  });

  test('the keys of jobs under way are known at a start too', async () => {
    const { disk } = await finished();
    const { keys } = await openStore(disk).openJobs(EIGHT);
    expect(keys).toEqual([
      { key: `${JOB}/1`, job: JOB, seq: 1, at: EIGHT + 60_000 },
      { key: `${JOB}/2`, job: JOB, seq: 2, at: EIGHT + 120_000 },
    ]);
  });

  test('cut off at any moment of the move, the job is in one place and its keys in at least one', async () => {
    let moved = 0;
    for (let operations = 0; operations < 16; operations++) {
      const { disk, store } = await finished();
      disk.loseAt(operations);
      await store.finish(JOB, '2026-03', EIGHT).catch(() => undefined);
      disk.crash();
      const places = [`open/${JOB}.jsonl`, `done/2026-03/${JOB}.jsonl`].filter((path) =>
        disk.files.has(path),
      );
      expect(places, `power lost at ${operations}`).toHaveLength(1);
      if (places[0]?.startsWith('done')) moved++;
      const { keys } = await openStore(disk).openJobs(EIGHT);
      expect(new Set(keys.map(({ key }) => key))).toEqual(new Set([`${JOB}/1`, `${JOB}/2`]));
    }
    expect(moved).toBeGreaterThan(0);
    expect(moved).toBeLessThan(16);
  });

  test('a start reads no finished journal, however many there are', async () => {
    const { disk, store } = await finished();
    await store.finish(JOB, '2026-03', EIGHT);
    const read: string[] = [];
    const watched = {
      ...disk,
      read: (path: string) => {
        read.push(path);
        return disk.read(path);
      },
    };
    await openStore(watched).openJobs(EIGHT + 48 * HOUR);
    expect(read).toEqual([`recent/${JOB}.json`]);
    read.length = 0;
    await openStore(watched).openJobs(EIGHT + 48 * HOUR);
    expect(read).toEqual([]);
  });
});
