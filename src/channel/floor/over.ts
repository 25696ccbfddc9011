import type { Job } from '../../job/job.js';
import type { PostEntry } from './entry.js';

/** So many posts of a thread are looked at; what is further back was over long ago. */
const LOOKED_AT = 60;

/**
 * Posts of a bay whose question is over, so that nobody taps on them: all with a question but the newest of the
 * question that is open now, and the newest of each call that still waits. `posts` newest first, as the ledger gives
 * them.
 */
export function overIn(posts: readonly PostEntry[], job: Job | null): readonly PostEntry[] {
  const visit = openVisit(job);
  const open = new Set([...(visit === null ? [] : [visit]), ...callsOf(job)]);
  const over: PostEntry[] = [];
  for (const entry of posts.slice(0, LOOKED_AT)) {
    const { visit, buttons } = entry.post;
    const question = visit ?? buttons[0]?.says;
    if (question === undefined) continue;
    if (entry.job !== job?.id || !open.delete(question)) over.push(entry);
  }
  return over;
}

function openVisit(job: Job | null): string | null {
  if (job === null || job.asked === null || job.asked.ended) return null;
  return job.mode === 'working' || job.mode === 'parking' ? String(job.asked.visit) : null;
}

/** Questions without a visit that still wait, by what their button says: is somebody here, who takes over, who goes on. */
function callsOf(job: Job | null): readonly string[] {
  if (job === null) return [];
  const here = job.stillThere !== null || (job.checkIn?.askedAt ?? null) !== null;
  return [
    ...(here ? ['here'] : []),
    ...(job.mode === 'paused' || job.mode === 'parked' ? ['resume'] : []),
    ...(job.offered === null ? [] : ['take']),
  ];
}
