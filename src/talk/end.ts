import type { Flow } from '../flow/flow.js';
import type { Event } from '../job/event.js';
import type { Job } from '../job/job.js';
import { cap, ln, when } from './line.js';
import { dueLine, gearPiece, labelsOf, personOf, spaced, warningsOf } from './phrase.js';
import type { Line } from './post.js';

/** What ends a job in its own thread: what was done, what is left open, what is next due. The record has all of it. */
export function endLines(
  job: Job,
  flow: Flow,
  ended: Event & { readonly type: 'job-ended' },
): readonly Line[] {
  const by = ended.by === 'warden' ? personOf(job, job.holder) : ended.name;
  const head = ended.how === 'done' ? 'Done' : 'Called off';
  const serials = Object.entries(job.fields).filter(([name]) => /serial|batch/.test(name));
  return [
    ln`${head}: ${flow.title}. Job ${job.number}, ${job.car.registration}, ${when(ended.at, job.now)}, ${by}.`,
    ...(ended.open.length === 0
      ? [ln`Nothing is left open.`]
      : [ln`LEFT OPEN: ${labelsOf(flow, ended.open, 12)}.${warningsOf(flow, ended.open)}`]),
    ...(serials.length === 0
      ? []
      : [ln`${cap(serials.map(([name, text]) => `${spaced(name)} ${text}`).join(', '))}.`]),
    ...(Object.keys(job.gear).length === 0
      ? []
      : [
          ln`Gear: ${Object.values(job.gear)
            .map((gear) => gearPiece(gear))
            .join(', ')}.`,
        ]),
    ...ended.due.map(dueLine),
    ln`The record says what was proved, by whom, with what, and what was not.`,
  ];
}
