import type { Input } from '../../job/input.js';
import type { DeskView } from './desk-view.js';
import type { Ledger } from './ledger.js';
import { Order } from './order.js';
import { instantOf, placeOf } from './place.js';
import { VIA } from './rooms.js';
import type { Said } from './said.js';

/** Settles once it is on disk; throws when it cannot be: then nothing may be acknowledged. */
export type Give = (said: Said, bay: string) => Promise<void>;

/** Makes an input of what somebody said or did for a bay, and brings it to the desk. */
export function giver(desk: DeskView, ledger: Ledger): Give {
  const order = new Order(desk);
  const gateAsked = (bay: string) => {
    const step = desk.jobOf(bay)?.asked?.step;
    return desk.flowOf(bay)?.steps.some(({ id, kind }) => id === step && kind === 'gate') ?? false;
  };
  return ({ key, stamp, who, marks, body, late }, bay) => {
    const job = desk.jobOf(bay);
    const here = job === null || ledger.threadOf(job.id) !== null;
    const input: Input = {
      key,
      bay,
      by: who.by,
      name: who.name,
      via: VIA,
      saidAt: instantOf(stamp),
      // Words older than the outage pass no gate, nor do words said here of a job that lives elsewhere. Everything else
      // had seen what stood there when it was said: an answer may not fall on a question that came later.
      seen: !here || (late && gateAsked(bay)) ? null : placeOf(stamp),
      marks,
      body,
    };
    return order.add(input, placeOf(stamp));
  };
}
