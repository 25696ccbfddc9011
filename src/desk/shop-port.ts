import type { Due } from '../job/event.js';
import type { Json, RegisterChange } from '../shop/change.js';
import type { RegisterFault } from '../shop/fault.js';
import type { CyclesUsed } from '../shop/folder.js';
import type { DueEntry, JobTime } from '../shop/kept.js';
import type { Register } from '../shop/register.js';

/** What the desk needs of the register. */
export type ShopPort = {
  /** The register as it was last good. */
  register(): Register;
  /** The next job id, `SITE-2603-014`; the same input key gets the same id again. */
  nextJobId(key: string, month: string, isTaken: (id: string) => Promise<boolean>): Promise<string>;
  /** Takes a piece of gear out of use, with the reason. Doing it again changes nothing. */
  takeOut(gear: string, reason: string): Promise<void>;
  /** The faults that changes of one document would make, or that are in the way of any; none when they can be made. */
  would(changes: readonly RegisterChange[]): Promise<readonly RegisterFault[]>;
  /** Makes changes of one document that were agreed in words, once for each `mark`, the journal's line that agreed them. */
  apply(changes: readonly RegisterChange[], mark: string): Promise<Made>;
  /** Adds to a wrench's cycles what line `seq` of a job used. Doing it again changes nothing. */
  countCycles(used: CyclesUsed): Promise<void>;
  /** What was edited by hand since the last look, or the faults of an edit that is not taken over; null for nothing. */
  look(): Promise<Edited | null>;
  /**
   * Files what an ended job makes due, the job in its car's history and among those of its day, and how long its stages
   * took. Doing it again changes nothing.
   */
  fileEnded(ended: EndedJob): Promise<void>;
  /** The jobs filed that ended on a day of the workshop, `YYYY-MM-DD`. */
  endedOn(date: string): Promise<readonly string[]>;
  /** How long the stages of the last jobs of a flow took. */
  timesOf(flow: string): Promise<readonly JobTime[]>;
  /** Everything due up to a day that was not settled since, earliest first. */
  dueUntil(date: string): Promise<readonly DueEntry[]>;
  /** What only a distance rules. */
  dueUndated(): Promise<readonly DueEntry[]>;
};

/** What came of a change: a `clash` leaves what was edited by hand since it was agreed. */
export type Made =
  | { readonly is: 'done' }
  | { readonly is: 'clash'; readonly stands: Json }
  | { readonly is: 'faults'; readonly faults: readonly RegisterFault[] };

/** A look at the documents. It is seen again with the next look until `told` is called. */
export type Edited = {
  readonly changes: readonly RegisterChange[];
  readonly faults: readonly RegisterFault[];
  told(): void;
};

export type EndedJob = {
  readonly job: string;
  readonly seq: number;
  readonly flow: string;
  readonly bay: string;
  readonly registration: string;
  readonly startedAt: number;
  readonly endedAt: number;
  /** The day of the workshop on which it ended, `YYYY-MM-DD`. */
  readonly endedOn: string;
  /** Null where the job was called off: what was not finished says nothing about what is usual. */
  readonly stages: JobTime['stages'] | null;
  readonly how: 'done' | 'called-off';
  readonly due: readonly Due[];
};
