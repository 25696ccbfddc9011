import type { FieldType, LapseCause, ValueSource } from '../flow/flow.js';
import type { FactId, FactValue, StepId } from '../rule/rules.js';
import type { Quantity } from '../units/quantity.js';
import type { Danger } from './heard.js';
import type { Refusal } from './refusal.js';
import type { TightenPlan } from './tighten.js';
import type { EmergencyNumber, Gear } from './world.js';

/**
 * What was concluded from an input or from time. Events hold codes and values, never rendered words, and all
 * that evidence needs: the limits that applied, the gear and its dates, the words typed. Start-up folds them
 * and never judges again.
 */

/** A fact and what it became. `at` is the instant of a clock, ms since 1970. */
export type FactChange = {
  readonly fact: FactId;
  readonly to: FactValue;
  readonly at?: number;
  /** The clock starts with this change. */
  readonly starts?: true;
  /** A cure that does not go on for now; without it, it goes on. */
  readonly stopped?: Stopped;
};

/** Why a bead does not cure, as a code, and since when. */
export type Stopped = { readonly because: string; readonly since: number };
type Changes = { readonly changes: readonly FactChange[] };

export type Value = {
  readonly quantity: Quantity | null;
  /** Values that are words: a bolt pattern, a variant. */
  readonly text: string | null;
  /** The manual, sheet or register entry it was taken from. */
  readonly reference: string;
  readonly enteredBy: string;
};

/** A number of the judgement, with the limits that applied. */
export type Figure = {
  readonly name: string;
  readonly quantity: Quantity;
  readonly min?: Quantity;
  readonly max?: Quantity;
  /** Code of the rule it rests on. */
  readonly rule?: string;
};

export type Answer =
  | { readonly ask: 'confirm'; readonly photo: string | null }
  | { readonly ask: 'reading'; readonly name: string; readonly reading: Reading }
  | { readonly ask: 'dead-test'; readonly name: string; readonly readings: readonly Reading[] }
  | { readonly ask: 'values'; readonly name: string; readonly readings: readonly Reading[] }
  | { readonly ask: 'choice'; readonly choice: string; readonly option: string }
  | {
      readonly ask: 'field';
      readonly name: string;
      readonly type: FieldType;
      readonly text: string;
      readonly photo: string | null;
    }
  | { readonly ask: 'gear'; readonly gear: readonly GearUsed[] }
  | { readonly ask: 'standby'; readonly person: string }
  | { readonly ask: 'second-look' }
  | { readonly ask: 'word'; readonly word: string };

export type Reading = {
  readonly quantity: Quantity;
  readonly assumedUnit: boolean;
  readonly bound: 'at-least' | null;
  readonly at: number;
};

/** One sighting of what is watched, as it was said. */
export type Sighted =
  | { readonly is: 'stands'; readonly reading: Reading; readonly bubbles: boolean | null }
  | { readonly is: 'added'; readonly reading: Reading }
  /** Stood at this when it was emptied; null where nobody has read it. */
  | { readonly is: 'emptied'; readonly reading: Reading | null }
  | { readonly is: 'nothing-more' }
  | { readonly is: 'bubbles'; readonly seen: boolean };

/**
 * `settled` closes the step. `running` goes on, `not-falling` goes on and calls the foreman, `bubbles-open` is still but
 * for the question about bubbles, `failed` cannot settle any more.
 */
export const WATCH_VERDICTS = ['settled', 'running', 'not-falling', 'bubbles-open', 'failed'] as const;
export type WatchVerdict = (typeof WATCH_VERDICTS)[number];

/** What one sighting came to, worked out once, when it was heard. */
export type WatchOutcome = {
  readonly verdict: WatchVerdict;
  /** All that has run out, or where it stands. */
  readonly total: Reading;
  /** Since the sighting before; null at the first and over a tray that nobody read. */
  readonly rate: Quantity | null;
  /** What will have run out in the end, and within which bounds, where the tail can be told. */
  readonly tail: { readonly end: Quantity; readonly from: Quantity; readonly to: Quantity } | null;
};

