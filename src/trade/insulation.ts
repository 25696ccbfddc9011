/**
 * Is the insulation between the high-voltage poles and the body good enough?
 *
 * Limit = strictest of the maker's figure and k x highest working voltage.
 * k: UN R100 5.1.3.1: 100 ohm/V for a DC bus, 500 ohm/V for an AC bus, when separate; 5.1.3.2: 500 ohm/V when
 * joined, 100 ohm/V only when every AC bus is doubly insulated or robustly enclosed. Exactly the limit passes
 * ("minimum value"). Working voltage range of class B: ISO 6469-3:2021 clause 4, from memory.
 */
import { notPositive, type Refused, refuse } from './refused.js';

/** How the bus is built. 'joined-protected' only where the vehicle's register says so; a doubt is 'joined'. */
export const BUSES = ['dc', 'ac', 'joined', 'joined-protected'] as const;
export type Bus = (typeof BUSES)[number];

/** UN R100 5.1.3.1 and 5.1.3.2. */
export const OHMS_PER_VOLT: Readonly<Record<Bus, number>> = {
  dc: 100,
  ac: 500,
  joined: 500,
  'joined-protected': 100,
};

export type InsulationLimit = {
  readonly ok: true;
  readonly limitOhms: number;
  readonly ruledBy: 'maker' | 'ohms-per-volt';
  readonly ohmsPerVolt: number;
};

export type LimitRefusal = Refused<'voltage-out-of-range' | 'not-positive'>;

/**
 * The strictest limit. Valid: highest working voltage above 60 and up to 1500 V DC (above 30 and up to 1000 V rms
 * for a bus that is AC alone); maker's ohms above zero, or null when the maker gives none.
 */
export function insulationLimit(asked: {
  readonly workingVolts: number;
  readonly bus: Bus;
  readonly makerOhms: number | null;
}): InsulationLimit | LimitRefusal {
  const { workingVolts, bus, makerOhms } = asked;
  const [above, upTo] = bus === 'ac' ? [30, 1000] : [60, 1500];
  if (!(workingVolts > above)) return refuse('voltage-out-of-range', 'workingVolts', workingVolts, above);
  if (!(workingVolts <= upTo)) return refuse('voltage-out-of-range', 'workingVolts', workingVolts, upTo);
  const fault = makerOhms === null ? null : notPositive({ makerOhms });
  if (fault !== null) return fault;
  const ohmsPerVolt = OHMS_PER_VOLT[bus];
  const byVolts = ohmsPerVolt * workingVolts;
  const maker = makerOhms !== null && makerOhms > byVolts;
  return {
    ok: true,
    limitOhms: maker ? makerOhms : byVolts,
    ruledBy: maker ? 'maker' : 'ohms-per-volt',
    ohmsPerVolt,
  };
}

/** A measured value, or the end of the range when the tester only showed "over range". */
export type OhmsReading =
  | { readonly kind: 'measured'; readonly ohms: number }
  | { readonly kind: 'at-least'; readonly ohms: number };

/** `range-too-small`: over range, but the range ends below the limit, so nothing is shown either way. */
export type PoleVerdict = 'pass' | 'fail' | 'range-too-small';

/** Worst first. */
export const INSULATION_OUTCOMES = [
  'fail',
  'test-voltage-too-high',
  'test-voltage-too-low',
  'test-too-short',
  'range-too-small',
  'pass',
] as const;
export type InsulationOutcome = (typeof INSULATION_OUTCOMES)[number];

export type InsulationJudgement = {
  readonly ok: true;
  /** The worst thing found. Only 'pass' passes. */
  readonly outcome: InsulationOutcome;
  readonly findings: readonly InsulationOutcome[];
  readonly limit: InsulationLimit;
  readonly plus: PoleVerdict;
  readonly minus: PoleVerdict;
  /** The worse pole per volt of working voltage, for the record: Ri / V. */
  readonly worstOhmsPerVolt: number;
};

/** What the maker allows the tester to put on this bus; from the vehicle's register. */
export type TestVoltage = {
  readonly lowestVolts: number;
  readonly highestVolts: number;
  /** How long it has to be held before reading; null when the maker names no time. */
  readonly holdSeconds: number | null;
};

export type InsulationRefusal =
  | LimitRefusal
  | Refused<'not-a-resistance' | 'no-test-voltage' | 'bad-test-voltage'>;

const verdict = (reading: OhmsReading, limitOhms: number): PoleVerdict => {
  // The factor keeps a reading on the limit inside where k x V is not exact in binary.
  if (reading.ohms >= limitOhms * (1 - 1e-12)) return 'pass';
  return reading.kind === 'at-least' ? 'range-too-small' : 'fail';
};

/**
 * Judges both poles against the strictest limit, and the test itself against what the maker allows. Without the
 * maker's test voltage it is refused: an insulation tester is a source. Too low a voltage proves nothing; too
 * high a one may have hurt something and is the worse finding. Valid: readings of zero ohms or more.
 */
export function judgeInsulation(asked: {
  readonly workingVolts: number;
  readonly bus: Bus;
  readonly makerOhms: number | null;
  readonly plus: OhmsReading;
  readonly minus: OhmsReading;
  readonly testVolts: number;
  readonly heldSeconds: number | null;
  readonly allowed: TestVoltage | null;
}): InsulationJudgement | InsulationRefusal {
  const { workingVolts, plus, minus, testVolts, heldSeconds, allowed } = asked;
  const limit = insulationLimit(asked);
  if (!limit.ok) return limit;
  for (const [what, { ohms }] of [
    ['plus', plus],
    ['minus', minus],
  ] as const)
    if (!Number.isFinite(ohms) || ohms < 0) return refuse('not-a-resistance', what, ohms, 0);
  if (allowed === null) return refuse('no-test-voltage', 'allowed', null);
  const fault = notPositive({
    testVolts,
    lowestVolts: allowed.lowestVolts,
    highestVolts: allowed.highestVolts,
  });
  if (fault !== null) return fault;
  if (allowed.lowestVolts > allowed.highestVolts)
    return refuse('bad-test-voltage', 'lowestVolts', allowed.lowestVolts, allowed.highestVolts);

  const verdicts = [verdict(plus, limit.limitOhms), verdict(minus, limit.limitOhms)] as const;
  const found: Readonly<Record<InsulationOutcome, boolean>> = {
    fail: verdicts.includes('fail'),
    'test-voltage-too-high': testVolts > allowed.highestVolts,
    'test-voltage-too-low': testVolts < allowed.lowestVolts,
    'test-too-short': allowed.holdSeconds !== null && !((heldSeconds ?? 0) >= allowed.holdSeconds),
    'range-too-small': verdicts.includes('range-too-small'),
    pass: false,
  };
  const faults = INSULATION_OUTCOMES.filter((outcome) => found[outcome]);
  const outcome = faults[0] ?? 'pass';
  return {
    ok: true,
    outcome,
    findings: faults.length > 0 ? faults : [outcome],
    limit,
    plus: verdicts[0],
    minus: verdicts[1],
    worstOhmsPerVolt: Math.min(plus.ohms, minus.ohms) / workingVolts,
  };
}
