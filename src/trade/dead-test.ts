/**
 * The judge of prove-test-prove: is the car's side of the high-voltage bus dead?
 *
 * What is proved is the bus on the car side of the contactors. The pack inside stays live; nothing here says
 * otherwise.
 *
 * Bands, on the ABSOLUTE value of a reading, so that crossed probes cannot hide a live bus:
 *   |V| <= dead limit       'nil'           the maker's or the shop's figure; common practice <= 5 V, no source
 *   |V| <= 60 V             'not-dead-yet'  wait, test again
 *   |V| >  60 V             'live'          stop
 * 60 V DC: UN R100 (definition of high voltage) and ISO 6469-3 (voltage class B): strictly above is hazardous.
 * Prove before and after: EN 50110-1 rule 3, UK Electricity at Work Regulations reg. 4(3) and HSG85, NFPA 70E
 * article 120.5. All five in one window: common practice 10 minutes, no source.
 */
import { type Refused, refuse } from './refused.js';

/** V DC; a reading strictly above is hazardous. UN R100, ISO 6469-3. */
export const HAZARD_VOLTS_DC = 60;
/** Common practice, no source. */
export const DEAD_TEST_WINDOW_MINUTES = 10;
/** How near x1000 must come to the pack's voltage to look like kilovolts. Common practice, no source. */
const KILOVOLT_LIKENESS = 0.1;

export const VOLT_BANDS = ['nil', 'not-dead-yet', 'live'] as const;
export type VoltBand = (typeof VOLT_BANDS)[number];

/** What a pack may show: its nominal voltage, and its lowest and highest where the register knows them. */
export type PackVolts = {
  readonly nominalVolts: number;
  readonly lowestVolts?: number;
  readonly highestVolts?: number;
};

/** What a proving reading is judged against. */
export type ProvingSource = {
  readonly nominalVolts: number;
  /** 0.05 is plus or minus five per cent. */
  readonly toleranceFraction: number;
};

export type DeadReadings = {
  readonly firstProvingVolts: number;
  readonly plusMinusVolts: number;
  readonly plusBodyVolts: number;
  readonly minusBodyVolts: number;
  readonly secondProvingVolts: number;
};

/** Worst first: the outcome of a test is the first of these that was found. */
export const DEAD_TEST_OUTCOMES = [
  'live',
  'maybe-kilovolts',
  'tester-failed-after',
  'tester-not-proved',
  'wait-and-test-again',
  'too-slow',
  'dead',
] as const;
export type DeadTestOutcome = (typeof DEAD_TEST_OUTCOMES)[number];

export type ProvingJudgement = {
  readonly volts: number;
  readonly proved: boolean;
  readonly maybeKilovolts: boolean;
};
export type PoleJudgement = {
  readonly volts: number;
  readonly band: VoltBand;
  readonly maybeKilovolts: boolean;
};

export type DeadTestJudgement = {
  readonly ok: true;
  /** The worst thing found. Only 'dead' passes. */
  readonly outcome: DeadTestOutcome;
  /** Everything found, worst first; only ['dead'] passes. */
  readonly findings: readonly DeadTestOutcome[];
  /**
   * The second proving failed: the tester leaves service, and what it proved today is in doubt. True even when
   * the failed reading looks like kilovolts: nobody can tell that from a tester that died.
   */
  readonly testerOut: boolean;
  readonly firstProving: ProvingJudgement;
  readonly plusMinus: PoleJudgement;
  readonly plusBody: PoleJudgement;
  readonly minusBody: PoleJudgement;
  readonly secondProving: ProvingJudgement;
  readonly tookMinutes: number;
};

export type NilJudgement = {
  readonly ok: true;
  /** Only 'nil' passes. */
  readonly outcome: VoltBand | 'maybe-kilovolts';
  readonly band: VoltBand;
  readonly volts: number;
};

