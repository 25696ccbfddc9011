import type { Json, RegisterChange } from '../shop/change.js';
import type { RegisterFault } from '../shop/fault.js';
import type { Slip } from '../talk/register-talk.js';
import type { Consequence } from './register-slip.js';

/**
 * What words in the foreman's thread were answered, in codes: the shop journal keeps it, and it is said anew when a crash
 * kept it from being told. A new answer gets an entry here and its words in `office-saying.ts`.
 */
export type OfficeAnswer =
  | { readonly is: 'board' }
  | { readonly is: 'help' }
  /** The end-of-day post, the morning post or the due list, as things stand now. */
  | DayAnswer
  /** Only the foreman and deputies may; the ids of those who can now. */
  | { readonly is: 'foreman-does'; readonly foremen: readonly string[] }
  | { readonly is: 'not-registered' }
  | { readonly is: 'not-understood'; readonly said: string; readonly nearest: string | null }
  | { readonly is: 'write-anew' }
  /** `told`: the bay's own news of it stands in this thread already. */
  | { readonly is: 'passed-on'; readonly bay: string; readonly words: string; readonly told: boolean }
  /** What only who stands in the bay may say. */
  | { readonly is: 'not-from-here'; readonly bay: string; readonly what: 'gate' | 'start' }
  | { readonly is: 'stop'; readonly bays: readonly string[]; readonly danger: string | null }
  /** A change of the register, echoed: it is made after a yes of the same person. */
  | {
      readonly is: 'proposed';
      readonly words: string;
      readonly changes: readonly RegisterChange[];
      readonly consequence: Consequence | null;
      /** Why it is echoed: at first, or once more because the yes came late, unseen, or to what has changed since. */
      readonly why: 'first' | 'late' | 'unseen' | 'moved';
    }
  | { readonly is: 'slip'; readonly slip: Slip }
  /** The register's own check is against it, or a fault of a hand edit is in the way. */
  | { readonly is: 'faults'; readonly faults: readonly RegisterFault[] }
  /** A change made before it is not in its document yet. */
  | { readonly is: 'wait' }
  /** Agreed: from here on the change is made, after a crash too. */
  | { readonly is: 'changed'; readonly changes: readonly RegisterChange[] }
  | { readonly is: 'dropped' }
  | { readonly is: 'nothing-waits' }
  /** An agreed change that was not made: what stands there was edited by hand meanwhile. `mark`: its line. */
  | {
      readonly is: 'clash';
      readonly mark: string;
      readonly changes: readonly RegisterChange[];
      readonly stands: Json;
    }
  /** An agreed change that its document did not take at first is in it now. */
  | { readonly is: 'written'; readonly changes: readonly RegisterChange[] }
  /** Documents were edited by hand: taken over, or refused while the ones before stay in force. */
  | { readonly is: 'edited'; readonly changes: readonly RegisterChange[] }
  | { readonly is: 'edit-refused'; readonly faults: readonly RegisterFault[] };

/** What is read from the journals of the day. */
export type DayAnswer = { readonly is: 'day' } | { readonly is: 'morning' } | { readonly is: 'due' };
