/**
 * Glycol and water: frost point from concentration and back, volume per cent against mass per cent, density at 20 °C.
 *
 * Table: ASHRAE Handbook Fundamentals, 2001 edition data, freezing points of aqueous glycol by mass AND by volume, 0 to
 * 60 mass %, a smooth curve between its rows (`curve.ts`). It was chosen because it alone gives both kinds of per cent and
 * because for ethylene glycol it is the careful one: Melinder 2010 freezes up to 2.2 K lower (50 mass %), a handbook table
 * 2.9 K (60 mass %). For propylene glycol it promises up to 0.5 K more than Melinder (45 mass %), 0.9 K more than Lange's
 * handbook from 30 volume % up (40 volume %) and 1.4 K more in thinner mixtures: keep a margin of 2 K. The tests hold and
 * print these deviations.
 *
 * Above 60 mass % it is refused: past some 60 to 70 % more glycol protects LESS (pure ethylene glycol freezes at −13 °C),
 * and one frost point would mean two concentrations. Pure glycol and water; inhibitors of a real coolant shift it slightly,
 * so its maker's own table comes first. A frost point is where crystals begin, not where a pipe bursts.
 */
import { curveAt, type Point } from './curve.js';
import { type Refused, refuse } from './refused.js';

export const GLYCOLS = ['ethylene', 'propylene'] as const;
export type Glycol = (typeof GLYCOLS)[number];

/** Which per cent is always said: 50 % of ethylene glycol freeze at −37 °C by volume, at −34 °C by mass. */
export type Strength = { readonly by: 'volume' | 'mass'; readonly percent: number };

type Row = { readonly mass: number; readonly volume: number; readonly celsius: number };
const table = (rows: readonly (readonly [number, number, number])[]): readonly Row[] =>
  rows.map(([mass, volume, celsius]) => ({ mass, volume, celsius }));

/** Mass %, volume %, frost point in °C. ASHRAE 2001. */
const FROST: Readonly<Record<Glycol, readonly Row[]>> = {
  ethylene: table([
    [0, 0, 0],
    [5, 4.4, -1.4],
    [10, 8.9, -3.2],
    [15, 13.6, -5.4],
    [20, 18.1, -7.8],
    [25, 22.9, -10.7],
    [30, 27.7, -14.1],
    [33, 30.6, -16.2],
    [35, 32.6, -17.9],
    [40, 37.5, -22.3],
    [45, 42.5, -27.5],
    [50, 47.6, -33.8],
    [52, 49.6, -36.4],
    [55, 52.7, -41.1],
    [60, 57.8, -48.3],
  ]),
  propylene: table([
    [0, 0, 0],
    [5, 4.8, -1.6],
    [10, 9.6, -3.3],
    [15, 14.5, -5.1],
    [20, 19.4, -7.1],
    [25, 24.4, -9.6],
    [30, 29.4, -12.7],
    [33, 32.4, -14.8],
    [35, 34.4, -16.4],
    [40, 39.6, -21.1],
    [45, 44.7, -26.7],
    [50, 49.9, -33.5],
    [52, 51.9, -36.6],
    [55, 55, -41.6],
    [60, 60, -51.1],
  ]),
};

const CURVES: Readonly<Record<Glycol, readonly Point[]>> = {
  ethylene: FROST.ethylene.map(({ volume, celsius }) => ({ x: volume, y: celsius })),
  propylene: FROST.propylene.map(({ volume, celsius }) => ({ x: volume, y: celsius })),
};

/** kg/m³ at 20 °C by volume % in tens from 0 to 60. ASHRAE 2001; water 998.2, from memory. */
const DENSITY: Readonly<Record<Glycol, readonly number[]>> = {
  ethylene: [998.2, 1013.34, 1029.72, 1045.25, 1059.68, 1073.35, 1086.27],
  propylene: [998.2, 1008.13, 1019.01, 1028.35, 1036.24, 1042.87, 1048.25],
};

/** The end of the table, 60 mass %, in volume %: more than this is refused. */
export const MOST_VOLUME_PERCENT: Readonly<Record<Glycol, number>> = { ethylene: 57.8, propylene: 60 };

export type StrengthRefused = Refused<'not-a-strength' | 'too-strong'>;
export type Frost = {
  readonly ok: true;
  readonly celsius: number;
  readonly volumePercent: number;
  readonly massPercent: number;
};

