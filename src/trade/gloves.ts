/**
 * Insulating gloves: which class a voltage needs, and whether a pair may be used on a day.
 *
 * Sources: 29 CFR 1910.137 (2014) Tables I-1, I-4, I-5; IEC 60903:2014 / EN 60903; ASTM D120. The DC column of
 * maximum use comes from the IEC/ASTM class tables (1.5 x the AC figure); the federal tables give none.
 * IEC 60903 lets class 00 and 0 go with an air test and a look; here the federal six months hold for every class.
 */
import { addMonths, compareDates, daysBetween, type IsoDate, isIsoDate } from './dates.js';
import { type Refused, refuse } from './refused.js';

export const GLOVE_CLASSES = ['00', '0', '1', '2', '3', '4'] as const;
export type GloveClass = (typeof GLOVE_CLASSES)[number];

export type GloveClassFigures = {
  /** Maximum use voltage, V rms AC. 29 CFR 1910.137 Table I-4. */
  readonly maxUseVoltsAc: number;
  /** Maximum use voltage, V DC. IEC 60903 / ASTM D120 class tables. */
  readonly maxUseVoltsDc: number;
  /** Proof and retest voltage, V rms AC. Tables I-1 and I-4; IEC 60903 has the same. */
  readonly proofVoltsAc: number;
  /** Colour of the label. ASTM D120 / IEC 60903. */
  readonly label: string;
};

export const GLOVE_TABLE: Readonly<Record<GloveClass, GloveClassFigures>> = {
  '00': { maxUseVoltsAc: 500, maxUseVoltsDc: 750, proofVoltsAc: 2_500, label: 'beige' },
  '0': { maxUseVoltsAc: 1_000, maxUseVoltsDc: 1_500, proofVoltsAc: 5_000, label: 'red' },
  '1': { maxUseVoltsAc: 7_500, maxUseVoltsDc: 11_250, proofVoltsAc: 10_000, label: 'white' },
  '2': { maxUseVoltsAc: 17_000, maxUseVoltsDc: 25_500, proofVoltsAc: 20_000, label: 'yellow' },
  '3': { maxUseVoltsAc: 26_500, maxUseVoltsDc: 39_750, proofVoltsAc: 30_000, label: 'green' },
  '4': { maxUseVoltsAc: 36_000, maxUseVoltsDc: 54_000, proofVoltsAc: 40_000, label: 'orange' },
};

/** Lowest class for traction work whatever the table allows. Common practice, no source. */
export const SHOP_FLOOR_CLASS: GloveClass = '0';
/** 29 CFR 1910.137 Table I-5. */
export const GLOVE_TEST_MONTHS = 6;
/** 29 CFR 1910.137 Table I-5, footnote 1: tested and not yet issued. */
export const GLOVE_SHELF_MONTHS = 12;

const rank = (gloveClass: GloveClass): number => GLOVE_CLASSES.indexOf(gloveClass);

/**
 * The lowest class whose maximum use voltage is not below the highest working voltage, and not below the shop's
 * floor. Valid: above 0 V, up to 54,000 V DC or 36,000 V AC; above that no class does.
 */
export function gloveClassFor(asked: {
  readonly workingVolts: number;
  readonly current: 'dc' | 'ac';
  readonly floor?: GloveClass;
}):
  | { readonly ok: true; readonly gloveClass: GloveClass; readonly byTable: GloveClass }
  | Refused<'not-a-voltage' | 'above-all-classes'> {
  const { workingVolts, current, floor = SHOP_FLOOR_CLASS } = asked;
  if (!Number.isFinite(workingVolts) || workingVolts <= 0)
    return refuse('not-a-voltage', 'workingVolts', workingVolts, 0);
  const column = current === 'dc' ? 'maxUseVoltsDc' : 'maxUseVoltsAc';
  const byTable = GLOVE_CLASSES.find((candidate) => GLOVE_TABLE[candidate][column] >= workingVolts);
  if (byTable === undefined)
    return refuse('above-all-classes', 'workingVolts', workingVolts, GLOVE_TABLE['4'][column]);
  return { ok: true, gloveClass: rank(byTable) >= rank(floor) ? byTable : floor, byTable };
}

export type GlovePair = {
  readonly id: string;
  readonly gloveClass: GloveClass;
  /** Last electrical test; null when none is on record. */
  readonly testedOn: IsoDate | null;
  /** Issued for service; null while on the shelf. */
  readonly issuedOn: IsoDate | null;
  /** AC voltage on the certificate, where it says one. */
  readonly testVoltsAc?: number;
  /** A new electrical test is owed before any use: 29 CFR 1910.137 Table I-5. */
  readonly retest?: 'suspect' | 'repaired' | 'used-without-leather';
};

export type GloveReason =
  | { readonly because: 'class-too-low'; readonly has: GloveClass; readonly needs: GloveClass }
  | { readonly because: 'no-test-on-record' }
  | { readonly because: 'bad-date'; readonly what: 'testedOn' | 'issuedOn' | 'on'; readonly text: string }
  | { readonly because: 'tested-after-today'; readonly testedOn: IsoDate }
  | { readonly because: 'issued-after-today'; readonly issuedOn: IsoDate }
  | { readonly because: 'test-out-of-date'; readonly dueOn: IsoDate; readonly daysOver: number }
  | { readonly because: 'issued-too-late'; readonly issuedOn: IsoDate; readonly shelfEndedOn: IsoDate }
  | { readonly because: 'tested-too-low'; readonly testedVoltsAc: number; readonly neededVoltsAc: number }
  | { readonly because: 'retest-owed'; readonly after: 'suspect' | 'repaired' | 'used-without-leather' }
  | { readonly because: 'air-test-not-done' | 'air-test-failed' };

