import type { Job } from '../../job/job.js';
import type { PostEntry } from './entry.js';

/** So many posts of a thread are looked at; what is further back was over long ago. */
const LOOKED_AT = 60;

/**
 * Posts of a bay whose question is over, so that nobody taps on them: all with a question but the newest of the
 * question that is open now. `posts` newest first, as the ledger gives them.
 */
export function overIn(posts: readonly PostEntry[], job: Job | null): readonly PostEntry[] {
  const visit = openVisit(job);
  let open = visit !== null && job !== null;
  const over: PostEntry[] = [];
  for (const entry of posts.slice(0, LOOKED_AT)) {
    if (entry.post.visit === null && entry.post.buttons.length === 0) continue;
    if (open && entry.job === job?.id && entry.post.visit === visit) open = false;
    else over.push(entry);
  }
  return over;
}

function openVisit(job: Job | null): string | null {
  if (job === null || job.asked === null || job.asked.ended) return null;
  return job.mode === 'working' || job.mode === 'parking' ? String(job.asked.visit) : null;
}
