import type { FactId, FactRule, Rules, StepId, StepRule } from '../rule/rules.js';
import type { Quantity } from '../units/quantity.js';
import type { Unit } from '../units/unit.js';

/**
 * A flow as the engine runs it: checked, with all flows it uses written out into one route. What an author
 * writes is `FlowFile` (`grammar.ts`); `compile.ts` turns the one into the other or into faults.
 */
export type Flow = {
  readonly id: string;
  readonly title: string;
  /** A person may start it by itself. */
  readonly start: boolean;
  /** Its steps are the route of parking. */
  readonly park: boolean;
  /** SHA-256 over the texts of the flow, all flows it uses, the hazard table and the engine's format. */
  readonly bundle: string;
  /** What a using flow must bring; a flow with these cannot be started by itself. */
  readonly given: readonly FactId[];
  /** Openings that this flow leaves open on purpose. */
  readonly leaves: readonly FactId[];
  readonly facts: ReadonlyMap<FactId, Fact>;
  /** The job's route, then the route of parking. */
  readonly steps: readonly Step[];
  readonly choices: ReadonlyMap<string, Choice>;
  readonly hazards: ReadonlyMap<string, Hazard>;
  /** Competence levels, lowest first; a higher one covers the lower. */
  readonly levels: readonly string[];
  readonly rules: Rules;
};

/** Where a value comes from: the vehicle's profile, the shop's own figures, the sealant's data sheet, the lift. */
export const VALUE_SOURCES = ['vehicle', 'shop', 'sealant', 'lift'] as const;
export type ValueSource = (typeof VALUE_SOURCES)[number];

/** A value by name. Its key in a job is `SOURCE.NAME`. */
export type ValueRef = { readonly from: ValueSource; readonly name: string };
/** A figure that a judgement of this job has computed, such as the open time from the air at the bench. */
export type FigureRef = { readonly from: 'figure'; readonly name: string };
/** A reading of this job, by name. */
export type ReadingRef = { readonly from: 'reading'; readonly name: string };
export type Amount = Quantity | ValueRef;

/**
 * What, apart from hold, stop, handover, park and a long pause, puts a proof in doubt: the holder goes away or acts
 * in another bay, the standby goes away, acts elsewhere or does not answer, the shift ends, gear is hurt or changed,
 * the tester turns out not to have been good.
 */
export const LAPSE_CAUSES = ['away', 'elsewhere', 'standby', 'shift-end', 'gear', 'tester'] as const;
export type LapseCause = (typeof LAPSE_CAUSES)[number];

export type Fact = FactRule & {
  /** The question that lifts a doubt about a state; yes is never the bad answer. */
  readonly look: string | null;
  /** What the fact is called in a post: 'own lock on'. */
  readonly label: string;
  /** Words that report at any time that it was undone. */
  readonly undoneBy: readonly string[];
  readonly lapse: { readonly silenceMinutes: number | null; readonly on: readonly LapseCause[] };
  /** How long a clock takes. */
  readonly time: Quantity | ValueRef | FigureRef | null;
  /** The named standby says `here` this often while one of these openings is not gone. */
  readonly checkIn: { readonly everyMinutes: number; readonly open: readonly FactId[] } | null;
  /** Hangs on the person, like a lock: gone for whoever takes the job over. */
  readonly personal: boolean;
  /** What a stretch without a stop takes in all, by its parts; none where nobody says. */
  readonly lasts: readonly ValueRef[];
  /** Printed each time the fact is said to stand: 'PACK INSIDE STILL LIVE'. */
  readonly warning: string | null;
  /** How to make still before a detour away from where this fact was needed. */
  readonly makeStill: string | null;
};

export type Choice = {
  readonly name: string;
  /** From the vehicle's profile, or made by a step of the flow. */
  readonly from: 'vehicle' | 'step';
  readonly options: readonly string[];
};

export type Hazard = {
  readonly id: string;
  readonly label: string;
  /** Facts that every step with this hazard must need; each entry may be any of several. */
  readonly demands: readonly (readonly (readonly FactId[])[])[];
  /** Competence of whoever does the step. */
  readonly level: string | null;
  /** Whether gates of this hazard need a second person, and of which level. */
  readonly second: { readonly level: string | null } | null;
  /** Kinds of gear that must be in use, in date, in range and of the right class. */
  readonly gear: readonly GearKind[];
  /** First actions on the stop card while a step with this hazard is shown. */
  readonly stop: readonly string[];
};

