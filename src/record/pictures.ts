import type { Flow } from '../flow/flow.js';
import type { Job } from '../job/job.js';
import type { RecordLine } from './line.js';
import type { Picture } from './picture.js';

/** The pictures that there is something to draw for. `now` ends what still runs. Pure. */
export function picturesOf(
  _job: Job,
  _flow: Flow,
  _lines: readonly RecordLine[],
  _now: number,
): readonly Picture[] {
  return [];
}
