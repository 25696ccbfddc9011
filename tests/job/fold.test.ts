import { expect, test } from 'vitest';
import { emptyJob, evolve } from '../../src/job/evolve.js';
import { type Folded, fold, foldAll } from '../../src/job/fold.js';
import { readJournal } from '../../src/journal/journal.js';
import { wholeJob } from '../desk/crew.js';
import { Floor, flowTexts, provedFlows } from '../desk/floor.js';

const flows = await provedFlows(flowTexts(new URL('../..', import.meta.url).pathname));
const floor = await Floor.open({ flows });
await wholeJob(floor, { flow: 'disconnect-fuse', car: 'DEMO-1' });
const journal = readJournal(Buffer.from(floor.journal('done')));

/** Inputs with the posts that were told of each, as they followed each other. */
const lines: readonly Folded[] = journal.lines.flatMap((line): readonly Folded[] => [
  line,
  ...journal.told.filter((told) => told.line === line.seq).map((told) => ({ seq: line.seq, told })),
]);

/** Whoever writes to it afterwards throws. */
function frozen<T>(value: T): T {
  if (typeof value !== 'object' || value === null || Object.isFrozen(value)) return value;
  Object.values(value).forEach(frozen);
  return Object.freeze(value);
}

frozen(lines);

test('folding a line writes neither to the job before nor to the line', () => {
  expect(lines.length).toBeGreaterThan(200);
  let job = frozen(emptyJob('J'));
  for (const line of lines) job = frozen(fold(job, line));
  expect(job.mode).toBe('done');
  expect(foldAll('J', lines)).toEqual(job);
});

test('an event is folded without a write to the job before', () => {
  let job = frozen(emptyJob('J'));
  for (const line of lines) {
    if ('told' in line) continue;
    const folded = line.events.reduce((before, event) => frozen(evolve(before, event)), job);
    job = frozen(fold(job, line));
    expect({ ...folded, seq: job.seq, now: job.now }).toEqual(job);
  }
});

test('a job that was folded whole is not written to by what is folded after it', () => {
  for (const at of [1, 40, 120, lines.length - 1]) {
    const before = frozen(foldAll('J', lines.slice(0, at)));
    const after = lines.slice(at).reduce(fold, before);
    expect(after).toEqual(foldAll('J', lines));
  }
});
