/**
 * Is the bonding strap between pack and body good: an exposed conductive part joined to the chassis.
 *
 * Limit: the strictest of the maker's figure and 0.1 Ω, measured with at least 0.2 A (UN R100, chassis bond resistance; read
 * in a copy). With less current, as an ordinary meter has, a single strand or an oxide skin can look like a joint, so such a
 * reading is measured again and never passes. Exactly the limit is refused: the regulation says "lower than".
 */
import { notPositive, type Refused, refuse } from './refused.js';

/** UN R100: below this. */
export const BOND_OHMS = 0.1;
/** UN R100: at least this. */
export const BOND_AMPERES = 0.2;

export const BOND_OUTCOMES = ['too-high', 'test-current-too-low', 'bonded'] as const;
export type BondOutcome = (typeof BOND_OUTCOMES)[number];

export type BondJudged = {
  readonly ok: true;
  readonly outcome: BondOutcome;
  readonly limitOhms: number;
  readonly ruledBy: 'maker' | 'un-r100';
};

/**
 * Judges a bond. A maker's figure above 0.1 Ω does not loosen the regulation. `testAmperes` is null where the instrument's
 * current is known from its sheet to be enough. Valid: 0 Ω or more, maker's limit and current above 0. Over range
 * (`atLeast`) is too high whatever the range.
 */
export function judgeBond(asked: {
  readonly ohms: number;
  readonly atLeast: boolean;
  readonly makerOhms: number | null;
  readonly testAmperes: number | null;
}): BondJudged | Refused<'not-a-resistance' | 'not-positive'> {
  const { ohms, atLeast, makerOhms, testAmperes } = asked;
  if (!(Number.isFinite(ohms) && ohms >= 0)) return refuse('not-a-resistance', 'ohms', ohms, 0);
  const fault =
    (makerOhms === null ? null : notPositive({ makerOhms })) ??
    (testAmperes === null ? null : notPositive({ testAmperes }));
  if (fault) return fault;
  const maker = makerOhms !== null && makerOhms < BOND_OHMS;
  const limitOhms = maker ? makerOhms : BOND_OHMS;
  // The regulation's own bound is exclusive, a maker's is a highest value.
  const over = maker ? ohms > limitOhms : ohms >= limitOhms;
  const weak = testAmperes !== null && testAmperes < BOND_AMPERES;
  const outcome = over || atLeast ? 'too-high' : weak ? 'test-current-too-low' : 'bonded';
  return { ok: true, outcome, limitOhms, ruledBy: maker ? 'maker' : 'un-r100' };
}