export const GEAR_KINDS = [
  'gloves',
  'tester',
  'source',
  'wrench',
  'insulation-tester',
  'gauge',
  'lift',
  'ohmmeter',
] as const;
export type GearKind = (typeof GEAR_KINDS)[number];

export const STEP_KINDS = ['do', 'gate', 'measure', 'tighten', 'wait', 'watch', 'choose', 'record'] as const;
export type StepKind = (typeof STEP_KINDS)[number];

export type Limits =
  | { readonly is: 'between'; readonly min: Amount | null; readonly max: Amount | null }
  /** The same number as an earlier reading or count: what went in comes out. */
  | { readonly is: 'same'; readonly as: string }
  /** Bands of a dead test: near zero passes, up to the hazard line waits, above it stops. */
  | { readonly is: 'nil' };

export type Option = {
  readonly say: string;
  /** Other words that mean it. */
  readonly also: readonly string[];
  /** The reason for the hold that this answer brings; null where the job goes on. */
  readonly hold: string | null;
  /** It goes on only where this value names it; the reason for the hold where it does not. Null: with every vehicle. */
  readonly namedIn: { readonly ref: ValueRef; readonly hold: string } | null;
};

export const FIELD_TYPES = ['text', 'serial', 'batch', 'date', 'count', 'photo'] as const;
export type FieldType = (typeof FIELD_TYPES)[number];

/** One question of a step. They are put one after the other, in this order. */
export type Ask =
  | { readonly ask: 'confirm' }
  | {
      readonly ask: 'reading';
      readonly name: string;
      readonly text: string;
      readonly unit: Unit;
      readonly limits: Limits | null;
      /** Outside it a slip of the thumb is likelier than the reading. */
      readonly plausible: { readonly from: number; readonly to: number } | null;
      readonly by: 'holder' | 'second';
    }
  /** Prove, three poles, prove: exactly five numbers in one window. */
  | {
      readonly ask: 'dead-test';
      readonly name: string;
      /** Which of several is meant; empty where the step has one. */
      readonly text: string;
      readonly source: ValueRef;
      readonly pack: ValueRef;
    }
  /** One value for each bolt of the layout. */
  | { readonly ask: 'values'; readonly name: string; readonly text: string; readonly unit: Unit }
  /** One reading again and again, until the settling calculation `until` of `calc.ts` says that it is over. */
  | {
      readonly ask: 'watch';
      readonly name: string;
      readonly text: string;
      readonly unit: Unit;
      readonly plausible: { readonly from: number; readonly to: number } | null;
      readonly until: string;
    }
  | { readonly ask: 'choice'; readonly choice: string; readonly options: readonly Option[] }
  | {
      readonly ask: 'field';
      readonly name: string;
      readonly text: string;
      readonly type: FieldType;
      /** The choice that the text has to say again, where the job has made it. */
      readonly as?: string;
    }
  /** Which pieces of gear are used from here on, by their ids. */
  | { readonly ask: 'gear'; readonly kinds: readonly GearKind[] }
  /** Who stands by, by name. */
  | { readonly ask: 'standby' }
  /** The second person's own look, answered with the word `seen`. */
  | { readonly ask: 'second-look'; readonly text: string }
  | { readonly ask: 'word'; readonly words: readonly string[] };

export type Tighten = {
  readonly torque: ValueRef;
  readonly bolts: ValueRef;
  /** `cross` or `spiral`, from the profile. */
  readonly pattern: ValueRef;
  readonly stage: 'first' | 'rest' | 'all';
};

export type Step = StepRule & {
  readonly kind: StepKind;
  readonly text: string;
  /** Lines shown below the text: what to know before hands go in. */
  readonly card: readonly string[];
  readonly hazard: string;
  readonly asks: readonly Ask[];
  /** The calculation that judges the readings of this step, by its name in `calc.ts`. */
  readonly judge: string | null;
  readonly outOfLimits: 'hold' | 'again';
  /** Facts that the alarm of its calculation ends; only their makers bring them back. */
  readonly alarm: readonly FactId[];
  readonly tighten: Tighten | null;
  /** Gear whose dates, range and class this step checks. */
  readonly gear: readonly GearKind[];
  /** A photo is asked with the answer. */
  readonly photo: boolean;
  /** What else can be done while this step waits. */
  readonly meanwhile: readonly string[];
  /** The part of the job it belongs to, for time per stage: the flow it came from. */
  readonly stage: string;
  /** Where it was written, for faults. */
  readonly file: string;
  readonly line: number;
};

export type { FactId, StepId };
