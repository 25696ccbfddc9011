import { balanceCoolant, frostRead } from '../trade/coolant.js';
import { GLYCOLS, type Glycol, strengthFor } from '../trade/glycol.js';
import { topUpFor } from '../trade/top-up.js';
import type { Figure } from './event.js';
import type { Job } from './job.js';
import { hold, type Judgement, missing, needed, passed, read, round } from './judgement.js';
import { cameOut, wentIn } from './pour.js';

/** Judgements of the coolant circuit. */

/** Out against in. What went in and is not seen is held, whatever the flow says; air is bled again. */
export function coolantBalance(job: Job): Judgement {
  const toleranceMl = needed(job, 'shop.coolant-tolerance', 'ml');
  if (toleranceMl === null) return missing();
  const outMl = cameOut(job);
  const inMl = wentIn(job);
  const judged = balanceCoolant({ outMl, inMl, toleranceMl });
  if (!judged.ok) {
    if (!leftSo(job, inMl, toleranceMl)) return { ...hold(judged.because), firm: true };
    return notKnown([...volume('coolant-went-in', inMl), ...volume('coolant-came-out', outMl)]);
  }
  const figures: Figure[] = [
    ...volume('coolant-went-in', inMl),
    ...volume('coolant-came-out', outMl),
    {
      name: 'coolant-difference',
      quantity: { value: round(judged.differenceMl, 0), unit: 'ml' },
      min: { value: -toleranceMl, unit: 'ml' },
      max: { value: toleranceMl, unit: 'ml' },
      rule: 'volume-balance',
    },
  ];
  if (judged.outcome === 'balanced') return passed(figures);
  if (leftSo(job, inMl, toleranceMl)) return notKnown(figures);
  if (judged.outcome === 'air-left') return { verdict: 'again', because: judged.outcome, figures };
  return { ...hold(judged.outcome, figures), firm: true, alarm: true };
}

/**
 * Whether the foreman let the balance be not known, and no more has gone in since than the tolerance: what goes in
 * after that is an alarm again.
 */
function leftSo({ balanceLeft }: Job, inMl: number | null, toleranceMl: number): boolean {
  if (balanceLeft === null) return false;
  if (inMl === null || balanceLeft.inMl === null) return inMl === balanceLeft.inMl;
  return inMl <= balanceLeft.inMl + toleranceMl;
}

/** It goes on, and nothing says that the coolant is in balance. */
function notKnown(figures: readonly Figure[]): Judgement {
  return { verdict: 'passed', because: 'balance-not-known', figures };
}

function volume(name: string, ml: number | null): readonly Figure[] {
  return ml === null ? [] : [{ name, quantity: { value: round(ml, 0), unit: 'ml' }, rule: 'volume-balance' }];
}

/** Frost point read against the vehicle's. Too warm: what to swap, where volume and glycol are known. */
export function frost(job: Job): Judgement {
  const needs = job.values['vehicle.frost-point']?.quantity ?? null;
  const most = needed(job, 'vehicle.frost-point', '°C');
  const [celsius, sampleCelsius] = [read(job, 'frost-point', '°C'), read(job, 'sample-temp', '°C')];
  const reading = job.readings['frost-point']?.[0]?.quantity;
  if (needs === null || most === null || celsius === null || reading === undefined) return missing();
  if (sampleCelsius !== null) {
    const believed = frostRead({ readCelsius: celsius, sampleCelsius, instrument: refractometer(job) });
    if (!believed.ok) return { verdict: 'again', because: believed.because, figures: [] };
  }
  const figure: Figure = { name: 'frost-point', quantity: reading, max: needs, rule: 'maker' };
  if (celsius <= most) return passed([figure]);
  return hold('frost-point-too-warm', [figure, ...swap(job, celsius, most)]);
}

/** How strong the coolant is and has to be, and how much of a full circuit to drain for concentrate. */
function swap(job: Job, celsius: number, most: number): readonly Figure[] {
  const systemMl = needed(job, 'vehicle.coolant-volume', 'ml');
  const glycol = glycolOf(job);
  if (systemMl === null || glycol === null) return [];
  const [has, needs] = [strengthFor(glycol, celsius), strengthFor(glycol, most)];
  if (!has.ok || !needs.ok) return [];
  const strength: Figure = {
    name: 'coolant-strength',
    quantity: { value: round(has.volumePercent, 0), unit: '%' },
    min: { value: Math.ceil(needs.volumePercent), unit: '%' },
    rule: 'ashrae-2001',
  };
  const found = topUpFor({
    systemMl,
    inside: { ml: systemMl, glycol, volumePercent: has.volumePercent },
    atHand: { glycol, volumePercent: needed(job, 'shop.coolant-concentrate', '%') ?? 100 },
    targetCelsius: most,
  });
  if (!found.ok) return [strength];
  // Rounded up: a little too much protects, a little too little does not.
  const litres = Math.ceil(found.drainMl / 100) / 10;
  return [strength, { name: 'coolant-swap', quantity: { value: litres, unit: 'l' }, rule: 'volume-mixing' }];
}

function glycolOf(job: Job): Glycol | null {
  const text = job.values['vehicle.coolant-glycol']?.text ?? null;
  return GLYCOLS.find((glycol) => glycol === text) ?? null;
}

function refractometer(job: Job): { fromCelsius: number; toCelsius: number } | null {
  const [fromCelsius, toCelsius] = [
    needed(job, 'shop.refractometer-from', '°C'),
    needed(job, 'shop.refractometer-to', '°C'),
  ];
  return fromCelsius === null || toCelsius === null ? null : { fromCelsius, toCelsius };
}
