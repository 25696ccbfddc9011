import type { FactId, FactValue, Route, StepId } from '../rule/rules.js';
import type { Quantity } from '../units/quantity.js';
import type { Answer, Car, DoubtCause, Due, GearUsed, Mode, Reading, Stopped, Value } from './event.js';
import type { Place } from './input.js';
import type { Pour } from './pour.js';
import type { TightenPlan } from './tighten.js';
import type { WatchLog } from './watch-log.js';
import type { EmergencyNumber } from './world.js';

/** A job: the fold of its journal. Nothing else is true about it. */
export type Job = {
  readonly id: string;
  readonly number: string;
  readonly flow: string;
  readonly bundle: string;
  readonly bay: string;
  readonly car: Car;
  readonly zone: string;
  readonly startedAt: number;
  readonly emergency: readonly EmergencyNumber[];
  /** The name that was shown for everybody heard or named in this job. */
  readonly names: Readonly<Record<string, string>>;
  /** Sequence number of the journal line being folded; a question belongs to the line that first put it. */
  readonly seq: number;
  /** The latest instant the job knows; it never runs back. */
  readonly now: number;
  readonly mode: Mode;
  readonly modeBy: string | null;
  readonly modeSince: number;
  readonly modeReason: string;
  readonly holder: string;
  readonly standby: string | null;
  readonly offered: { readonly to: string; readonly by: string } | null;
  /** Whose lock still has to come off after a handover. */
  readonly oldLock: string | null;
  readonly facts: Readonly<Record<FactId, Standing>>;
  readonly closed: Readonly<Record<StepId, true>>;
  readonly shelved: Readonly<Record<StepId, true>> | null;
  /** The furthest step of the route ever shown. */
  readonly front: StepId | null;
  readonly route: Route;
  readonly choices: Readonly<Record<string, string>>;
  readonly values: Readonly<Record<string, Value>>;
  readonly readings: Readonly<Record<string, readonly Reading[]>>;
  /** What was read of what is watched, by its name. */
  readonly watched: Readonly<Record<string, WatchLog>>;
  /** Volumes by name, one each time their step was closed: they add up. */
  readonly poured: Readonly<Record<string, readonly Pour[]>>;
  /** Why the foreman let the coolant balance be not known, and what had gone in by then, ml. */
  readonly balanceLeft: { readonly reason: string; readonly by: string; readonly inMl: number | null } | null;
  readonly fields: Readonly<Record<string, string>>;
  readonly figures: Readonly<Record<string, Quantity>>;
  readonly air: readonly { readonly at: number; readonly celsius: number; readonly percentRh: number }[];
  readonly gear: Readonly<Record<string, GearUsed>>;
  readonly asked: Asked | null;
  readonly visits: number;
  /** Refusals that count, by the gate at which they fell, until it is passed. */
  readonly refusedAt: Readonly<Record<StepId, number>>;
  /** How often in a row a step's readings were not yet good enough. */
  readonly again: Readonly<Record<StepId, number>>;
  /** Volts that were last found not near zero at a step: with the next ones they say when to test again. */
  readonly warm: Readonly<Record<StepId, Warm>>;
  readonly parkThen: 'parked' | 'called-off' | null;
  readonly missing: string | null;
  readonly stillThere: { readonly fact: FactId; readonly at: number } | null;
  readonly checkIn: { readonly lastAt: number; readonly askedAt: number | null } | null;
  /** When the foreman was last called because live parts lay open and nobody was heard. */
  readonly exposedTold: number | null;
  /** When the holder was heard last. */
  readonly heardAt: number;
  /** End of the shift in which the job is worked on. */
  readonly shiftEndsAt: number | null;
  /** That shift is over, and no other has begun here. */
  readonly shiftOver: boolean;
  /** Whether the pause under way has already put things in doubt. */
  readonly pauseLapsed: boolean;
  readonly waitingFor: {
    readonly step: StepId;
    readonly facts: readonly FactId[];
    readonly until: number;
  } | null;
  readonly catchUp: { readonly to: StepId; readonly by: string; readonly foreman: boolean } | null;
  /** The last answer, for `no, 30`. */
  readonly last: { readonly step: StepId; readonly ask: number; readonly by: string } | null;
  readonly due: readonly Due[];
  readonly endedAt: number | null;
  /** Where the posts of recent lines are, by line: a gate must have been seen. */
  readonly places: Readonly<Record<number, Place>>;
};

/**
 * The job with these changes. Each property is named, so that all jobs have one shape: a spread gives every place
 * that makes jobs a shape of its own, and whatever reads a job gets slow.
 */
export function on(job: Job, changes: Partial<Job>): Job {
  const copy: Job = {
    id: job.id,
    number: job.number,
    flow: job.flow,
    bundle: job.bundle,
    bay: job.bay,
    car: job.car,
    zone: job.zone,
    startedAt: job.startedAt,
    emergency: job.emergency,
    names: job.names,
    seq: job.seq,
    now: job.now,
    mode: job.mode,
    modeBy: job.modeBy,
    modeSince: job.modeSince,
    modeReason: job.modeReason,
    holder: job.holder,
    standby: job.standby,
    offered: job.offered,
    oldLock: job.oldLock,
    facts: job.facts,
    closed: job.closed,
    shelved: job.shelved,
    front: job.front,
    route: job.route,
    choices: job.choices,
    values: job.values,
    readings: job.readings,
    watched: job.watched,
    poured: job.poured,
    balanceLeft: job.balanceLeft,
    fields: job.fields,
    figures: job.figures,
    air: job.air,
    gear: job.gear,
    asked: job.asked,
    visits: job.visits,
    refusedAt: job.refusedAt,
    again: job.again,
    warm: job.warm,
    parkThen: job.parkThen,
    missing: job.missing,
    stillThere: job.stillThere,
    checkIn: job.checkIn,
    exposedTold: job.exposedTold,
    heardAt: job.heardAt,
    shiftEndsAt: job.shiftEndsAt,
    shiftOver: job.shiftOver,
    pauseLapsed: job.pauseLapsed,
    waitingFor: job.waitingFor,
    catchUp: job.catchUp,
    last: job.last,
    due: job.due,
    endedAt: job.endedAt,
    places: job.places,
  };
  return Object.assign(copy, changes);
}

/** Volts of one test that found them not near zero yet. */
export type Warm = { readonly at: number; readonly volts: readonly number[] };

export type Standing = {
  readonly value: FactValue;
  readonly since: number;
  /** The instant of a clock. */
  readonly at: number | null;
  /** Why it is in doubt. */
  readonly why: DoubtCause | null;
  /** A cure that does not go on for now: it does not become due at its instant. */
  readonly stopped?: Stopped;
};

/** What the bay is asked now. */
export type Asked = {
  readonly what: 'step' | 'look' | 'which';
  readonly step: StepId;
  /** Looks: the facts looked at. */
  readonly facts: readonly FactId[];
  readonly visit: number;
  /** When the visit began, and the last answer in it. */
  readonly shownAt: number;
  readonly lastAt: number;
  readonly answers: readonly { readonly answer: Answer; readonly by: string; readonly at: number }[];
  /** The line whose post first put the question that is open now. */
  readonly seq: number;
  /** The word this visit asks for. */
  readonly word: string | null;
  readonly plan: TightenPlan | null;
  /** The visit ran out; the next input shows the gate afresh. */
  readonly ended: boolean;
  /** It ran out by silence: nothing is asked until somebody speaks. */
  readonly silent: boolean;
};
