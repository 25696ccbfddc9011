import { readdirSync, readFileSync } from 'node:fs';
import { DateTime } from 'luxon';
import { play } from '../../src/channel/script/play.js';
import { readScript } from '../../src/channel/script/script.js';
import { DEMO_SHOP, readWorkshop } from '../../src/channel/script/workshop.js';
import { openFlows } from '../../src/desk/flows.js';
import type { Flow } from '../../src/flow/flow.js';
import { foldAll } from '../../src/job/fold.js';
import type { Job } from '../../src/job/job.js';
import { openMemoryDisk } from '../../src/journal/memory-disk.js';
import { openStore } from '../../src/journal/store.js';
import type { RecordLine } from '../../src/record/line.js';

/** A job as its journal tells it, read back from the disk after the thread has ended. */
export type Journalled = {
  readonly job: Job;
  readonly flow: Flow;
  readonly lines: readonly RecordLine[];
};

const ROOT = new URL('../../', import.meta.url);
export const PACK_OUT = 'QM-2603-001';

/** Instants of the record in the demo workshop's own time. */
export const at = (ms: number) => DateTime.fromMillis(ms, { zone: 'Europe/Dublin' }).toFormat('ccc HH:mm');

/** Plays the demo, the whole pack-out job, and reads what is left of it: the journal. */
export async function packOut(): Promise<Journalled> {
  const dir = new URL('flows/', ROOT);
  const files = readdirSync(dir)
    .filter((name) => name.endsWith('.yaml'))
    .map((name) => ({ name, text: readFileSync(new URL(name, dir), 'utf8') }));
  // That they are proved is another test's matter.
  const { source } = await openFlows(files, { has: async () => true, keep: async () => {} });
  const script = await readScript('demo.thread', async () =>
    readFileSync(new URL('demo.thread', dir), 'utf8'),
  );
  const workshop = await readWorkshop(DEMO_SHOP);
  const flow = source.current('disconnect-fuse');
  if (!workshop.ok || flow === null) throw new Error('the demo workshop or its flow has a fault');
  const disk = openMemoryDisk();
  await play(script, workshop.register, source, disk);
  const journal = await openStore(disk).read(PACK_OUT);
  if (journal === null) throw new Error('the job has left no journal');
  const job = foldAll(PACK_OUT, journal.lines);
  return { job, flow, lines: journal.lines };
}
