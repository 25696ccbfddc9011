import type { Ask, Flow, Step } from '../flow/flow.js';
import { type SpillPoint, spillOf, type TrayReading } from '../trade/spill.js';
import { type Quantity, valueIn } from '../units/quantity.js';
import type { Job } from './job.js';
import { EMPTY_LOG, type Sighting, type WatchLog } from './watch-log.js';

/** What a step watches. */
export type Watch = Ask & { readonly ask: 'watch' };

/** The log of a watched reading; an empty one before its first sighting. */
export function logOf(job: Job, name: string): WatchLog {
  return job.watched[name] ?? EMPTY_LOG;
}

/** What the bay is asked to watch now, with its step; null while something else, or nothing, is asked. */
export function watchOpen(job: Job, flow: Flow): { readonly step: Step; readonly watch: Watch } | null {
  const { asked } = job;
  if (asked === null || asked.what !== 'step' || asked.ended) return null;
  const index = flow.rules.indexOf.get(asked.step);
  const step = index === undefined ? undefined : flow.steps[index];
  const ask = step?.asks[asked.answers.length];
  return step !== undefined && ask?.ask === 'watch' ? { step, watch: ask } : null;
}

/** The sightings that the open step is judged by. */
export function sightingsNow(log: WatchLog): readonly Sighting[] {
  return log.sightings.slice(log.from);
}

/** When the question was last put, and which time in a row; what was read since then has answered it. */
export function promptNow(
  job: Job,
  log: WatchLog,
): { readonly at: number; readonly times: number; readonly open: boolean } | null {
  const { asked } = job;
  if (asked === null) return null;
  const own = log.prompt?.visit === asked.visit ? log.prompt : null;
  const { at, times } = own ?? { at: asked.shownAt, times: 1 };
  const answered = log.sightings.some((sighting) => sighting.visit === asked.visit && sighting.at >= at);
  return { at, times, open: !answered };
}

const MINUTE = 60_000;
/** When a tray is read, minutes after it was first watched; then every ten. Common practice, no source. */
const SCHEDULE = [1, 2, 3, 5, 8, 10];
const LATER = 10;
/** No prompt sooner after a sighting, and so soon where the rate does not fall. Common practice, no source. */
const LEAST_GAP = MINUTE / 2;
const SOONER = MINUTE;
/** How long a prompt waits for its answer before it is repeated, and then before the foreman is told. */
const PATIENCE = 3 * MINUTE;

export type Due = { readonly at: number; readonly do: 'ask' | 'ask-again' | 'tell-foreman' };

/**
 * What the bot does next by itself about the open watch, and when: it asks, asks once more, tells the foreman. Null when
 * nothing is watched, or when the foreman knows already that nobody answers. `minutes` is how long a thing that has to
 * hold or stand still is watched; null for a spill, which has the times of its own.
 */
export function watchDue(job: Job, flow: Flow, minutes: number | null): Due | null {
  const open = watchOpen(job, flow);
  if (open === null) return null;
  const log = logOf(job, open.watch.name);
  const prompt = promptNow(job, log);
  if (prompt === null) return null;
  if (prompt.open) {
    if (prompt.times > 2) return null;
    return { at: prompt.at + PATIENCE, do: prompt.times === 1 ? 'ask-again' : 'tell-foreman' };
  }
  const last = log.sightings.at(-1);
  if (last === undefined) return null;
  const first = sightingsNow(log)[0] ?? last;
  if (minutes !== null) {
    // From the first reading on, and where that was not enough, from the last.
    const ends = first.saidAt + minutes * MINUTE;
    const at = ends > last.at ? ends : last.saidAt + minutes * MINUTE;
    return { at: Math.max(last.at + LEAST_GAP, at), do: 'ask' };
  }
  if (last.outcome.verdict === 'not-falling') return { at: last.at + SOONER, do: 'ask' };
  const began = Math.min(job.asked?.shownAt ?? last.at, first.at);
  return { at: scheduled(began, last.at + LEAST_GAP), do: 'ask' };
}

/** The first time of the schedule that began then which is not before this. */
function scheduled(began: number, notBefore: number): number {
  const early = SCHEDULE.map((minute) => began + minute * MINUTE).find((at) => at >= notBefore);
  if (early !== undefined) return early;
  const tens = Math.ceil((notBefore - began) / (LATER * MINUTE));
  return began + tens * LATER * MINUTE;
}

/** The sightings as the arithmetic of trays takes them. */
export function trayReadings(
  sightings: readonly Pick<Sighting, 'sighted' | 'saidAt'>[],
): readonly TrayReading[] {
  return sightings.flatMap(trayReading);
}

function trayReading({
  sighted,
  saidAt: atMs,
}: Pick<Sighting, 'sighted' | 'saidAt'>): readonly TrayReading[] {
  switch (sighted.is) {
    case 'stands':
    case 'added':
      return [{ is: sighted.is, atMs, ml: valueIn(sighted.reading.quantity, 'ml') }];
    case 'emptied': {
      const ml = sighted.reading === null ? null : valueIn(sighted.reading.quantity, 'ml');
      return [{ is: 'emptied', atMs, ml }];
    }
    case 'nothing-more':
      return [{ is: 'nothing-more', atMs }];
    case 'bubbles':
      return [];
  }
}

/** What ran into a tray in this job, for a balance: all of it, and whether some of it was emptied unread. */
export function ranOut(
  job: Job,
  name: string,
): { readonly total: Quantity; readonly unread: boolean; readonly points: readonly SpillPoint[] } | null {
  const log = job.watched[name];
  const total = log?.sightings.at(-1)?.outcome.total;
  if (log === undefined || total === undefined) return null;
  const spill = spillOf(trayReadings(log.sightings));
  if (!spill.ok) return null;
  return { total: total.quantity, unread: spill.unread > 0, points: spill.points };
}
