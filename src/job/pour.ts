import { valueIn } from '../units/quantity.js';
import { dimensionOf } from '../units/unit.js';
import type { Reading } from './event.js';
import type { Job } from './job.js';
import { type Pen, plus } from './pen.js';
import { ranOut } from './watch.js';

/**
 * Volumes that were read and then poured away or in: each closing of the step adds one, so that a second night or a
 * second fill does not take the place of the first.
 */
export type Pour = { readonly step: string; readonly reading: Reading };

/** Folds the closing of a step: the volumes that were told in it count from now on, whatever is told there later. */
export function poured(pen: Pen, job: Job, step: string): Job['poured'] {
  const answers = job.asked?.what === 'step' && job.asked.step === step ? job.asked.answers : [];
  let all = job.poured;
  for (const { answer } of answers) {
    if (answer.ask !== 'reading' || dimensionOf(answer.reading.quantity.unit) !== 'volume') continue;
    all = plus(pen, all, answer.name, [...(all[answer.name] ?? []), { step, reading: answer.reading }]);
  }
  return all;
}

/** Folds a correction: what was told last at this step was wrong, and the answer to come stands in its place. */
export function takenBack(pen: Pen, job: Job, step: string): Job['poured'] {
  let all = job.poured;
  for (const [name, pours] of Object.entries(job.poured)) {
    if (pours.at(-1)?.step === step) all = plus(pen, all, name, pours.slice(0, -1));
  }
  return all;
}

/** Every amount of this name that counts: those of closed steps, and the one told in the step that is open. */
function amounts(job: Job, name: string): readonly Reading[] {
  const kept = (job.poured[name] ?? []).map(({ reading }) => reading);
  const latest = job.readings[name]?.[0];
  // An amount stays the latest reading of its name when its step closes.
  return latest === undefined || latest === kept.at(-1) ? kept : [...kept, latest];
}

/** In ml; null where one of them is no more than a bound. */
function sum(readings: readonly Reading[]): number | null {
  let all = 0;
  for (const { quantity, bound } of readings) {
    if (bound !== null) return null;
    all += valueIn(quantity, 'ml');
  }
  return all;
}

/** All coolant that came out, over every tray and night, ml. Null where a tray was not read, or emptied unread. */
export function cameOut(job: Job): number | null {
  const spill = ranOut(job, 'coolant-out');
  const first = amounts(job, 'coolant-out');
  if (spill === null && first.length === 0) return null;
  if (spill?.unread === true) return null;
  const watched = spill === null ? sum(first) : valueIn(spill.total, 'ml');
  const later = sum([...amounts(job, 'tray-night'), ...amounts(job, 'tray-late')]);
  return watched === null || later === null ? null : watched + later;
}

/** All coolant that went in, over every fill and what was added after it, ml. Null where nobody noted a fill. */
export function wentIn(job: Job): number | null {
  const fills = amounts(job, 'coolant-in');
  if (fills.length === 0) return null;
  // What was added is told since the fill: told again before another fill, it is the same coolant and more.
  const told = amounts(job, 'coolant-added');
  const added = told.filter((reading, at) => {
    const next = told[at + 1];
    return next === undefined || fills.some((fill) => fill.at > reading.at && fill.at <= next.at);
  });
  return sum([...fills, ...added]);
}