export type VoltRefusal = Refused<'not-a-number' | 'bad-dead-limit' | 'bad-pack-volts'>;
export type DeadTestRefusal =
  | VoltRefusal
  | Refused<'bad-tolerance' | 'source-too-small' | 'bad-window' | 'bad-times'>;

/** Five readings in the fixed order prove, plus-minus, plus-body, minus-body, prove. Four are never guessed at. */
export function deadReadings(
  volts: readonly number[],
): { readonly ok: true; readonly readings: DeadReadings } | Refused<'not-five'> {
  const [firstProvingVolts, plusMinusVolts, plusBodyVolts, minusBodyVolts, secondProvingVolts] = volts;
  if (
    volts.length !== 5 ||
    firstProvingVolts === undefined ||
    plusMinusVolts === undefined ||
    plusBodyVolts === undefined ||
    minusBodyVolts === undefined ||
    secondProvingVolts === undefined
  )
    return refuse('not-five', 'readings', volts.length, 5);
  return {
    ok: true,
    readings: { firstProvingVolts, plusMinusVolts, plusBodyVolts, minusBodyVolts, secondProvingVolts },
  };
}

/** The band of a reading in volts. Anything that is not a finite number is 'live': OL is not zero. */
export function bandOf(volts: number, deadLimitVolts: number): VoltBand {
  const size = Math.abs(volts);
  if (size <= deadLimitVolts) return 'nil';
  return size <= HAZARD_VOLTS_DC ? 'not-dead-yet' : 'live';
}

const looksLikeKilovolts = (volts: number, lowest: number, highest: number): boolean => {
  const size = Math.abs(volts) * 1000;
  return size >= lowest * (1 - KILOVOLT_LIKENESS) && size <= highest * (1 + KILOVOLT_LIKENESS);
};

function judgePole(volts: number, deadLimitVolts: number, pack: PackVolts): PoleJudgement {
  const lowest = Math.min(pack.nominalVolts, pack.lowestVolts ?? pack.nominalVolts);
  const highest = Math.max(pack.nominalVolts, pack.highestVolts ?? pack.nominalVolts);
  const maybeKilovolts = looksLikeKilovolts(volts, lowest, highest);
  return { volts, band: bandOf(volts, deadLimitVolts), maybeKilovolts };
}

// Polarity is left out on purpose: crossed probes on a source still prove the tester.
function judgeProving(volts: number, { nominalVolts, toleranceFraction }: ProvingSource): ProvingJudgement {
  const off = Math.abs(Math.abs(volts) - nominalVolts);
  // The last factor keeps a reading on the limit inside: 500 x 1.1 is not 550 in binary.
  const proved = off <= nominalVolts * toleranceFraction * (1 + 1e-12);
  return { volts, proved, maybeKilovolts: looksLikeKilovolts(volts, nominalVolts, nominalVolts) };
}

function badVolts(
  volts: Readonly<Record<string, number>>,
  deadLimitVolts: number,
  pack: PackVolts,
): VoltRefusal | null {
  for (const [what, value] of Object.entries(volts))
    if (!Number.isFinite(value)) return refuse('not-a-number', what, value);
  if (!(deadLimitVolts > 0 && deadLimitVolts < HAZARD_VOLTS_DC))
    return refuse('bad-dead-limit', 'deadLimitVolts', deadLimitVolts, HAZARD_VOLTS_DC);
  for (const [what, value] of Object.entries(pack))
    if (!Number.isFinite(value) || value <= HAZARD_VOLTS_DC)
      return refuse('bad-pack-volts', what, value, HAZARD_VOLTS_DC);
  return null;
}

/**
 * Judges one prove-test-prove. All readings in volts DC, sign and unit already certain.
 *
 * Valid: finite readings; 0 < dead limit < 60 V; pack above 60 V; source tolerance above 0 and up to 0.25; a
 * source whose lowest good reading is above 60 V, because a smaller one cannot show that the tester would see a
 * hazard (common practice, no source); last reading not before the first.
 *
 * A pole reading that times 1000 is within 10 % of the pack's voltage is 'maybe-kilovolts' and never passes,
 * nor does a proving reading that looks so against its source.
 */
