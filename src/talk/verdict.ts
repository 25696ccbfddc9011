import { SETTLINGS } from '../flow/calc.js';
import type { Flow } from '../flow/flow.js';
import type { Event, Figure, Verdict } from '../job/event.js';
import type { Job } from '../job/job.js';
import { printNumber } from '../units/notation.js';
import type { Quantity } from '../units/quantity.js';
import { valueIn } from '../units/quantity.js';
import { dimensionOf } from '../units/unit.js';
import { cap, stopped } from './line.js';
import { amount, codeText, filled, labelOf, nameOfKey, spaced } from './phrase.js';

/** Words for what a judgement came to and why. */

const BECAUSE: Readonly<Record<string, string>> = {
  'in-limits': 'in limits',
  dead: 'all five good',
  live: 'more than 60 V: live. Hands off, step back',
  'maybe-kilovolts': 'this may be kilovolts. Read the unit on the meter, test again',
  'tester-failed-after': 'second proving failed: nothing is proved. Tester out of service',
  'tester-not-proved': 'first proving failed: tester or source not right. Prove it, then all five again',
  'wait-and-test-again': 'not dead yet. Hands off, wait, then test again',
  'too-slow': 'all readings have to lie in one window of time. All five again',
  'not-five': 'five readings are asked, not more and not fewer',
  'value-missing': 'a value or reading for this judgement is missing',
  'count-differs': 'the counts differ. Find what is missing, then count again',
  'too-low': 'too low',
  'too-high': 'too high',
  'below-dew-margin': 'pack too cold for this air: it would sweat. Warm it, read again',
  'open-time-too-short': 'sealant skins before the cover is bolted. Nothing is laid',
  'cure-not-computable': 'cure cannot be computed in this air',
  'tips-forward': 'car would tip forward',
  'tips-backward': 'car would tip backward',
  'tips-sideways': 'car would tip sideways',
  'margin-too-small': 'balance margin too small. Move the pads',
  'over-pad-rating': 'more than a pad may carry',
  'over-lift-rating': 'more than the lift may carry',
  'bad-pads': 'rear pads lie before the front ones. Measure again',
  'too-cold': 'too cold for the formula',
  'too-warm': 'too warm for the formula',
  'too-dry': 'air too dry for the formula',
  'too-moist': 'air too moist for the formula',
  fail: 'insulation below the limit. Hands off, treat the body as live',
  'test-voltage-too-high': 'test voltage higher than the maker permits',
  'test-voltage-too-low': 'test voltage lower than the maker asks',
  'test-too-short': 'held shorter than the maker asks',
  'range-too-small': 'meter cannot show the limit. Use one with a larger range',
  leaks: 'loses pressure: not tight',
  'read-too-early': 'read too early. Wait the full time',
  'read-too-late': 'read too late. Start again',
  'temperature-moved': 'temperature moved too far. Let it settle, start again',
  'thermometer-too-coarse': 'thermometer too coarse for this limit',
  'test-cannot-fail': 'such a test could not fail. Check limit and start pressure',
  'pressure-rose': 'pressure rose: not settled. Start again',
  'looks-absolute': 'looks like absolute pressure. Read the gauge from zero',
  'start-too-low': 'start pressure too low',
  'start-too-high': 'start pressure too high',
  'spill-still': 'died away',
  'vacuum-holds': 'holds',
  'level-still': 'still, no bubbles',
  'vacuum-holds-not': 'does not hold. Find the leak, pump down again',
  'pack-warm': 'pack warmer than the air beside it by too much',
  'tips-forward-off': 'without the pack the car would tip forward',
  'tips-backward-off': 'without the pack the car would tip backward',
  'tips-sideways-off': 'without the pack the car would tip sideways',
  'margin-too-small-off': 'balance margin too small once the pack is out. Move the pads',
  'over-pad-rating-off': 'more than a pad may carry once the pack is out',
  'over-lift-rating-off': 'more than the lift may carry once the pack is out',
  'part-too-heavy': 'pack heavier than the car. Check the masses in the register',
  'over-table-rating': 'pack too heavy for this table. Nothing is unbolted over it',
  'may-be-in-the-pack':
    'more went in than came out: it may be in the pack. No power, test the insulation again',
  'balance-not-known':
    'coolant balance not known, left so by the foreman. Insulation made anew, level and couplings seen',
  'air-left': 'less went in than came out: air is left. Bleed again',
  'tray-not-read': 'nobody read the tray before it was emptied. What came out is not guessed',
  'fill-not-noted': 'nobody noted what went in. It is not guessed',
  'bad-volume': 'a volume below nil. Read it again',
  'bad-tolerance': 'no tolerance to judge by. Set one',
  'frost-point-too-warm': 'coolant too weak: it would freeze too early',
  'no-correction': 'what the refractometer corrects for is not known. Read its own sheet, then again',
  'sample-too-cold': 'sample colder than the refractometer corrects for. Let it warm, read again',
  'sample-too-warm': 'sample warmer than the refractometer corrects for. Let it cool, read again',
  'above-freezing': 'a frost point above freezing. Read it again',
  'bond-too-high':
    'strap does not bond: it has to be below the limit. Clean both faces, tighten, measure again',
  'test-current-too-low': 'test current too small to show a bond: 0.2 A or more. Use the right meter',
  'not-a-resistance': 'not a resistance. Read it again',
};

