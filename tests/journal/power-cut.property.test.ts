import fc from 'fast-check';
import { expect, test } from 'vitest';
import type { Line } from '../../src/journal/line.js';
import { type MemoryDisk, openMemoryDisk } from '../../src/journal/memory-disk.js';
import { openStore } from '../../src/journal/store.js';
import { BUNDLE, EIGHT, ended, lineOf } from './lines.js';

const JOBS = ['QM-2603-001', 'QM-2603-002', 'QM-2603-003'] as const;

type Act = { readonly job: number; readonly does: 'say' | 'tell' | 'end'; readonly words: string };
type Life = {
  readonly acts: readonly Act[];
  readonly power: number;
  readonly tear: number;
  readonly failSyncs: number;
};

const act: fc.Arbitrary<Act> = fc.record({
  job: fc.nat(JOBS.length - 1),
  does: fc.constantFrom('say', 'say', 'say', 'tell', 'end'),
  words: fc.string({ unit: 'binary', maxLength: 40 }),
});

const life: fc.Arbitrary<Life> = fc.record({
  acts: fc.array(act, { minLength: 1, maxLength: 25 }),
  power: fc.nat(60),
  tear: fc.double({ min: 0, max: 1, noNaN: true }),
  failSyncs: fc.constantFrom(0, 0, 0, 1),
});

/** What was acknowledged, by job, and the one line that was under way when the power went. */
type Known = { readonly taken: Line[]; maybe: Line | null };

async function live(disk: MemoryDisk, { acts, power, failSyncs }: Life, known: ReadonlyMap<string, Known>) {
  const store = openStore(disk);
  const { jobs } = await store.openJobs(EIGHT);
  const open = new Map(jobs.map(({ job, journal }) => [job, journal.seq]));
  await store.keepBundle(BUNDLE, new Map([['a.yaml', 'flow: a\n']]));
  disk.failSyncs = failSyncs;
  disk.loseAt(power);
  try {
    for (const { job: index, does, words } of acts) {
      const job = JOBS[index] ?? JOBS[0];
      const seq = open.get(job) ?? 0;
      const story = known.get(job);
      if (story === undefined || (seq === 0 && (await store.has(job)))) continue;
      if (does === 'tell') {
        if (seq > 0) await store.tell(job, { line: seq, thread: 'bay-1', place: words });
        continue;
      }
      const base = lineOf(job, seq + 1, words);
      const line = does === 'end' && seq > 0 ? { ...base, events: [ended] } : base;
      story.maybe = { ...line, seq: seq + 1 };
      await store.append(job, seq + 1, line);
      story.taken.push(story.maybe);
      story.maybe = null;
      open.set(job, seq + 1);
      if (does !== 'end' || seq === 0) continue;
      await store.finish(job, '2026-03', EIGHT);
      open.delete(job);
    }
  } catch {
    // The power went, or a flush and its copy failed: nothing more was acknowledged.
  }
}

test('what was acknowledged is read back after any power cut, in order and whole', async () => {
  let cuts = 0;
  let kept = 0;
  await fc.assert(
    fc.asyncProperty(fc.array(life, { minLength: 1, maxLength: 4 }), async (lives) => {
      const disk = openMemoryDisk();
      const known = new Map<string, Known>(JOBS.map((job) => [job, { taken: [], maybe: null }]));
      for (const one of lives) {
        await live(disk, one, known);
        disk.crash((unsynced) => Math.round(unsynced * one.tear));
        cuts++;
        const store = openStore(disk);
        const { jobs } = await store.openJobs(EIGHT);
        for (const { state } of jobs) expect(state).toBe('good');
        for (const [job, story] of known) {
          const lines = (await store.read(job))?.lines ?? [];
          const { taken, maybe } = story;
          const longer = maybe !== null && lines.length === taken.length + 1;
          expect(lines).toEqual(longer ? [...taken, maybe] : taken);
          if (longer) taken.push(maybe);
          story.maybe = null;
          kept += lines.length;
        }
        await store.close();
      }
    }),
    { numRuns: 400 },
  );
  expect(cuts).toBeGreaterThan(400);
  expect(kept).toBeGreaterThan(1000);
});
