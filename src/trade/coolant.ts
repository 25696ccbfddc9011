/**
 * Coolant that came out against coolant that went in, and whether a refractometer may be believed.
 *
 *     difference = in − out
 *
 * A circuit that takes more than it gave has lost it where nobody looked: in a pack that is alarm. One that takes less holds
 * air. Volumes at about one temperature are assumed: glycol and water grow some 0.05 % a kelvin, 5 ml in 10 l (from memory),
 * so coolant drained warm is let cool before it is read. The tolerance is the shop's; no source gives one.
 */
import { type Refused, refuse } from './refused.js';

export const BALANCE_OUTCOMES = ['may-be-in-the-pack', 'air-left', 'balanced'] as const;
export type BalanceOutcome = (typeof BALANCE_OUTCOMES)[number];

export type CoolantBalance = {
  readonly ok: true;
  /** Only 'balanced' passes. 'may-be-in-the-pack' holds the job, 'air-left' is bled again. */
  readonly outcome: BalanceOutcome;
  /** In minus out; more went in where it is above 0. */
  readonly differenceMl: number;
};

export type BalanceRefused = Refused<'tray-not-read' | 'fill-not-noted' | 'bad-volume' | 'bad-tolerance'>;

/**
 * Both alarms of the balance. Exactly the tolerance passes. A tray that was emptied unread (null) is refused, never taken
 * for nil or for what ought to have been in it; so is a fill that nobody noted. Valid: volumes of 0 ml or more, tolerance
 * above 0 ml.
 */
export function balanceCoolant(asked: {
  readonly outMl: number | null;
  readonly inMl: number | null;
  readonly toleranceMl: number;
}): CoolantBalance | BalanceRefused {
  const { outMl, inMl, toleranceMl } = asked;
  if (outMl === null) return refuse('tray-not-read', 'outMl', null);
  if (inMl === null) return refuse('fill-not-noted', 'inMl', null);
  if (!(Number.isFinite(outMl) && outMl >= 0)) return refuse('bad-volume', 'outMl', outMl, 0);
  if (!(Number.isFinite(inMl) && inMl >= 0)) return refuse('bad-volume', 'inMl', inMl, 0);
  if (!(Number.isFinite(toleranceMl) && toleranceMl > 0))
    return refuse('bad-tolerance', 'toleranceMl', toleranceMl, 0);
  const differenceMl = Math.round((inMl - outMl) * 1e6) / 1e6 + 0;
  if (differenceMl > toleranceMl) return { ok: true, outcome: 'may-be-in-the-pack', differenceMl };
  return { ok: true, outcome: differenceMl < -toleranceMl ? 'air-left' : 'balanced', differenceMl };
}

/** What the instrument's own sheet says of temperature: the sample temperatures that it corrects for, or was made for. */
export type Refractometer = { readonly fromCelsius: number; readonly toCelsius: number };

/**
 * Whether a frost point read in a refractometer counts. No source here supports a correction of ours, so none is made: a
 * sample inside the instrument's own range is taken as read, any other is refused, and so is an instrument whose range
 * nobody knows (`no-correction`): read its sheet, or let the sample come to the temperature it was made for.
 */
export function frostRead(asked: {
  readonly readCelsius: number;
  readonly sampleCelsius: number;
  readonly instrument: Refractometer | null;
}):
  | { readonly ok: true; readonly celsius: number }
  | Refused<'no-correction' | 'sample-too-cold' | 'sample-too-warm' | 'above-freezing'> {
  const { readCelsius, sampleCelsius, instrument } = asked;
  if (!(readCelsius <= 0)) return refuse('above-freezing', 'readCelsius', readCelsius, 0);
  if (instrument === null) return refuse('no-correction', 'instrument', null);
  const { fromCelsius, toCelsius } = instrument;
  if (!(sampleCelsius >= fromCelsius))
    return refuse('sample-too-cold', 'sampleCelsius', sampleCelsius, fromCelsius);
  if (sampleCelsius > toCelsius) return refuse('sample-too-warm', 'sampleCelsius', sampleCelsius, toCelsius);
  return { ok: true, celsius: readCelsius };
}