/**
 * Frost point of a mixture, with its strength in both kinds of per cent. Valid: 0 to 60 mass %, which is 57.8 volume % of
 * ethylene and 60 volume % of propylene glycol; above that `too-strong`, as the curve turns.
 */
export function frostPoint(glycol: Glycol, strength: Strength): Frost | StrengthRefused {
  const { by, percent } = strength;
  if (!(percent >= 0)) return refuse('not-a-strength', 'percent', percent, 0);
  const volume = by === 'volume' ? percent : across(glycol, 'mass', percent);
  const found = volume === null ? null : byVolume(glycol, volume);
  return found ?? refuse('too-strong', 'percent', percent, last(glycol)[by]);
}

/**
 * The strength whose frost point is this one: the inverse of `frostPoint`. Valid: 0 °C down to −48.3 °C (ethylene) or
 * −51.1 °C (propylene).
 */
export function strengthFor(
  glycol: Glycol,
  celsius: number,
): Frost | Refused<'above-freezing' | 'below-the-table'> {
  if (!(celsius <= 0)) return refuse('above-freezing', 'celsius', celsius, 0);
  const coldest = last(glycol).celsius;
  if (celsius < coldest) return refuse('below-the-table', 'celsius', celsius, coldest);
  let [low, high] = [0, last(glycol).volume];
  for (let halvings = 0; halvings < 60; halvings += 1) {
    const middle = (low + high) / 2;
    if ((curveAt(CURVES[glycol], middle) ?? coldest) > celsius) low = middle;
    else high = middle;
  }
  // The stronger end of what is left, so that rounding never promises too much.
  return byVolume(glycol, high) ?? refuse('below-the-table', 'celsius', celsius, coldest);
}

/** Density at 20 °C in kg/m³. Valid: 0 to 60 volume %, and 0 to 60 mass %. */
export function densityAt20(
  glycol: Glycol,
  strength: Strength,
): { readonly ok: true; readonly kgPerM3: number } | StrengthRefused {
  const { by, percent } = strength;
  if (!(percent >= 0)) return refuse('not-a-strength', 'percent', percent, 0);
  const volume = by === 'volume' ? percent : across(glycol, 'mass', percent);
  if (volume === null || volume > 60) return refuse('too-strong', 'percent', percent, 60);
  const below = Math.min(Math.floor(volume / 10), 5);
  const [from = 0, to = 0] = DENSITY[glycol].slice(below, below + 2);
  return { ok: true, kgPerM3: from + (to - from) * (volume / 10 - below) };
}

/** What coolant caught in a tray was in litres at 20 °C, from its weight: V = m / ρ. Mass above 0; strength as above. */
export function litresOf(
  massKg: number,
  glycol: Glycol,
  strength: Strength,
): { readonly ok: true; readonly litres: number } | StrengthRefused | Refused<'not-positive'> {
  if (!(Number.isFinite(massKg) && massKg > 0)) return refuse('not-positive', 'massKg', massKg, 0);
  const density = densityAt20(glycol, strength);
  return density.ok ? { ok: true, litres: (massKg / density.kgPerM3) * 1000 } : density;
}

/** Volume % of a mass %, on the straight line between two rows; null beyond the last one. The columns run nearly straight. */
function across(glycol: Glycol, from: 'mass' | 'volume', percent: number): number | null {
  const rows = FROST[glycol];
  const to = from === 'mass' ? 'volume' : 'mass';
  const above = rows.findIndex((row) => row[from] >= percent);
  const [high, low] = [rows[above], rows[Math.max(0, above - 1)]];
  if (high === undefined || low === undefined) return null;
  const part = high === low ? 0 : (percent - low[from]) / (high[from] - low[from]);
  return low[to] + (high[to] - low[to]) * part;
}

function byVolume(glycol: Glycol, volume: number): Frost | null {
  const celsius = curveAt(CURVES[glycol], volume);
  const mass = across(glycol, 'volume', volume);
  if (celsius === null || mass === null) return null;
  return { ok: true, celsius: tidy(celsius), volumePercent: tidy(volume), massPercent: tidy(mass) };
}

function last(glycol: Glycol): Row {
  return FROST[glycol].at(-1) ?? { mass: 0, volume: 0, celsius: 0 };
}

/** Takes the dust of binary arithmetic off, and the sign of a zero. */
function tidy(value: number): number {
  return Math.round(value * 1e9) / 1e9 + 0;
}