/** A piece of gear as it was when it was used. */
export type GearUsed = Pick<Gear, 'id' | 'kind' | 'label' | 'serial' | 'tested' | 'months' | 'gloveClass'> & {
  /** The last day it may be used, `YYYY-MM-DD`. */
  readonly until: string;
};

/** Competence as it was when it counted. */
export type Competence = {
  readonly person: string;
  readonly name: string;
  readonly level: string;
  readonly until: string;
};

export type Verdict = 'passed' | 'again' | 'hold' | 'stop';

/** Why facts went in doubt. */
export type DoubtCause =
  | LapseCause
  | 'silence'
  | 'pause'
  /** Nobody was heard over the end of a shift, though nobody had said that they leave. */
  | 'unattended'
  | 'hold'
  | 'stop'
  | 'hand-over'
  | 'park'
  | 'catch-up'
  | 'check-in'
  | 'new-person'
  | 'correction'
  | 'tester-failed';

export const MODES = [
  'working',
  'paused',
  'held',
  'stopped',
  'handing-over',
  'parking',
  'parked',
  'catching-up',
  'done',
  'called-off',
] as const;
export type Mode = (typeof MODES)[number];

type Who = { readonly by: string; readonly name: string; readonly at: number };

export type Event =
  | {
      readonly type: 'job-started';
      readonly job: string;
      readonly number: string;
      readonly flow: string;
      readonly bundle: string;
      readonly bay: string;
      readonly car: Car;
      readonly zone: string;
      readonly holder: string;
      readonly name: string;
      readonly at: number;
      readonly values: Readonly<Record<string, Value>>;
      readonly choices: Readonly<Record<string, string>>;
      readonly given: readonly FactId[];
      /** The workshop's own numbers, for the stop card. */
      readonly emergency: readonly EmergencyNumber[];
    }
  | ({
      readonly type: 'step-shown';
      readonly step: StepId;
      readonly front: StepId | null;
      readonly visit: number;
      readonly at: number;
      /** The gate word drawn for this visit. */
      readonly word: string | null;
      readonly why: 'next' | 'detour' | 'afresh';
      /** What a tightening step comes to with this car and the wrench in use. */
      readonly plan: TightenPlan | null;
    } & Changes)
  | ({
      readonly type: 'answered';
      readonly step: StepId;
      readonly visit: number;
      readonly ask: number;
      readonly answer: Answer;
      /** Readings said by the standby for the holder, whose hands are not free. */
      readonly saidFor: string | null;
    } & Who)
  /** A sighting of what is watched, and what it came to with those before it. */
  | ({
      readonly type: 'watched';
      readonly step: StepId;
      readonly visit: number;
      /** The name of what is watched. */
      readonly of: string;
      readonly sighted: Sighted;
      readonly words: string;
      readonly saidAt: number;
      readonly outcome: WatchOutcome;
      readonly saidFor: string | null;
    } & Who)
  /** The last sighting was misread or misheard, and counts no more. */
  | ({ readonly type: 'watched-taken-back'; readonly step: StepId; readonly of: string } & Who)
  /** The bot asks again what it watches; `times` in a row without an answer, the showing included. */
  | {
      readonly type: 'watch-asked';
      readonly step: StepId;
      readonly of: string;
      readonly visit: number;
      readonly times: number;
      readonly at: number;
    }
  /** The last answer of the open visit was wrong: its question is open again. */
  | ({ readonly type: 'answer-taken-back'; readonly step: StepId; readonly ask: number } & Who)
  | {
      readonly type: 'judged';
      readonly step: StepId;
      readonly verdict: Verdict;
      readonly because: string;
      readonly figures: readonly Figure[];
      readonly at: number;
    }
  | ({
      readonly type: 'step-completed';
      readonly step: StepId;
      readonly visit: number;
      readonly shownAt: number;
      readonly gate: GateEvidence | null;
      readonly gear: readonly GearUsed[];
      readonly choice: Readonly<Record<string, string>> | null;
    } & Who &
      Changes)
  | {
      readonly type: 'step-closed';
      readonly step: StepId;
      readonly front: StepId | null;
      readonly facts: readonly FactId[];
      readonly at: number;
    }
  | {
      readonly type: 'steps-reopened';
      readonly steps: readonly StepId[];
      readonly fact: FactId | null;
      readonly because: DoubtCause | 'gone' | 'value' | 'choice';
      readonly forStep: StepId;
      /** Questions until `forStep` is shown, if all goes well. */
      readonly detour: number | null;
      readonly at: number;
    }
  | {
      readonly type: 'visit-ended';
      readonly step: StepId;
      readonly because: 'silence' | 'lapse' | 'correction';
      readonly at: number;
    }
  | {
      readonly type: 'look-asked';
      readonly facts: readonly FactId[];
      readonly forStep: StepId;
      readonly visit: number;
      /** One of the facts is not as it was: which one? */
      readonly which: boolean;
      readonly at: number;
    }
  | ({ readonly type: 'looked'; readonly facts: readonly FactId[]; readonly found: boolean } & Who & Changes)
  | {
      readonly type: 'waiting';
      readonly step: StepId;
      readonly facts: readonly FactId[];
      readonly until: number;
      readonly at: number;
    }
  | ({
      readonly type: 'doubted';
      readonly cause: DoubtCause;
      readonly at: number;
      /** When the holder was last heard before, where that is the cause. */
      readonly since?: number;
    } & Changes)
  | ({ readonly type: 'undone'; readonly facts: readonly FactId[] } & Who & Changes)
  /** A calculation found what ends facts beyond a look: coolant that may be in the pack. */
  | ({
      readonly type: 'alarmed';
      readonly step: StepId;
      readonly because: string;
      readonly facts: readonly FactId[];
      readonly at: number;
    } & Changes)
  /** The foreman: what came out of the coolant circuit and what went in cannot be told. It never counts as balanced. */
  | ({
      readonly type: 'balance-left';
      readonly step: StepId;
      readonly reason: string;
      /** What is known to have gone in by then, ml; null where nobody noted it. */
      readonly inMl: number | null;
    } & Who)
  | ({ readonly type: 'deadline-passed'; readonly fact: FactId; readonly at: number } & Changes)
  | ({ readonly type: 'clock-due'; readonly fact: FactId; readonly at: number } & Changes)
  | ({ readonly type: 'clock-moved'; readonly because: 'air' | 'value'; readonly at: number } & Changes)
  | ({
      readonly type: 'refused';
      readonly refusal: Refusal;
      readonly step: StepId | null;
      /** Whether a foreman sees it in the day's figures: habit words at gates do, a typing slip does not. */
      readonly counts: boolean;
    } & Who)
  | ({ readonly type: 'standby-named'; readonly person: string } & Who)
  | { readonly type: 'check-in-asked'; readonly person: string; readonly at: number }
  | { readonly type: 'checked-in'; readonly person: string; readonly at: number }
  | {
      readonly type: 'still-there-asked';
      readonly fact: FactId;
      readonly lapsesAt: number;
      readonly at: number;
    }
  | { readonly type: 'heard-from'; readonly person: string; readonly at: number }
  | { readonly type: 'shift-noted'; readonly endsAt: number | null; readonly at: number }
  | ({ readonly type: 'mode-changed'; readonly to: Mode; readonly from: Mode; readonly reason: string } & Who)
  | ({ readonly type: 'stop-called'; readonly danger: Danger | null; readonly step: StepId | null } & Who)
  | ({
      readonly type: 'park-asked';
      readonly then: 'parked' | 'called-off';
      /** The stretch has to be brought to its landing first. */
      readonly landing: boolean;
    } & Who)
  | {
      readonly type: 'parking-begun';
      readonly choices: Readonly<Record<string, string>>;
      readonly shelved: readonly StepId[];
      readonly parkSteps: readonly StepId[];
      readonly at: number;
    }
  | {
      readonly type: 'parking-ended';
      readonly done: boolean;
      readonly open: readonly FactId[];
      readonly at: number;
    }
  | ({ readonly type: 'hand-over-offered'; readonly to: string; readonly toName: string } & Who)
  | ({
      readonly type: 'holder-changed';
      readonly from: string;
      readonly to: string;
      /** The old holder's lock is still on and comes off after the new one is on. */
      readonly locked: boolean;
      readonly competence: readonly Competence[];
      readonly at: number;
      readonly name: string;
    } & Changes)
  | ({ readonly type: 'old-lock-off'; readonly owner: string; readonly removed: string | null } & Who)
  /** An ordinary step is not done, on a foreman's word. */
  | ({ readonly type: 'step-left-out'; readonly step: StepId; readonly reason: string } & Who)
  | ({ readonly type: 'catch-up-offered'; readonly to: StepId; readonly foreman: boolean } & Who)
  | ({
      readonly type: 'caught-up';
      readonly to: StepId;
      readonly front: StepId | null;
      /** Steps passed over, not witnessed by the bot. */
      readonly closed: readonly StepId[];
      readonly agreed: readonly string[];
    } & Who &
      Changes)
  | ({
      readonly type: 'noted';
      readonly text: string;
      readonly photo: string | null;
      readonly step: StepId | null;
    } & Who)
  | ({ readonly type: 'air-logged'; readonly celsius: number; readonly percentRh: number } & Who)
  | { readonly type: 'figures-kept'; readonly figures: readonly Figure[]; readonly at: number }
  | { readonly type: 'value-missing'; readonly key: string; readonly step: StepId; readonly at: number }
  | ({
      readonly type: 'value-set';
      readonly key: string;
      readonly value: Value;
      readonly adopted: boolean;
    } & Who)
  | { readonly type: 'values-loaded'; readonly values: Readonly<Record<string, Value>>; readonly at: number }
  | ({ readonly type: 'told-about'; readonly what: ToldAbout } & Who)
  | { readonly type: 'told-danger'; readonly danger: string; readonly bay: string; readonly at: number }
  | { readonly type: 'told-gear'; readonly gear: string; readonly bay: string; readonly at: number }
  | {
      readonly type: 'told-value';
      readonly key: string;
      readonly value: Value | null;
      readonly bay: string;
      readonly at: number;
    }
  | ({ readonly type: 'gear-taken'; readonly gear: readonly GearUsed[] } & Who)
  /** Somebody outside the bay has to know or act. */
  | {
      readonly type: 'summoned';
      readonly what: Summons;
      readonly to: 'foreman' | 'shop';
      readonly detail: string;
      readonly at: number;
    }
  | ({
      readonly type: 'job-ended';
      readonly how: 'done' | 'called-off';
      readonly open: readonly FactId[];
      readonly due: readonly Due[];
    } & Who);

export const TOLD_ABOUT = ['where', 'why', 'list', 'help', 'numbers'] as const;
export type ToldAbout = (typeof TOLD_ABOUT)[number];

export const SUMMONS = [
  'stop',
  'danger-elsewhere',
  'hold',
  'gate-refused',
  'out-of-limits',
  'deadline',
  'check-in',
  'exposed',
  'stranger',
  'cure-stopped',
  'value-missing',
  'value-changed',
  'tester-out',
  'level',
  'lock',
  'not-falling',
  'watch-unanswered',
] as const;
export type Summons = (typeof SUMMONS)[number];

export type Car = {
  readonly registration: string;
  readonly model: string;
  readonly odometerKm: number | null;
  readonly kmPerYear: number | null;
};

/** What is next due, when and by which rule. `on` is null where only distance counts. */
export type Due = {
  readonly what: string;
  readonly on: string | null;
  readonly atKm: number | null;
  readonly rule: string;
};

export type GateEvidence = {
  readonly word: string;
  readonly words: string;
  readonly competence: Competence | null;
  readonly second: Competence | null;
  readonly gear: readonly GearUsed[];
  readonly visit: number;
  readonly shownAt: number;
};

export type { ValueSource };
