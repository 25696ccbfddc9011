import type { Flow } from '../flow/flow.js';
import type { Event, Summons } from '../job/event.js';
import type { Job } from '../job/job.js';
import { exposedIn } from '../job/time.js';

/**
 * How much of the foreman's attention a shop may take. Pure: who keeps the posts and the clock is the desk. It stands
 * beside the board, which says the same to whoever looks; this says when somebody has to be made to look.
 *
 * A stop, a hold, the third refusal at a gate and a reading out of limits go out at once, each by itself. Anything else
 * that calls goes at once too while the thread is quiet, and joins what comes within a short time where it is not. News
 * that asks for nothing waits longer. The same thing is told again at growing intervals as long as nobody has seen to it.
 *
 * Figures: common practice, no source, chosen so that the rates of published alarm guidance are kept with room to spare
 * (long-term at most one in ten minutes, at most ten in the first ten minutes of an upset: EEMUA 191, as the HSE's
 * information sheet CHIS6 gives it; `HUM-025` and `HUM-026` of the reference rows).
 */

const MINUTE = 60_000;

/** `at-once`: never waits. `answer`: to what a foreman has just said. `call`: asks the foreman something. */
export type Urgency = 'at-once' | 'answer' | 'call' | 'news';

/** Of these none is ever held back, joined or left out. */
export const AT_ONCE: readonly Summons[] = ['stop', 'hold', 'gate-refused', 'out-of-limits'];

/** How soon a post for the foreman goes out. `asks` is whether the post asks for something. */
export function urgencyOf(events: readonly Event[], asks: boolean, byForeman: boolean): Urgency {
  if (callsIn(events).some(({ what }) => AT_ONCE.includes(what))) return 'at-once';
  if (byForeman) return 'answer';
  return asks ? 'call' : 'news';
}

type Call = Event & { readonly type: 'summoned' };

/** What of a line calls for the foreman. */
export function callsIn(events: readonly Event[]): readonly Call[] {
  return events.filter((event): event is Call => event.type === 'summoned' && event.to === 'foreman');
}

/** How long it takes the owner of a lock, who stands beside it, to take it off: until then nobody is called, ms. */
const LOCK_OFF = 5 * MINUTE;

/** When what a line calls for may be told at the earliest, ms since 1970; `now` for most of it. */
export function notBefore(events: readonly Event[], now: number): number {
  const calls = callsIn(events);
  return calls.length > 0 && calls.every(({ what }) => what === 'lock') ? now + LOCK_OFF : now;
}

/** Whether a line calls for nothing that is still to be seen to; `things` are what it called for, and nothing else. */
export function seenTo(job: Job | null, flow: Flow | null, things: readonly Thing[]): boolean {
  if (things.length === 0) return false;
  return things.every(
    (thing) => SEEN_TO.has(thing.what) && (job === null || flow === null || !unresolved(job, flow, thing)),
  );
}

/** Once these are seen to there is nothing left to do. A standby who was missing or a time that ran out is told all the same. */
const SEEN_TO: ReadonlySet<Summons> = new Set<Summons>([
  ...(['lock', 'value-missing', 'cure-stopped', 'not-falling', 'watch-unanswered'] as const),
]);

/** Something the foreman is called for, and since when. */
export type Thing = Pick<Called, 'what' | 'detail' | 'since'>;

/** A post that waits to be joined with others; it comes at `at`. */
export type Waiting = { readonly at: number; readonly urgency: 'call' | 'news' };

/** How long after the post before another one goes, and how long it waits at most. */
const PAUSE: Readonly<Record<Waiting['urgency'], { readonly after: number; readonly most: number }>> = {
  call: { after: 2 * MINUTE, most: 5 * MINUTE },
  news: { after: 20 * MINUTE, most: 60 * MINUTE },
};

/** So many in so long, and what may wait does: the rest is left to what may not. */
const FULL: Readonly<Record<Waiting['urgency'], { readonly posts: number; readonly within: number }>> = {
  call: { posts: 6, within: 10 * MINUTE },
  news: { posts: 3, within: 60 * MINUTE },
};

/**
 * When what waits goes out, all of it in one post; null when nothing waits. `sent` are the instants of what went to the
 * foreman without having been asked for, in order.
 */
export function goesAt(waiting: readonly Waiting[], sent: readonly number[]): number | null {
  if (waiting.length === 0) return null;
  const last = sent.at(-1);
  const due = waiting.map(({ at, urgency }) => {
    const { after, most } = PAUSE[urgency];
    const { posts, within } = FULL[urgency];
    const full = sent.at(-posts);
    const quiet = last === undefined ? at : last + after;
    const room = full === undefined ? at : full + within;
    return Math.min(Math.max(at, quiet, room), at + most);
  });
  return Math.min(...due);
}

