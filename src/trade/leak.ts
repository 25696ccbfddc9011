/**
 * How much gas an enclosure loses, from the pressure it loses.
 *
 *     Q = V · T1 · (p1/T1 − p2/T2) / (t2 − t1)          absolute pressures, kelvin; Pa·m³/s at T1
 *
 * Ideal gas law; with equal temperatures it is Q = V · Δp / Δt (leak-test application bulletin). The temperature term needs
 * ABSOLUTE pressure: gauge readings under-correct. Good for dry air at workshop temperatures and up to some bar; a rigid
 * volume and one temperature for all of the gas are assumed.
 */
import { notPositive, type Refused, refuse } from './refused.js';

/** Throughput of one of each, Pa·m³/s. Exact, from 101,325 Pa/atm, 100 Pa/mbar and 101,325/760 Pa/Torr. */
export const THROUGHPUT = {
  sccm: 101_325e-6 / 60,
  'mbar·l/s': 0.1,
  'atm·cm³/s': 0.101_325,
  'Torr·l/s': 101.325 / 760,
} as const;

/** CODATA, exact since 2019, J/(mol·K); from memory. */
export const GAS_CONSTANT = 8.314_462_618_153_24;

/** sccm means nothing without its temperature: 0 °C in vacuum work, 20 °C in a testing handbook; 7.3 % apart in moles. */
export const SCCM_REFERENCES = [0, 20] as const;
export type SccmReference = (typeof SCCM_REFERENCES)[number];

const ZERO_CELSIUS = 273.15;
/** Gas in a workshop: outside it a temperature is in the wrong unit. Common practice, no source. */
const KELVIN = { from: 233.15, to: 353.15 };

export type GasRefused = Refused<'not-positive' | 'not-a-number' | 'temperature-out-of-range'>;

/** Two states of the same gas: absolute pressures, and its temperatures. */
export type Decay = {
  readonly volumeM3: number;
  readonly p1PaAbs: number;
  readonly p2PaAbs: number;
  readonly t1K: number;
  readonly t2K: number;
  readonly seconds: number;
};

/**
 * Leak rate in Pa·m³/s at T1, positive when gas is lost, negative when it came in (a vessel below atmosphere).
 * Valid: volume, pressures and time above 0, gas between −40 and 80 °C given in kelvin.
 */
export function leakRate(decay: Decay): { readonly ok: true; readonly paM3PerS: number } | GasRefused {
  const { volumeM3, p1PaAbs, p2PaAbs, t1K, t2K, seconds } = decay;
  const fault = notPositive({ volumeM3, p1PaAbs, p2PaAbs, seconds }) ?? kelvinFault({ t1K, t2K });
  if (fault) return fault;
  return { ok: true, paM3PerS: (volumeM3 * (p1PaAbs - p2PaAbs * (t1K / t2K))) / seconds };
}

/** The pressure the same gas would have at another temperature, p2 = p1 · T2/T1, absolute. Valid as `leakRate`. */
export function pressureAt(
  p1PaAbs: number,
  t1K: number,
  t2K: number,
): { readonly ok: true; readonly paAbs: number; readonly paPerK: number } | GasRefused {
  const fault = notPositive({ p1PaAbs }) ?? kelvinFault({ t1K, t2K });
  return fault ?? { ok: true, paAbs: p1PaAbs * (t2K / t1K), paPerK: p1PaAbs / t1K };
}

/** A leak rate of gas at `gasK` in standard cubic centimetres a minute, with the reference that makes it mean something. */
export function toSccm(
  paM3PerS: number,
  gasK: number,
  referenceC: SccmReference,
): { readonly ok: true; readonly sccm: number; readonly referenceC: SccmReference } | GasRefused {
  const fault = numberFault(paM3PerS) ?? kelvinFault({ gasK });
  if (fault) return fault;
  const atReference = paM3PerS * ((referenceC + ZERO_CELSIUS) / gasK);
  return { ok: true, sccm: atReference / THROUGHPUT.sccm, referenceC };
}

/** A leak rate of gas at `gasK` in mol/s: pV/(R·T). */
export function toMolPerSecond(
  paM3PerS: number,
  gasK: number,
): { readonly ok: true; readonly molPerS: number } | GasRefused {
  const fault = numberFault(paM3PerS) ?? kelvinFault({ gasK });
  return fault ?? { ok: true, molPerS: paM3PerS / (GAS_CONSTANT * gasK) };
}

function numberFault(paM3PerS: number): Refused<'not-a-number'> | null {
  return Number.isFinite(paM3PerS) ? null : refuse('not-a-number', 'paM3PerS', paM3PerS);
}

/** Catches degrees Celsius given for kelvin, too. */
function kelvinFault(
  temperatures: Readonly<Record<string, number>>,
): Refused<'temperature-out-of-range'> | null {
  for (const [what, kelvin] of Object.entries(temperatures)) {
    if (!(kelvin >= KELVIN.from)) return refuse('temperature-out-of-range', what, kelvin, KELVIN.from);
    if (kelvin > KELVIN.to) return refuse('temperature-out-of-range', what, kelvin, KELVIN.to);
  }
  return null;
}
