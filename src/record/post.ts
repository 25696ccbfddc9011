import type { Flow } from '../flow/flow.js';
import type { Job } from '../job/job.js';
import type { Post } from '../talk/post.js';
import { fullForm } from './full.js';
import type { RecordLine } from './line.js';
import type { PrintInstant } from './print.js';
import { shortForm } from './short.js';
import { summaryOf } from './summary.js';

/**
 * The last post of a job with its record: what was said, then the short form for a phone, then the whole record as
 * text. `at` prints an instant in the workshop's zone.
 */
export function summaryPost(
  job: Job,
  flow: Flow,
  lines: readonly RecordLine[],
  post: Post,
  at: PrintInstant,
): Post {
  const summary = summaryOf(job, flow, lines);
  const whole = fullForm(summary, at)
    .split('\n')
    .map((line) => [line]);
  return { ...post, lines: [...shortForm(summary), [''], ...whole] };
}
