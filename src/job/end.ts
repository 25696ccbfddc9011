import type { FactId } from '../rule/rules.js';
import { isIsoDate } from '../trade/dates.js';
import { fuseDue, serviceDue } from '../trade/due.js';
import { valueIn } from '../units/quantity.js';
import type { Draft, Speaker } from './draft.js';
import type { Due } from './event.js';
import type { Job } from './job.js';

/** Openings that are not gone: what a summary has to name. */
export function parkedOpen(draft: Draft): readonly FactId[] {
  return draft.flow.rules.facts
    .filter((fact) => fact.opening && draft.value(fact.id) !== 'gone')
    .map((fact) => fact.id);
}

/** Ends the job, with what is next due by the type that was fitted. */
export function endJob(draft: Draft, how: 'done' | 'called-off', who: Speaker): void {
  const due = how === 'done' ? dueAfter(draft.job, draft.world.today) : [];
  const open = parkedOpen(draft);
  draft.emit({ type: 'job-ended', how, open, due, by: who.by, name: who.name, at: draft.now });
}

/**
 * What is next due after this job, by the vehicle's own intervals: fuse and low-voltage battery by the type read off
 * the label of the one that was fitted, the look at the seal and the wheel bolts where the profile asks for them.
 * What this job did not touch keeps the date that it had.
 */
export function dueAfter(job: Job, today: string): readonly Due[] {
  return [
    ...fuseDues(job, today),
    ...sealDues(job, today),
    ...batteryDues(job, today),
    ...coolantDues(job, today),
    ...wheelDues(job, today),
  ];
}

function fuseDues(job: Job, today: string): Due[] {
  const type = job.choices['fuse-type'];
  if (type === undefined) return [];
  const made = job.fields['fuse-made'] ?? null;
  const manufacturedOn = made !== null && isIsoDate(made) ? made : null;
  const months = wholeNumber(job, 'vehicle.fuse-own-cell-months');
  const from = job.values['vehicle.fuse-life-from']?.text === 'fitting' ? 'fitting' : 'manufacture';
  if (type === 'own-cell' && months === null) {
    return [{ what: 'fuse', on: null, atKm: null, rule: 'no interval in the profile: ask the maker' }];
  }
  const due = fuseDue({
    fitted:
      type === 'own-cell'
        ? { type, months: months ?? 0, from }
        : { type: 'loop-fed', inspectMonths: wholeNumber(job, 'vehicle.fuse-inspect-months') },
    fittedOn: today,
    manufacturedOn,
  });
  if (!due.ok) return [{ what: 'fuse', on: null, atKm: null, rule: due.because }];
  if (due.due === 'nothing') return [{ what: 'fuse', on: null, atKm: null, rule: due.ruledBy }];
  return [
    { what: due.due === 'replace' ? 'fuse' : 'fuse-look', on: due.dueOn, atKm: null, rule: due.ruledBy },
  ];
}

function sealDues(job: Job, today: string): Due[] {
  // Only the change of the fuse opens the seal and closes it anew.
  if (job.choices['fuse-type'] === undefined) return [];
  return serviceDues(job, today, 'seal-look', 'vehicle.seal-check-months', 'vehicle.seal-check-distance');
}

/** A kind of battery for which the profile has no life falls due by its own behaviour, not by the calendar. */
function batteryDues(job: Job, today: string): Due[] {
  const type = job.choices['lv-type'];
  return type === undefined ? [] : serviceDues(job, today, 'lv-battery', `vehicle.lv-${type}-months`, null);
}

function coolantDues(job: Job, today: string): Due[] {
  if (job.choices['coolant-kind'] === undefined) return [];
  return serviceDues(job, today, 'coolant', 'vehicle.coolant-months', 'vehicle.coolant-distance');
}

function wheelDues(job: Job, today: string): Due[] {
  if (job.choices['wheel-lock'] === undefined) return [];
  return serviceDues(job, today, 'wheel-bolts', null, 'vehicle.wheel-retorque-distance');
}

/** Due by months, by distance, or by whichever comes first; nothing where the profile has neither. */
function serviceDues(
  job: Job,
  today: string,
  what: string,
  monthsKey: string | null,
  distanceKey: string | null,
): Due[] {
  const months = monthsKey === null ? null : wholeNumber(job, monthsKey);
  const distance = distanceKey === null ? null : (job.values[distanceKey]?.quantity ?? null);
  if (months === null && distance === null) return [];
  const read = Number(job.fields['odometer-after'] ?? job.fields['odometer-before']);
  const due = serviceDue({
    rule: { months, distanceKm: distance === null ? null : valueIn(distance, 'km') },
    doneOn: today,
    odometerKm: Number.isFinite(read) ? read : job.car.odometerKm,
    kmPerYear: job.car.kmPerYear,
  });
  if (!due.ok) return [{ what, on: null, atKm: null, rule: due.because }];
  return [{ what, on: due.dueOn, atKm: due.dueAtKm, rule: due.ruledBy }];
}

/** A whole number of the profile, such as months: '96' or '96 months'. */
function wholeNumber(job: Job, key: string): number | null {
  const value = job.values[key];
  const text = value?.text ?? (value?.quantity === null ? null : String(value?.quantity.value ?? ''));
  const found = /^(\d+)\b/.exec(text ?? '');
  return found === null ? null : Number(found[1]);
}