export type AirTest = 'passed' | 'failed' | 'not-done';

export type GloveNeed = {
  readonly gloveClass: GloveClass;
  readonly on: IsoDate;
  /**
   * Where the six months start. 'test' (default) is the stricter: a test within six months of use. 'issue' is
   * the table's own reading: six months from being issued, and issued within twelve of the test.
   */
  readonly countFrom?: 'test' | 'issue';
};

export type GloveJudgement = {
  readonly pair: GlovePair;
  readonly usable: boolean;
  /** Every reason against it, not only the first; empty when usable. */
  readonly reasons: readonly GloveReason[];
  /** The day its next electrical test is due; null when that cannot be said. */
  readonly dueOn: IsoDate | null;
};

function judgeDates(pair: GlovePair, need: GloveNeed): { reasons: GloveReason[]; dueOn: IsoDate | null } {
  const { testedOn, issuedOn } = pair;
  const { on } = need;
  const bad: GloveReason[] = [];
  for (const [what, text] of [
    ['on', on] as const,
    ['testedOn', testedOn] as const,
    ['issuedOn', issuedOn] as const,
  ])
    if (text !== null && !isIsoDate(text)) bad.push({ because: 'bad-date', what, text });
  if (testedOn === null) bad.push({ because: 'no-test-on-record' });
  if (testedOn === null || bad.length > 0) return { reasons: bad, dueOn: null };
  if (compareDates(testedOn, on) > 0)
    return { reasons: [{ because: 'tested-after-today', testedOn }], dueOn: null };

  const reasons: GloveReason[] = [];
  const byIssue = need.countFrom === 'issue';
  // The first use of a pair still on the shelf is its issue.
  const issued = issuedOn ?? on;
  if (compareDates(issued, on) > 0) reasons.push({ because: 'issued-after-today', issuedOn: issued });
  // A later test of a pair already in service starts the six months anew.
  const inServiceAtTest = compareDates(issued, testedOn) < 0;
  const start = byIssue && !inServiceAtTest ? issued : testedOn;
  const dueOn = addMonths(start, GLOVE_TEST_MONTHS);
  const daysOver = daysBetween(dueOn, on);
  // The due day itself is refused: whether it still counts is an interpretation, so the careful one.
  if (daysOver >= 0) reasons.push({ because: 'test-out-of-date', dueOn, daysOver });
  const shelfEndedOn = addMonths(testedOn, GLOVE_SHELF_MONTHS);
  if (!inServiceAtTest && compareDates(issued, shelfEndedOn) >= 0)
    reasons.push({ because: 'issued-too-late', issuedOn: issued, shelfEndedOn });
  return { reasons, dueOn };
}

/**
 * May this pair be used on that day? Lists every reason against it: class, test date (six calendar months, the
 * due day refused), shelf time (twelve), test voltage, a retest owed, and the air test, which belongs to this use
 * (29 CFR 1910.137(c)(2)(ii): before each day's use and after any incident; most guides: before each use).
 */
export function judgeGloves(pair: GlovePair, need: GloveNeed, airTest: AirTest): GloveJudgement {
  const { reasons, dueOn } = judgeDates(pair, need);
  const table = GLOVE_TABLE[pair.gloveClass];
  if (rank(pair.gloveClass) < rank(need.gloveClass))
    reasons.unshift({ because: 'class-too-low', has: pair.gloveClass, needs: need.gloveClass });
  if (pair.testVoltsAc !== undefined && !(pair.testVoltsAc >= table.proofVoltsAc))
    reasons.push({
      because: 'tested-too-low',
      testedVoltsAc: pair.testVoltsAc,
      neededVoltsAc: table.proofVoltsAc,
    });
  if (pair.retest !== undefined) reasons.push({ because: 'retest-owed', after: pair.retest });
  if (airTest !== 'passed')
    reasons.push({ because: airTest === 'failed' ? 'air-test-failed' : 'air-test-not-done' });
  return { pair, usable: reasons.length === 0, reasons, dueOn };
}

/**
 * The pairs of a list that would do instead once they pass their air test: lowest sufficient class first (it is
 * the easiest to work in), then the one longest in date, then by id.
 */
export function glovesThatWouldDo(pairs: readonly GlovePair[], need: GloveNeed): readonly GlovePair[] {
  const longestFirst = (a: GloveJudgement, b: GloveJudgement) =>
    a.dueOn === null || b.dueOn === null ? 0 : compareDates(b.dueOn, a.dueOn);
  return pairs
    .map((pair) => judgeGloves(pair, need, 'passed'))
    .filter((judgement) => judgement.usable)
    .toSorted(
      (a, b) =>
        rank(a.pair.gloveClass) - rank(b.pair.gloveClass) ||
        longestFirst(a, b) ||
        (a.pair.id < b.pair.id ? -1 : 1),
    )
    .map((judgement) => judgement.pair);
}
