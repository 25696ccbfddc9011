import type { Flow } from '../flow/flow.js';
import type { Event } from '../job/event.js';
import type { Danger } from '../job/heard.js';
import type { Job } from '../job/job.js';
import { factOfJob } from '../job/view.js';
import type { EmergencyNumber } from '../job/world.js';
import { cap, ln } from './line.js';
import { bayOf, dangerName, filled, stepOf } from './phrase.js';
import type { Line } from './post.js';

/**
 * First actions by danger. Common practice, no source: get clear, do not touch a casualty in contact, call; the
 * hazard table's own lines come with them.
 */
const FIRST: Readonly<Record<Danger, string>> = {
  fire: 'Everybody out. Shout, alarm. Nobody goes back in.',
  smoke: 'Everybody out. Shout, alarm. Nobody goes back in.',
  gas: 'Everybody out. Shout, no switches. Nobody goes back in.',
  shock: 'Do not touch a casualty in contact. Call. A doctor sees even a slight shock.',
  hurt: 'Do not touch a casualty in contact. Call, stay with them.',
  'man-down': 'Do not touch a casualty in contact. Call, stay in sight.',
};

/** The stop card: what to do first where the job stands, whom to call, what happens next. */
export function stopCard(
  job: Job,
  flow: Flow,
  stop: Event & { readonly type: 'stop-called' },
): readonly Line[] {
  const hazard = flow.hazards.get(stepOf(flow, stop.step)?.hazard ?? '');
  const stops = (hazard?.stop ?? []).map((line) => ln`${filled(job, line)}`);
  const own = stops.length > 0 ? stops : [ln`Hands off, step back. Treat everything as live.`];
  return [
    ln`STOP${stop.danger === null ? '' : `: ${dangerName(stop.danger)}`}`,
    ...(stop.danger === null ? [] : [ln`${FIRST[stop.danger]}`]),
    ...(noStopping(job, flow) ? [ln`Get clear. Do not lower, do not lift: it stays as it is.`] : []),
    ...own,
    ...numberLines(job.emergency),
    ln`The foreman is called. Nothing goes on before the release.`,
  ];
}

/** Whether something hangs, or a bead is open: between two places where the job could be left. */
function noStopping(job: Job, flow: Flow): boolean {
  return flow.rules.facts.some((fact) => fact.noStop && factOfJob(job, fact.id) !== 'gone');
}

/** The workshop's own emergency numbers. */
export function numberLines(numbers: readonly EmergencyNumber[]): readonly Line[] {
  if (numbers.length === 0) return [ln`No emergency numbers are set: use the card on the wall.`];
  return numbers.map(({ label, number }) => ln`${cap(label)}: ${number}`);
}

/** Word of a danger in another bay. */
export function dangerCard(job: Job, told: Event & { readonly type: 'told-danger' }): readonly Line[] {
  return [
    ln`${bayOf(told.bay)}: ${dangerName(told.danger)}`,
    ln`Hands off, make still, step back. Be ready to leave.`,
    ln`Shout it on. Danger here too: say STOP.`,
    ...numberLines(job.emergency),
  ];
}
