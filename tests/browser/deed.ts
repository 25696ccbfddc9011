import type { Flow } from '../../src/flow/flow.js';
import type { Body } from '../../src/job/input.js';
import type { Job } from '../../src/job/job.js';
import { worldOf } from '../../src/shop/world.js';
import { rightAnswer } from '../crew/crew.js';
import { crewOf, fieldAnswer } from '../desk/crew.js';
import type { Workshop } from './workshop.js';

export type Deed = { readonly by: string; readonly body: Body };

/** What a good crew does next: who, and the words or the photo. Null: only time can help. */
export function nextDeed(shop: Pick<Workshop, 'register' | 'clock'>, job: Job, flow: Flow): Deed | null {
  const world = worldOf(shop.register, {
    now: shop.clock.now(),
    elsewhere: new Map(),
    standbyElsewhere: new Map(),
    draw: 0,
  });
  if (job.checkIn?.askedAt != null && job.standby !== null)
    return { by: job.standby, body: { is: 'text', text: 'here' } };
  const said = rightAnswer(job, flow, world, crewOf(shop.register, job));
  return said === null ? null : { by: said.by, body: fieldAnswer(job, flow, said) };
}

/** Keys of the page that say the same as what the crew would type. */
const KEYS: Readonly<Record<string, string>> = { done: 'OK', yes: 'Yes', here: 'Here', resume: 'Resume' };

/** The label under which a page would have a key for these words, if it has one. */
export function labelFor(words: string): string {
  return KEYS[words] ?? words.charAt(0).toUpperCase() + words.slice(1).replaceAll('-', ' ');
}
