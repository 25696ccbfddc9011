import { expect, test } from 'vitest';
import { emptyJob } from '../../src/job/evolve.js';
import { fold } from '../../src/job/fold.js';
import { readJournal } from '../../src/journal/journal.js';
import { widthOf, wrap } from '../../src/talk/line.js';
import { recap } from '../../src/talk/recap.js';
import { wholeJob } from '../desk/crew.js';
import { Floor, flowTexts, provedFlows } from '../desk/floor.js';

/** As a phone shows it: a line of about 80 characters. */
const PHONE = 80;
const SCREEN = 12;

test('WHERE is one screen of at most twelve lines at every moment of the pack-out job', async () => {
  const flows = await provedFlows(flowTexts());
  const floor = await Floor.open({ flows });
  let flow = null as ReturnType<Floor['desk']['flowOf']>;
  await wholeJob(
    floor,
    { flow: 'disconnect-fuse', car: 'DEMO-3', hold: 10 },
    async () => {
      flow ??= floor.desk.flowOf('1');
    },
    900,
  );
  const file = [...floor.disk.files].find(([path]) => path.startsWith('done/') && path.endsWith('.jsonl'));
  if (file === undefined || flow === null) throw new Error('the job did not end');
  let job = emptyJob('');
  const long: string[] = [];
  let screens = 0;
  for (const line of readJournal(file[1].bytes).lines) {
    job = fold(job, line);
    if (job.endedAt !== null) break;
    screens++;
    const lines = recap(job, flow, 'where').flatMap((one) => wrap(one, PHONE));
    const words = lines.map((one) => one.map((part) => (typeof part === 'string' ? part : '14:05')).join(''));
    if (lines.length > SCREEN || lines.some((one) => widthOf(one) > PHONE + 10))
      long.push(`${job.asked?.step ?? job.waitingFor?.step} ${lines.length}:\n${words.join('\n')}`);
  }
  expect(screens).toBeGreaterThan(150);
  expect(long.slice(0, 2).join('\n\n'), `${long.length} of ${screens} are longer`).toBe('');
});
