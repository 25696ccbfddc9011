import type { Receiver } from '../../desk/port.js';
import type { Flow } from '../../flow/flow.js';
import type { Job } from '../../job/job.js';

/** What this channel asks of the desk. */
export type DeskView = Receiver & {
  jobOf(bay: string): Job | null;
  flowOf(bay: string): Flow | null;
  bays(): readonly { readonly id: string; readonly label: string }[];
};
