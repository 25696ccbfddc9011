import type { Quantity } from '../units/quantity.js';
import type { Unit } from '../units/unit.js';

/**
 * What a message was understood to say, in the context of the step. Never "gate confirmed": a gate compares
 * the untouched text itself.
 */
export type Heard =
  /** ok, done, next, yes, a thumb: the ordinary good answer. */
  | { readonly heard: 'yes' }
  /** no, problem, not ok, can't. */
  | { readonly heard: 'no'; readonly rest: string }
  | { readonly heard: 'readings'; readonly numbers: readonly HeardNumber[] }
  /** Meter shows no number: OL, over range, blank, dashes. `atLeast` where the person said '> 2 GΩ'. */
  | { readonly heard: 'no-number'; readonly word: string }
  /** A sighting of what is watched that is more than a bare number. */
  | { readonly heard: 'sight'; readonly says: SightSaid }
  | { readonly heard: 'choice'; readonly option: string }
  | { readonly heard: 'text'; readonly text: string }
  /** A word that works everywhere, with what followed it. */
  | { readonly heard: 'word'; readonly word: GlobalWord; readonly rest: string }
  | { readonly heard: 'stop'; readonly danger: Danger | null }
  /** A stop word or a danger inside a sentence: asked back at once, neither obeyed nor ignored. */
  | { readonly heard: 'stop-maybe'; readonly danger: Danger | null }
  /** A report that a fact was undone, in the flow's own words. */
  | {
      readonly heard: 'undone';
      readonly facts: readonly string[];
      /** A stop word stood in the sentence besides. */
      readonly stopMaybe?: true;
    }
  /** `no, 30`: what was said before was wrong. */
  | { readonly heard: 'correction'; readonly to: Heard }
  | { readonly heard: 'unclear'; readonly because: Unclear; readonly detail: string };

/** A number as certain, its unit as said or not said. */
export type HeardNumber = {
  readonly value: number;
  /** Null when no unit was said: then the step's own is assumed, and echoed. */
  readonly unit: Unit | null;
  /** The meter showed no more than a bound: '> 2 GΩ', 'over 999 MΩ'. */
  readonly bound: 'at-least' | null;
};

/** `+30`, `emptied at 200`, `nothing more`, `85, no bubbles`, `still running`. */
export type SightSaid =
  | { readonly is: 'stands'; readonly number: HeardNumber; readonly bubbles: boolean }
  | { readonly is: 'added'; readonly number: HeardNumber }
  /** Without a number it is asked back, unless nobody has read it. */
  | { readonly is: 'emptied'; readonly number: HeardNumber | null; readonly unread: boolean }
  | { readonly is: 'nothing-more' }
  | { readonly is: 'bubbles'; readonly seen: boolean }
  | { readonly is: 'running' };

export type { Quantity };

export const DANGERS = ['fire', 'smoke', 'shock', 'hurt', 'man-down', 'gas'] as const;
export type Danger = (typeof DANGERS)[number];

export const GLOBAL_WORDS = [
  'where',
  'why',
  'list',
  'note',
  'pause',
  'resume',
  'hold',
  'release',
  'help',
  'park',
  'hand-over',
  'take',
  'away',
  'here',
  'back',
  'standby',
  'catch-up',
  'agree',
  'adopt',
  'call-off',
  'air',
  'correct',
  'balance-unknown',
  'value',
  'gear',
  'numbers',
  'seen',
  'lock-off',
  'lock-removed',
  'leave-out',
] as const;
export type GlobalWord = (typeof GLOBAL_WORDS)[number];

/** Why a message was asked back. */
export const UNCLEAR = [
  'two-numbers',
  'letter-o',
  'leading-zero',
  'wrong-unit',
  'ambiguous-unit',
  'not-a-number',
  'back-which',
  'empty',
  'which-option',
  'which-word',
  /** A look was answered by something else. */
  'yes-or-no',
  /** A thumb on a post whose question is not the open one any more. */
  'old-post',
  'kilo-or-not',
  'how-many',
  'no-unit',
  'not-yet-or-problem',
  'correct-which',
  'not-a-date',
  /** The parts of a dead test were named in another order than they are measured in. */
  'out-of-order',
  /** Words that report an undoing, with a 'not', an 'if' or a question about them. */
  'undone-or-not',
] as const;
export type Unclear = (typeof UNCLEAR)[number];
