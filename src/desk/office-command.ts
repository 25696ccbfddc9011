import type { Input } from '../job/input.js';
import type { Register } from '../shop/register.js';
import type { Slip } from '../talk/register-talk.js';
import type { OfficeAnswer } from './office-answer.js';
import type { ChangeAsked, Wanted } from './register-slip.js';

/**
 * Something that can be said in the foreman's thread. To add one: a file with a constant of this type, an entry in
 * `office-commands.ts`, its answer in `office-answer.ts` and the answer's words in `office-saying.ts`. A change of the
 * register needs none of the last two: it is echoed, and made after a yes, like all others.
 */
export type OfficeCommand = {
  /** The words it may begin with, lower case. */
  readonly words: readonly string[];
  /** Other messages that are meant for it, by the register: `mara 3S until …` begins with a person. */
  readonly claims?: (text: string, register: Register) => boolean;
  /** How it is typed, and what it does, for `help`. */
  readonly shape: string;
  readonly does: string;
  /** `registered` only reads, and is open to everybody in the register. */
  readonly who: 'registered' | 'foreman';
} & (
  | {
      /** Decides. Nothing is said and nothing is changed before the answer is on disk. */
      readonly answer: (asked: OfficeAsked) => OfficeAnswer | Promise<OfficeAnswer>;
    }
  | {
      /** What it would change in the register, or why nothing. The same words on the same register give the same. */
      readonly change: (asked: ChangeAsked) => Wanted | Slip;
    }
);

/** A message that a command is to answer, and what it may look at. */
export type OfficeAsked = {
  readonly input: Input;
  /** The whole message. */
  readonly text: string;
  /** What follows the command's own word. */
  readonly rest: string;
  readonly register: Register;
  /** Instant, ms since 1970. */
  readonly now: number;
};