/** Why a judgement came out as it did; a code without words of its own is read out. */
export function because(code: string): string {
  return BECAUSE[code] ?? codeText(code);
}

const VERDICTS: Readonly<Record<Verdict, string>> = {
  passed: '',
  again: 'Not taken',
  hold: 'Out of limits',
  stop: 'STOP',
};

/** Behind the echo of a count that has to be what an earlier one was. */
export const AS_BEFORE = 'As counted before.';
/** Behind the echo of a number for which the limits leave one value. */
export const AS_ASKED = 'As asked.';

function exact({ min, max }: Figure): boolean {
  return min !== undefined && max !== undefined && min.unit === max.unit && min.value === max.value;
}

function same(figure: Figure): boolean {
  return figure.rule === 'same-count';
}

/** `In limits, at most 5 V.` or `Out of limits: too high, 0.7 Ω, at most 0.1 Ω.` */
export function verdictText(judged: Event & { readonly type: 'judged' }): string {
  if (judged.verdict === 'passed') {
    if (judged.figures.length > 0 && judged.figures.every(same)) return AS_BEFORE;
    if (judged.figures.length > 0 && judged.figures.every(exact)) return AS_ASKED;
    const limits = judged.because === 'dead' ? '' : limitsOf(judged.figures[0]);
    const alike =
      !Object.hasOwn(SETTLINGS, judged.because) &&
      judged.figures.every((figure) => limitsOf(figure) === limits && !computed(figure));
    const more = judged.because === 'dead' || alike ? limits : figuresText(judged.figures);
    return `${cap(because(judged.because))}${more === '' ? '' : `: ${more}`}.`;
  }
  const all = judged.figures.filter((figure) => !isAdvice(figure));
  const bad = judged.because === 'dead' ? [] : all.filter(outside);
  const figures = bad.length > 0 ? bad : all.length <= 2 ? all : [];
  const shown = figuresText(figures);
  const said = `${VERDICTS[judged.verdict]}: ${because(judged.because)}${shown === '' ? '' : `. ${cap(shown)}`}`;
  return `${stopped(said)}${adviceText(judged.figures.filter(isAdvice))}`;
}

/** Rules of figures that were worked out: nobody has heard them yet, as one has a reading just echoed. */
const WORKED_OUT: ReadonlySet<string> = new Set([
  'statics',
  'dew-point',
  'common-practice',
  'open-time',
  'cure-depth',
  'gas-law',
  'volume-balance',
  'volume-mixing',
  'ashrae-2001',
]);

