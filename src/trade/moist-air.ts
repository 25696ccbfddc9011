/**
 * Moist air: saturation pressure, water content, dew point, and whether a cold surface will sweat.
 *
 * Saturation over liquid water: Murphy and Koop, Q. J. R. Meteorol. Soc. 131 (2005), valid 123 K to 332 K. It was
 * chosen for being nearest to the ASHRAE 2017 formulation of psychrolib 1.1.1 between 0.1 and 50 C: 0.026 %
 * measured in the tests, against 0.29 % for the WMO Magnus form. Below 0 C it is still over liquid (supercooled)
 * water, as weather services and hygrometers count it, so it lies above psychrolib's ice branch there.
 * Water content: ideal gas, rho = M e / (R T), M = 18.01528 g/mol, R = 8.314462618 J/(mol K).
 */
import { type Refused, refuse } from './refused.js';

const ZERO_CELSIUS_KELVIN = 273.15;
/** g K / J: M / R. */
const WATER_GRAMS_KELVIN_PER_JOULE = 18.01528 / 8.314462618;
export const AIR_CELSIUS = { least: -40, most: 50 } as const;
/** How far a surface must stay above the dew point before a pack is opened. Common practice, no source. */
export const DEW_MARGIN_KELVIN = 3;

/** Air as a hygrometer shows it. Valid: -40 to 50 C, above 0 and up to 100 % RH. */
export type Air = { readonly celsius: number; readonly percentRh: number };

export type AirRefusal = Refused<'too-cold' | 'too-warm' | 'too-dry' | 'too-moist'>;

/** Refuses air outside -40 to 50 C or outside 0 (exclusive) to 100 % RH; a value that is no number is refused too. */
function outside({ celsius, percentRh }: Air): AirRefusal | null {
  if (!(celsius >= AIR_CELSIUS.least)) return refuse('too-cold', 'celsius', celsius, AIR_CELSIUS.least);
  if (!(celsius <= AIR_CELSIUS.most)) return refuse('too-warm', 'celsius', celsius, AIR_CELSIUS.most);
  if (!(percentRh > 0)) return refuse('too-dry', 'percentRh', percentRh, 0);
  if (!(percentRh <= 100)) return refuse('too-moist', 'percentRh', percentRh, 100);
  return null;
}

function saturation(celsius: number): number {
  const t = celsius + ZERO_CELSIUS_KELVIN;
  const lnT = Math.log(t);
  return Math.exp(
    54.842763 -
      6763.22 / t -
      4.21 * lnT +
      0.000367 * t +
      Math.tanh(0.0415 * (t - 218.8)) * (53.878 - 1331.22 / t - 9.44523 * lnT + 0.014025 * t),
  );
}

/** Saturation vapour pressure over liquid water, in pascals. Valid: -40 to 50 C. */
export const saturationPascals = (celsius: number): number | AirRefusal =>
  outside({ celsius, percentRh: 100 }) ?? saturation(celsius);

/** Grams of water per cubic metre from a vapour pressure: rho = (M / R) e / T. Ideal gas; T above absolute zero. */
export const vapourDensity = (vapourPascals: number, celsius: number): number =>
  (WATER_GRAMS_KELVIN_PER_JOULE * vapourPascals) / (celsius + ZERO_CELSIUS_KELVIN);

/** Absolute humidity in g/m3. */
export const absoluteHumidity = (air: Air): number | AirRefusal =>
  outside(air) ?? vapourDensity((saturation(air.celsius) * air.percentRh) / 100, air.celsius);

/**
 * Dew point in C: the temperature whose saturation pressure equals the vapour pressure of this air, by bisection
 * of the same formula. Below 0 C it is the dew point over liquid water, a little under the frost point.
 */
export function dewPoint(air: Air): number | AirRefusal {
  const fault = outside(air);
  if (fault !== null) return fault;
  const vapourPascals = (saturation(air.celsius) * air.percentRh) / 100;
  // 123 K, the lower end of the formula, is far below the dew point of any air a hygrometer can show.
  let [low, high] = [123 - ZERO_CELSIUS_KELVIN, air.celsius];
  for (let halvings = 0; halvings < 60; halvings += 1) {
    const middle = (low + high) / 2;
    if (saturation(middle) < vapourPascals) low = middle;
    else high = middle;
  }
  return high;
}

export type DewJudgement = {
  readonly ok: true;
  /** True when surface minus dew point is at least the margin. */
  readonly staysDry: boolean;
  readonly dewPointCelsius: number;
  /** Surface minus dew point, in kelvin; negative when it is already wet. */
  readonly aboveDewKelvin: number;
};

/**
 * Will a cold surface (pack skin, cover flange) stay dry in this air? Passes when surface - dew point >= margin.
 * Valid: air as above; surface -40 to 80 C; margin zero or more (3 K is common practice, no source).
 */
export function judgeDew(asked: {
  readonly surfaceCelsius: number;
  readonly air: Air;
  readonly marginKelvin?: number;
}): DewJudgement | AirRefusal | Refused<'bad-surface' | 'bad-margin'> {
  const { surfaceCelsius, air, marginKelvin = DEW_MARGIN_KELVIN } = asked;
  if (!(surfaceCelsius >= AIR_CELSIUS.least && surfaceCelsius <= 80))
    return refuse('bad-surface', 'surfaceCelsius', surfaceCelsius);
  if (!(marginKelvin >= 0)) return refuse('bad-margin', 'marginKelvin', marginKelvin, 0);
  const dewPointCelsius = dewPoint(air);
  if (typeof dewPointCelsius !== 'number') return dewPointCelsius;
  const aboveDewKelvin = surfaceCelsius - dewPointCelsius;
  return { ok: true, staysDry: aboveDewKelvin >= marginKelvin, dewPointCelsius, aboveDewKelvin };
}
