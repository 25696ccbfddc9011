import type { Flow } from '../flow/flow.js';
import type { Event } from '../job/event.js';
import type { Job } from '../job/job.js';
import type { Refusal } from '../job/refusal.js';
import { openLines, valueForm, valueNow } from './alert.js';
import { cap, listed, ln, stopped, when } from './line.js';
import { bayOf, filled, labelsOf, nameOfKey, personOf, placeOf, titleOf, warningsOf } from './phrase.js';
import type { Line } from './post.js';
import { refusalLines } from './refusal.js';
import { keyText } from './verdict.js';

/** Whether the foreman is asked something, besides what an alert of its own calls for. */
export function asksForeman(event: Event): boolean {
  return event.type === 'told-value' || (event.type === 'catch-up-offered' && !event.foreman);
}

/** What the foreman of this bay is told besides alerts: a value adopted elsewhere, parked, handed over, released. */
export function newsLines(job: Job, flow: Flow, events: readonly Event[]): readonly Line[] {
  const news = events.flatMap((event) => newsOf(job, flow, event));
  return news.length === 0 ? [] : [ln`${placeOf(job)}`, ...news];
}

function newsOf(job: Job, flow: Flow, event: Event): readonly Line[] {
  switch (event.type) {
    case 'mode-changed':
      if (event.from === 'held' || event.from === 'stopped') {
        return event.to === 'working' || event.to === 'parking'
          ? [
              ln`Released at ${when(event.at, job.now)} by ${event.name}. States are looked at first, proofs made again.`,
            ]
          : [];
      }
      if (event.to !== 'parked') return [];
      return [
        ln`Parked at ${when(event.at, job.now)}.`,
        ...openLines(job, flow),
        ...nightLines(job, flow),
        ln`Do: see that the bay is barred, and that somebody is named for the night.`,
      ];
    case 'told-value':
      return [
        ln`${cap(keyText(event.key))} was changed in ${bayOf(event.bay)}. This job has ${filled(job, `{${event.key}}`)}.`,
        ...valueForm(job, event.key, 'adopt'),
      ];
    case 'value-set':
      return [ln`${cap(keyText(event.key))}${valueNow(job, event.key)}. Entered by ${event.name}.`];
    case 'park-asked':
      return event.then === 'called-off' ? [ln`Called off by ${event.name}: parked first.`] : [];
    case 'hand-over-offered':
      return [
        ln`Offered to ${event.toName} by ${event.name}. Nothing moves until ${event.toName} says TAKE.`,
      ];
    case 'holder-changed':
      return [ln`${event.name} holds the job now, from ${personOf(job, event.from)}.`];
    case 'catch-up-offered':
      if (event.foreman) return [];
      return [
        ln`${event.name} says the job has come to: ${stopped(titleOf(job, flow, event.to))}`,
        ln`Do: look at the car. If it is so, in the bay thread: agree`,
      ];
    case 'balance-left':
      return [ln`Coolant balance left as not known by ${event.name}: ${stopped(event.reason)}`];
    case 'old-lock-off':
      if (event.removed === null) return [];
      return [ln`Lock of ${personOf(job, event.owner)} removed by ${event.name}: ${stopped(event.removed)}`];
    case 'step-left-out':
      return [
        ln`Left out by ${event.name}: ${stopped(titleOf(job, flow, event.step))} Why: ${stopped(event.reason)}`,
      ];
    case 'job-ended':
      return [
        ln`Job ${job.number} ${event.how === 'done' ? 'done' : 'called off'} at ${when(event.at, job.now)}.`,
        ...(event.open.length === 0
          ? []
          : [ln`Left open: ${labelsOf(flow, event.open, 12)}.${warningsOf(flow, event.open)}`]),
      ];
    default:
      return [];
  }
}

function nightLines(job: Job, flow: Flow): readonly Line[] {
  const called = flow.steps
    .filter((step) => step.route === 'park')
    .flatMap((step) => step.asks)
    .flatMap((ask) => {
      const text = ask.ask === 'field' && ask.type !== 'photo' ? job.fields[ask.name] : undefined;
      return ask.ask === 'field' && text !== undefined ? [ln`${nameOfKey(`x.${ask.name}`)}: ${text}`] : [];
    });
  return called;
}

/** What a foreman types from afar and gets back as a refusal is told in the foreman's thread too. */
const FROM_AFAR: ReadonlySet<Refusal['why']> = new Set<Refusal['why']>([
  'own-hold',
  'reason-needed',
  'source-needed',
  'unknown-value',
  'unknown-person',
  'mode',
  'no-stop',
]);

/** A refusal of something that was typed from afar. */
export function foremanRefusal(job: Job, flow: Flow, events: readonly Event[]): readonly Line[] {
  const refused = events.find((event) => event.type === 'refused');
  if (refused === undefined || !FROM_AFAR.has(refused.refusal.why)) return [];
  if (refused.by === job.holder || refused.by === job.standby) return [];
  return [ln`${listed([bayOf(job.bay), refused.name])}: not taken.`, ...refusalLines(job, flow, refused)];
}