/** Figures that are advice: said as a sentence of their own, whatever else is shown. */
const ADVICE: Readonly<Record<string, (of: string) => string>> = {
  'test-again': (wait) => `Falling: worth testing again in ${wait}`,
  'coolant-swap': (litres) => `Drain ${litres} at least, fill with concentrate, run the pump, read again`,
};

function isAdvice(figure: Figure): boolean {
  return figure.name in ADVICE;
}

function adviceText(figures: readonly Figure[]): string {
  return figures.map(({ name, quantity }) => ` ${stopped(ADVICE[name]?.(amount(quantity)) ?? '')}`).join('');
}

function computed(figure: Figure): boolean {
  return figure.rule !== undefined && WORKED_OUT.has(figure.rule);
}

/** Names of figures that would read like a code. */
const FIGURES: Readonly<Record<string, string>> = {
  'balance-margin-off': 'margin with the pack out',
  'front-load-off': 'front load with the pack out',
  'rear-load-off': 'rear load with the pack out',
  'cure-handle': 'cured for handling in',
  'cure-test': 'for the leak test in',
  'cure-drive': 'for driving in',
  'coolant-went-in': 'went in',
  'coolant-came-out': 'came out',
  'coolant-difference': 'difference',
  'spill-estimate': 'all in all near',
};

/** Figures with the limits that applied: `open time 18 min, at least 14 min; cured for handling in 9.5 h`. */
export function figuresText(figures: readonly Figure[], most = 4): string {
  const texts = figures.slice(0, most).map((figure) => {
    const limits = limitsOf(figure);
    return `${FIGURES[figure.name] ?? spaced(figure.name)} ${amount(figure.quantity)}${limits === '' ? '' : `, ${limits}`}`;
  });
  const more = figures.length - most;
  return `${texts.join('; ')}${more > 0 ? `; and ${more} more` : ''}`;
}

/** `at least 1 MΩ`, `5 to 9 N·m`; empty where none applied. */
export function limitsOf(figure: Figure | undefined): string {
  if (figure === undefined) return '';
  const { min, max } = figure;
  if (same(figure) && max !== undefined) return `${amount(max)} counted before`;
  if (exact(figure) && max !== undefined) return `${amount(max)} asked`;
  if (min !== undefined && max !== undefined) return `${alone(min, max)} to ${amount(max)}`;
  if (min !== undefined) return `at least ${amount(min)}`;
  return max === undefined ? '' : `at most ${amount(max)}`;
}

/** A lower limit without its unit where the upper one says it. */
function alone(min: Quantity, max: Quantity): string {
  return min.unit === max.unit ? printNumber(min.value, 6) : amount(min);
}

function outside({ quantity, min, max }: Figure): boolean {
  // Volts are as dangerous with the probes crossed.
  const size = dimensionOf(quantity.unit) === 'voltage' ? Math.abs(quantity.value) : quantity.value;
  const over = max !== undefined && size > valueIn(max, quantity.unit);
  const under = min !== undefined && quantity.value < valueIn(min, quantity.unit);
  return over || under;
}

/** The reason of a hold in words: it may come as typed, from the flow, or as a code of ours. */
export function reasonText(job: Job, flow: Flow, reason: string): string {
  const step = flow.steps.find((one) => reason.startsWith(`${one.id}: `));
  const bare = step === undefined ? reason : reason.slice(step.id.length + 2);
  const fact = /^(cannot compute|nothing brings back) ([a-z0-9-]+)$/.exec(bare);
  if (fact?.[1] !== undefined && fact[2] !== undefined) {
    const label = labelOf(flow, fact[2]);
    if (fact[1] === 'cannot compute') return `no end time can be computed for: ${label}`;
    return `nothing in this flow brings back: ${label}`;
  }
  return BECAUSE[bare] ?? filled(job, bare);
}

/** `vehicle.cover-torque` said with where it comes from: `cover torque (vehicle)`. */
export function keyText(key: string): string {
  return `${nameOfKey(key)} (${key.slice(0, Math.max(0, key.indexOf('.')))})`;
}
