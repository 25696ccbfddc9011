import type { Ask, Flow } from '../flow/flow.js';
import type { Answer, Event, Reading } from '../job/event.js';
import type { Job } from '../job/job.js';
import { dimensionOf } from '../units/unit.js';
import { cap } from './line.js';
import { amount, gearPiece, personOf, spaced, stepOf } from './phrase.js';

/** The five of a dead test, in their order. */
export const DEAD_TEST_ORDER = ['prove', '+ to -', '+ to body', '- to body', 'prove'] as const;

/** What was heard, before it is judged; empty where the answer says nothing that could be misheard. */
export function echoOf(job: Job, flow: Flow, answered: Event & { readonly type: 'answered' }): string {
  const text = echoOfAnswer(job, askOf(flow, answered), answered.answer);
  if (text === '') return '';
  const saidFor = answered.saidFor;
  return saidFor === null
    ? `${cap(text)}.`
    : `${cap(text)}, said by ${answered.name} for ${personOf(job, saidFor)}.`;
}

function askOf(flow: Flow, answered: Event & { readonly type: 'answered' }): Ask | null {
  return stepOf(flow, answered.step)?.asks[answered.ask] ?? null;
}

function echoOfAnswer(job: Job, ask: Ask | null, answer: Answer): string {
  switch (answer.ask) {
    case 'confirm':
    case 'word':
      return '';
    case 'reading':
      return isUnread(answer.reading) ? UNREAD : readingText(answer.reading);
    case 'dead-test':
      return `${sideOf(ask)}${DEAD_TEST_ORDER.map((name, at) => `${name} ${quantityAt(answer.readings, at)}`).join(', ')}`;
    case 'values':
      return answer.readings.map((reading, at) => `${at + 1}: ${amount(reading.quantity)}`).join(', ');
    case 'choice':
      return spaced(answer.option);
    case 'field':
      if (answer.photo !== null && answer.text === '') return 'Photo kept';
      return answer.type === 'photo' ? 'Photo kept' : `Kept: ${answer.text.trim().replace(/\.$/, '')}`;
    case 'gear':
      return answer.gear.map((gear) => `${gearPiece(gear)}, good to ${gear.until}`).join('; ');
    case 'standby':
      return `Standby: ${personOf(job, answer.person)}`;
    case 'second-look':
      return ask?.ask === 'second-look' ? 'Own look: seen' : 'Seen';
  }
}

/** `Car side: ` where a step has several dead tests. */
function sideOf(ask: Ask | null): string {
  return ask?.ask === 'dead-test' && ask.text !== '' ? `${ask.text}: ` : '';
}

/** A tray of which nobody knows what was in it. */
export const UNREAD = 'emptied unread: nobody knows how much, no balance can be drawn';

function isUnread({ quantity, bound }: Reading): boolean {
  return bound === 'at-least' && quantity.value === 0 && dimensionOf(quantity.unit) === 'volume';
}

/** `0.3 V, unit assumed`; `at least 2 GΩ`. */
export function readingText(reading: Reading): string {
  const bound = reading.bound === 'at-least' ? 'at least ' : '';
  const assumed = reading.assumedUnit && reading.quantity.unit !== 'pcs' ? ', unit assumed' : '';
  return `${bound}${amount(reading.quantity)}${assumed}`;
}

function quantityAt(readings: readonly Reading[], at: number): string {
  const reading = readings[at];
  return reading === undefined ? '(none)' : amount(reading.quantity);
}
