import type { Event } from './event.js';
import type { Job } from './job.js';
import { type Pen, plus, without } from './pen.js';
import { EMPTY_LOG, type WatchLog } from './watch-log.js';

type Of<T extends Event['type']> = Event & { readonly type: T };

/** Folds a sighting: it goes into the log, and what it came to is the reading of that name from now on. */
export function watched(pen: Pen, job: Job, event: Of<'watched'>): Job {
  const log = job.watched[event.of] ?? EMPTY_LOG;
  const { sighted, saidAt, at, visit, outcome } = event;
  const sightings = [...log.sightings, { sighted, saidAt, at, visit, from: log.from, outcome }];
  const over = outcome.verdict === 'settled' || outcome.verdict === 'failed';
  return pen.on(
    withLog(pen, job, event.of, { ...log, sightings, from: over ? sightings.length : log.from }),
    {
      last: { step: event.step, ask: job.asked?.answers.length ?? 0, by: event.by },
      readings: plus(pen, job.readings, event.of, [outcome.total]),
    },
  );
}

/** Folds a sighting taken back: the one before counts again, in the span that was open then. */
export function watchedTakenBack(pen: Pen, job: Job, event: Of<'watched-taken-back'>): Job {
  const log = job.watched[event.of] ?? EMPTY_LOG;
  const sightings = log.sightings.slice(0, -1);
  const from = log.sightings.at(-1)?.from ?? log.from;
  const total = sightings.at(-1)?.outcome.total;
  return pen.on(withLog(pen, job, event.of, { ...log, sightings, from }), {
    readings:
      total === undefined
        ? without(pen, job.readings, event.of)
        : plus(pen, without(pen, job.readings, event.of), event.of, [total]),
  });
}

export function watchAsked(pen: Pen, job: Job, event: Of<'watch-asked'>): Job {
  const log = job.watched[event.of] ?? EMPTY_LOG;
  const { visit, at, times } = event;
  return withLog(pen, job, event.of, { ...log, prompt: { visit, at, times } });
}

function withLog(pen: Pen, job: Job, name: string, log: WatchLog): Job {
  return pen.on(job, { watched: plus(pen, job.watched, name, log) });
}
