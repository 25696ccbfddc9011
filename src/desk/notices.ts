import type { Event } from '../job/event.js';
import type { Notice } from '../job/input.js';
import type { Job } from '../job/job.js';

/** What concerns other bays, and which of them. */
export type Sent = { readonly to: (other: Job) => boolean; readonly notice: Notice };

/** What other bays have to know of these events. */
export function noticesOf(job: Job, events: readonly Event[]): readonly Sent[] {
  const sent: Sent[] = [];
  for (const event of events) {
    if (event.type !== 'summoned') continue;
    if (event.what === 'danger-elsewhere') {
      sent.push({ to: () => true, notice: { of: 'danger', bay: job.bay, danger: event.detail } });
    }
    if (event.what === 'tester-out') {
      sent.push({
        to: (other) => other.gear[event.detail] !== undefined,
        notice: { of: 'gear-out', gear: event.detail, bay: job.bay },
      });
    }
    if (event.what === 'value-changed') {
      sent.push({
        to: (other) => other.car.model === job.car.model,
        notice: {
          of: 'value-changed',
          key: event.detail,
          value: job.values[event.detail] ?? null,
          bay: job.bay,
        },
      });
    }
  }
  return sent;
}

/** Somebody who holds a job or stands by in one has spoken in another bay. */
export function goneElsewhere(person: string, bay: string): Sent {
  return {
    to: (other) => other.holder === person || other.standby === person,
    notice: { of: 'elsewhere', person, bay },
  };
}
