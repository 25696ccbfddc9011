import type { GearKind } from '../flow/flow.js';
import type { Quantity } from '../units/quantity.js';
import type { Unit } from '../units/unit.js';
import type { Mode } from './event.js';
import type { Danger, Unclear } from './heard.js';

/** Why an answer was not taken. The words for each are in `talk/`. */
export type Refusal =
  | { readonly why: 'not-holder'; readonly holder: string }
  | { readonly why: 'not-registered' }
  | { readonly why: 'not-foreman' }
  | { readonly why: 'stale' }
  | { readonly why: 'not-delivered' }
  | { readonly why: 'wrong-word'; readonly near: boolean }
  | { readonly why: 'habit-word' }
  | { readonly why: 'tap' }
  | { readonly why: 'marked'; readonly mark: 'edited' | 'forwarded' | 'quoted' | 'bot' | 'attachment' }
  | { readonly why: 'readings-first' }
  | { readonly why: 'second-first' }
  | { readonly why: 'own-witness' }
  | { readonly why: 'not-second'; readonly second: string | null }
  | {
      readonly why: 'level';
      readonly person: string;
      readonly level: string;
      readonly until: string | null;
      /** Names of those who have it in date and no work elsewhere. Not there in lines of the first days. */
      readonly have?: readonly string[];
    }
  | {
      readonly why: 'gear';
      readonly kind: GearKind;
      readonly id: string | null;
      readonly because: string;
      readonly instead: readonly string[];
    }
  | { readonly why: 'shift-end'; readonly needMinutes: number; readonly leftMinutes: number }
  | { readonly why: 'no-stop' }
  /** Somebody wants a step left out; a foreman is told why not this one. */
  | { readonly why: 'left-out'; readonly because?: KeptIn }
  | { readonly why: 'waiting'; readonly until: number | null }
  | { readonly why: 'nothing-asked' }
  | { readonly why: 'value-missing'; readonly key: string }
  | { readonly why: 'held'; readonly mode: Mode }
  | { readonly why: 'mode'; readonly mode: Mode }
  | { readonly why: 'photo-first' }
  | { readonly why: 'unknown-person'; readonly said: string }
  | { readonly why: 'unknown-gear'; readonly said: string; readonly kinds: readonly GearKind[] }
  | { readonly why: 'unknown-value'; readonly said: string }
  | { readonly why: 'out-of-date'; readonly what: string; readonly on: string }
  | { readonly why: 'standby-elsewhere'; readonly bay: string }
  | { readonly why: 'reason-needed' }
  | { readonly why: 'source-needed' }
  | { readonly why: 'asked-afresh' }
  | { readonly why: 'own-hold' }
  | { readonly why: 'old-lock'; readonly owner: string }
  | { readonly why: 'differs'; readonly said: string; readonly before: string }
  | { readonly why: 'wrong-kind'; readonly key: string; readonly said: string }
  | { readonly why: 'window'; readonly minutes: number }
  | {
      readonly why: 'implausible';
      readonly value: number;
      readonly unit: Unit;
      readonly from: number;
      readonly to: number;
    }
  | { readonly why: 'unclear'; readonly because: Unclear; readonly detail: string }
  | { readonly why: 'stop-maybe'; readonly danger: Danger | null }
  /** Only a reading settles what is watched: no ok, no thumb. */
  | { readonly why: 'not-settled'; readonly until: string }
  /** Less than before, and nobody said that the tray was emptied. */
  | { readonly why: 'went-down'; readonly stood: Quantity }
  | { readonly why: 'emptied-at' }
  /** Said before a sighting that is taken already. */
  | { readonly why: 'said-before'; readonly last: number }
  | { readonly why: 'edit-kept'; readonly kept: string }
  | { readonly why: 'word-elsewhere'; readonly bay: string };

/** Why a step stays in: it is a gate, makes or ends a fact and so on; `own` is a foreman's own job. */
export type KeptIn =
  | 'own'
  | 'gate'
  | 'tightens'
  | 'measures'
  | 'waits'
  | 'makes'
  | 'ends'
  | 'decides'
  | 'counts'
  | 'kept'
  | 'park'
  | 'hazard';
