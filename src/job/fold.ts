import type { Event } from './event.js';
import { emptyJob, evolve } from './evolve.js';
import type { Place } from './input.js';
import type { Job } from './job.js';
import { COPYING, newPen, type Pen } from './pen.js';

/** The part of a journal line that a job is folded from. */
export type Folded =
  | { readonly seq: number; readonly at: number; readonly events: readonly Event[] }
  | { readonly seq: number; readonly told: Told };

/** The post of line `line` stands at `place` of a thread. */
type Told = { readonly line: number; readonly thread: string; readonly place: Place };

/** How many posts back a job remembers where they stand: more than one question can have. */
const PLACES_KEPT = 16;

/** Folds one line of the journal. Never judges: a later fix to a rule cannot rewrite what was signed. */
export function fold(job: Job, line: Folded): Job {
  return folding(job, line, newPen());
}

function folding(job: Job, line: Folded, pen: Pen): Job {
  if ('told' in line) {
    const { line: told, thread, place } = line.told;
    // Gates are asked in the bay; what the foreman has seen says nothing about the technician.
    if (thread !== 'bay') return job;
    const places: Record<number, Place> = pen.own(job.places);
    // Their numbers come in rising order.
    for (const key of Object.keys(places)) {
      const seq = Number(key);
      if (seq > line.seq - PLACES_KEPT) break;
      if (seq !== job.asked?.seq) delete places[seq];
    }
    places[told] = place;
    return pen.on(job, { places });
  }
  let folded = job;
  for (const event of line.events) folded = evolve(folded, event, pen);
  return sealed(folded, line, pen);
}

/** A job with all events of a line in it, once the line has its number. */
export function sealed(
  folded: Job,
  { seq, at }: { readonly seq: number; readonly at: number },
  pen: Pen = COPYING,
): Job {
  return pen.on(folded, { seq, now: Math.max(folded.now, at) });
}

/** The job that a journal tells of. */
export function foldAll(id: string, lines: Iterable<Folded>): Job {
  const pen = newPen();
  let job = emptyJob(id);
  for (const line of lines) job = folding(job, line, pen);
  return job;
}
