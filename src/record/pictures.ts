import type { Flow } from '../flow/flow.js';
import type { Job } from '../job/job.js';
import { boltPatterns } from './bolt-picture.js';
import { coolantCurves } from './coolant-picture.js';
import { cureCurve } from './cure-picture.js';
import type { RecordLine } from './line.js';
import type { Picture } from './picture.js';
import { voltsCurve } from './volts-picture.js';

/**
 * The pictures that a job has something to draw for: coolant that runs out, the cure of its sealant, its capacitors
 * running down, its bolts. `lines` is its journal, `job` their fold, `now` the instant at which it is looked at.
 */
export function picturesOf(
  job: Job,
  flow: Flow,
  lines: readonly RecordLine[],
  now: number,
): readonly Picture[] {
  return [
    ...coolantCurves(job, flow),
    ...cureCurve(job, flow, lines, now),
    ...voltsCurve(job, flow, lines),
    ...boltPatterns(job, flow, lines),
  ];
}
