import type { Due } from '../job/event.js';
import type { Register } from '../shop/register.js';

/** What the desk needs of the register. */
export type ShopPort = {
  /** The register as it was last good. */
  register(): Register;
  /** The next job id, `SITE-2603-014`; the same input key gets the same id again. */
  nextJobId(key: string, month: string, isTaken: (id: string) => Promise<boolean>): Promise<string>;
  /** Takes a piece of gear out of use, with the reason. Doing it again changes nothing. */
  takeOut(gear: string, reason: string): Promise<void>;
  /** Files what an ended job makes due, and the job in its car's history. Doing it again changes nothing. */
  fileEnded(ended: EndedJob): Promise<void>;
};

export type EndedJob = {
  readonly job: string;
  readonly seq: number;
  readonly flow: string;
  readonly bay: string;
  readonly registration: string;
  readonly startedAt: number;
  readonly endedAt: number;
  readonly how: 'done' | 'called-off';
  readonly due: readonly Due[];
};