export function judgeDeadTest(asked: {
  readonly readings: DeadReadings;
  readonly source: ProvingSource;
  readonly pack: PackVolts;
  readonly deadLimitVolts: number;
  readonly firstAtMs: number;
  readonly lastAtMs: number;
  readonly windowMinutes?: number;
}): DeadTestJudgement | DeadTestRefusal {
  const { readings, source, pack, deadLimitVolts, firstAtMs, lastAtMs } = asked;
  const windowMinutes = asked.windowMinutes ?? DEAD_TEST_WINDOW_MINUTES;
  const fault = badVolts({ ...readings }, deadLimitVolts, pack);
  if (fault !== null) return fault;
  if (!(source.toleranceFraction > 0 && source.toleranceFraction <= 0.25))
    return refuse('bad-tolerance', 'toleranceFraction', source.toleranceFraction, 0.25);
  const lowestProof = source.nominalVolts * (1 - source.toleranceFraction);
  if (!(Number.isFinite(lowestProof) && lowestProof > HAZARD_VOLTS_DC))
    return refuse('source-too-small', 'nominalVolts', source.nominalVolts, HAZARD_VOLTS_DC);
  if (!(Number.isFinite(windowMinutes) && windowMinutes > 0))
    return refuse('bad-window', 'windowMinutes', windowMinutes, 0);
  const tookMinutes = (lastAtMs - firstAtMs) / 60_000;
  if (!(Number.isFinite(tookMinutes) && tookMinutes >= 0)) return refuse('bad-times', 'lastAtMs', lastAtMs);

  const firstProving = judgeProving(readings.firstProvingVolts, source);
  const plusMinus = judgePole(readings.plusMinusVolts, deadLimitVolts, pack);
  const plusBody = judgePole(readings.plusBodyVolts, deadLimitVolts, pack);
  const minusBody = judgePole(readings.minusBodyVolts, deadLimitVolts, pack);
  const secondProving = judgeProving(readings.secondProvingVolts, source);
  const poles = [plusMinus, plusBody, minusBody];
  const all = [firstProving, ...poles, secondProving];

  const found: Readonly<Record<DeadTestOutcome, boolean>> = {
    live: poles.some((pole) => pole.band === 'live'),
    'maybe-kilovolts': all.some((reading) => reading.maybeKilovolts),
    'tester-failed-after': !secondProving.proved,
    'tester-not-proved': !firstProving.proved,
    'wait-and-test-again': poles.some((pole) => pole.band === 'not-dead-yet'),
    'too-slow': tookMinutes > windowMinutes,
    dead: false,
  };
  const faults = DEAD_TEST_OUTCOMES.filter((outcome) => found[outcome]);
  const outcome = faults[0] ?? 'dead';
  return {
    ok: true,
    outcome,
    findings: faults.length > 0 ? faults : [outcome],
    testerOut: !secondProving.proved,
    firstProving,
    plusMinus,
    plusBody,
    minusBody,
    secondProving,
    tookMinutes,
  };
}

/**
 * Judges a single reading that must be nil: across the gap of a fuse that is out, or at a parted socket. Same
 * bands, same valid range and same kilovolt suspicion as the dead test. The tester must be proved around it; that
 * is not seen here.
 */
export function judgeNil(asked: {
  readonly volts: number;
  readonly pack: PackVolts;
  readonly deadLimitVolts: number;
}): NilJudgement | VoltRefusal {
  const { volts, pack, deadLimitVolts } = asked;
  const fault = badVolts({ volts }, deadLimitVolts, pack);
  if (fault !== null) return fault;
  const { band, maybeKilovolts } = judgePole(volts, deadLimitVolts, pack);
  return { ok: true, outcome: band !== 'live' && maybeKilovolts ? 'maybe-kilovolts' : band, band, volts };
}