/** What a job has called the foreman for: since when it is so, when it was last told, and how often. */
export type Called = {
  readonly what: Summons;
  readonly detail: string;
  readonly since: number;
  readonly at: number;
  readonly times: number;
};
export type CallLog = ReadonlyMap<string, Called>;

const FIRST_AGAIN = 15 * MINUTE;
const MOST_APART = 240 * MINUTE;

/** Told so often, the same thing is told again after this long, in ms: 15 min, 30 min, one, two, then every four hours. */
export function againAfter(times: number): number {
  return Math.min(FIRST_AGAIN * 2 ** (Math.max(1, times) - 1), MOST_APART);
}

/** One hold or stop at a time, whatever its reason; of anything else each thing is one. */
function keyOf({ what, detail }: Pick<Called, 'what' | 'detail'>): string {
  return what === 'stop' || what === 'hold' ? what : `${what}:${detail}`;
}

/** Whether a thing in the log goes on, so that a call for it is no new one. */
export type GoesOn = (called: Called) => boolean;

/** For one job: what is seen to and comes again is a new thing; a try is the same try for a while. */
export function goesOnIn(job: Job, flow: Flow): GoesOn {
  return (called) => TRIES.has(called.what) || unresolved(job, flow, called);
}

const TRIES: ReadonlySet<Summons> = new Set<Summons>(['level', 'stranger', 'value-changed', 'tester-out']);

/** Whether all that a line calls for was told so lately that it need not be told again. */
export function toldLately(log: CallLog, events: readonly Event[], goesOn: GoesOn): boolean {
  const calls = callsIn(events);
  return (
    calls.length > 0 &&
    calls.every((call) => {
      const before = log.get(keyOf(call));
      if (AT_ONCE.includes(call.what) || before === undefined || !goesOn(before)) return false;
      return call.at < before.at + againAfter(before.times);
    })
  );
}

/** The log after a line whose calls were told. */
export function withCalls(log: CallLog, events: readonly Event[], goesOn: GoesOn): CallLog {
  const calls = callsIn(events);
  if (calls.length === 0) return log;
  const next = new Map(log);
  for (const { what, detail, at } of calls) {
    const before = next.get(keyOf({ what, detail }));
    const old = before !== undefined && !AT_ONCE.includes(what) && goesOn(before) ? before : null;
    const times = (old?.times ?? 0) + 1;
    next.set(keyOf({ what, detail }), { what, detail, since: old?.since ?? at, at, times });
  }
  return next;
}

/** The log after something in it was told again. */
export function withReminder(
  log: CallLog,
  { what, detail }: Pick<Called, 'what' | 'detail'>,
  at: number,
): CallLog {
  const before = log.get(keyOf({ what, detail }));
  if (before === undefined) return log;
  return new Map(log).set(keyOf({ what, detail }), { ...before, at, times: before.times + 1 });
}

/** A foreman who has spoken in the thread of a bay is at it, and is left alone for so long. */
const AT_IT = 10 * MINUTE;

/** When each thing that nobody has seen to yet is told again. `actedAt` is when a foreman last spoke in the bay. */
export function remindersOf(
  job: Job,
  flow: Flow,
  log: CallLog,
  actedAt: number | null,
): readonly { readonly called: Called; readonly at: number }[] {
  return [...log.values()]
    .filter((called) => unresolved(job, flow, called))
    .map((called) => ({
      called,
      at: Math.max(called.at + againAfter(called.times), actedAt === null ? 0 : actedAt + AT_IT),
    }));
}

/** Whether what the foreman was called for still is as it was. Some calls are for one moment and leave nothing behind. */
export function unresolved(job: Job, flow: Flow, { what, detail, since }: Thing): boolean {
  const heardAt = Math.max(job.heardAt, job.checkIn?.lastAt ?? 0);
  const heardSince = heardAt > since;
  if (job.mode === 'done' || job.mode === 'called-off') return false;
  switch (what) {
    case 'stop':
      return job.mode === 'stopped';
    case 'hold':
      return job.mode === 'held';
    case 'value-missing':
      return job.missing === detail;
    case 'cure-stopped':
      return job.facts[detail]?.stopped !== undefined;
    case 'lock':
      return job.oldLock !== null;
    case 'check-in':
    case 'exposed':
      return !heardSince && exposedIn(job, flow).length > 0;
    case 'deadline':
      return !heardSince && job.mode !== 'parked';
    case 'watch-unanswered':
      return !heardSince && job.asked?.step === detail;
    case 'not-falling':
      return job.asked?.step === detail;
    case 'gate-refused':
    case 'out-of-limits':
    case 'stranger':
    case 'level':
    case 'value-changed':
    case 'tester-out':
    case 'danger-elsewhere':
      return false;
  }
}
