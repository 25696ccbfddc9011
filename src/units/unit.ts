import { type Ratio, times } from './exact.js';

/** Every unit the workshop's figures may come in, by its one printed symbol. US measures carry no mark, imperial ones `imp`. */
export const UNITS = [
  'V',
  'mV',
  'kV',
  'A',
  'mA',
  'mΩ',
  'Ω',
  'kΩ',
  'MΩ',
  'GΩ',
  'Ω/V',
  'F',
  'µF',
  'J',
  'kJ',
  'kWh',
  'N·m',
  'lbf·ft',
  'lbf·in',
  'kgf·m',
  '°',
  'ml',
  'l',
  'fl oz',
  'imp fl oz',
  'pint',
  'imp pint',
  'qt',
  'imp qt',
  'gal',
  'imp gal',
  'ml/min',
  '°C',
  '°F',
  'K',
  '%',
  'Pa',
  'hPa',
  'kPa',
  'mbar',
  'bar',
  'psi',
  'g',
  'kg',
  'lb',
  'mm',
  'cm',
  'm',
  'in',
  'ft',
  'km',
  'mi',
  'mm²',
  'm²',
  's',
  'min',
  'h',
  'd',
  'pcs',
] as const;
export type Unit = (typeof UNITS)[number];

export const DIMENSIONS = [
  'voltage',
  'current',
  'resistance',
  'resistance-per-volt',
  'capacitance',
  'energy',
  'torque',
  'angle',
  'volume',
  'flow-rate',
  'temperature',
  'fraction',
  'pressure',
  'mass',
  'length',
  'area',
  'time',
  'count',
] as const;
export type Dimension = (typeof DIMENSIONS)[number];

/** In the base unit of the dimension a value is `(value + offset) × scale`. */
export type Scale = { readonly dimension: Dimension; readonly scale: Ratio; readonly offset: Ratio };

function unit(dimension: Dimension, over: bigint, under = 1n, offset: Ratio = [0n, 1n]): Scale {
  return { dimension, scale: [over, under], offset };
}

// Definitions: NIST SP 811 (2008), appendix B. lb = 0.45359237 kg, in = 0.0254 m, standard gravity 9.80665 m/s²,
// US gallon = 231 in³, imperial gallon = 4.54609 l, all exact by definition; the rest are their products.
const POUND: Ratio = [45_359_237n, 100_000_000n];
const GRAVITY: Ratio = [980_665n, 100_000n];
const INCH: Ratio = [254n, 10_000n];
const POUND_FORCE: Ratio = times(POUND, GRAVITY);
const POUND_INCH: Ratio = times(POUND_FORCE, INCH);
const US_GALLON_ML: Ratio = [3_785_411_784n, 1_000_000n];
const IMPERIAL_GALLON_ML: Ratio = [4_546_090n, 1_000n];
const ZERO_CELSIUS: Ratio = [27_315n, 100n];
const ZERO_FAHRENHEIT: Ratio = [45_967n, 100n];

const SCALES: { readonly [U in Unit]: Scale } = {
  V: unit('voltage', 1n),
  mV: unit('voltage', 1n, 1_000n),
  kV: unit('voltage', 1_000n),
  A: unit('current', 1n),
  mA: unit('current', 1n, 1_000n),
  mΩ: unit('resistance', 1n, 1_000n),
  Ω: unit('resistance', 1n),
  kΩ: unit('resistance', 1_000n),
  MΩ: unit('resistance', 1_000_000n),
  GΩ: unit('resistance', 1_000_000_000n),
  'Ω/V': unit('resistance-per-volt', 1n),
  F: unit('capacitance', 1n),
  µF: unit('capacitance', 1n, 1_000_000n),
  J: unit('energy', 1n),
  kJ: unit('energy', 1_000n),
  kWh: unit('energy', 3_600_000n),
  N·m: unit('torque', 1n),
  lbf·ft: unit('torque', POUND_INCH[0] * 12n, POUND_INCH[1]),
  lbf·in: unit('torque', ...POUND_INCH),
  kgf·m: unit('torque', ...GRAVITY),
  '°': unit('angle', 1n),
  ml: unit('volume', 1n),
  l: unit('volume', 1_000n),
  'fl oz': unit('volume', US_GALLON_ML[0], US_GALLON_ML[1] * 128n),
  'imp fl oz': unit('volume', IMPERIAL_GALLON_ML[0], IMPERIAL_GALLON_ML[1] * 160n),
  pint: unit('volume', US_GALLON_ML[0], US_GALLON_ML[1] * 8n),
  'imp pint': unit('volume', IMPERIAL_GALLON_ML[0], IMPERIAL_GALLON_ML[1] * 8n),
  qt: unit('volume', US_GALLON_ML[0], US_GALLON_ML[1] * 4n),
  'imp qt': unit('volume', IMPERIAL_GALLON_ML[0], IMPERIAL_GALLON_ML[1] * 4n),
  gal: unit('volume', ...US_GALLON_ML),
  'imp gal': unit('volume', ...IMPERIAL_GALLON_ML),
  'ml/min': unit('flow-rate', 1n),
  K: unit('temperature', 1n),
  '°C': unit('temperature', 1n, 1n, ZERO_CELSIUS),
  '°F': unit('temperature', 5n, 9n, ZERO_FAHRENHEIT),
  '%': unit('fraction', 1n),
  Pa: unit('pressure', 1n),
  hPa: unit('pressure', 100n),
  kPa: unit('pressure', 1_000n),
  mbar: unit('pressure', 100n),
  bar: unit('pressure', 100_000n),
  psi: unit('pressure', POUND_FORCE[0] * INCH[1] * INCH[1], POUND_FORCE[1] * INCH[0] * INCH[0]),
  g: unit('mass', 1n, 1_000n),
  kg: unit('mass', 1n),
  lb: unit('mass', ...POUND),
  mm: unit('length', 1n, 1_000n),
  cm: unit('length', 1n, 100n),
  m: unit('length', 1n),
  in: unit('length', ...INCH),
  ft: unit('length', INCH[0] * 12n, INCH[1]),
  km: unit('length', 1_000n),
  mi: unit('length', INCH[0] * 12n * 5_280n, INCH[1]),
  'mm²': unit('area', 1n, 1_000_000n),
  'm²': unit('area', 1n),
  s: unit('time', 1n),
  min: unit('time', 60n),
  h: unit('time', 3_600n),
  d: unit('time', 86_400n),
  pcs: unit('count', 1n),
};

const SYMBOLS: ReadonlySet<string> = new Set(UNITS);

/** Whether a text is exactly one of our symbols: `N·m`, not `Nm`. */
export function isUnit(text: string): text is Unit {
  return SYMBOLS.has(text);
}

/** What a unit measures. */
export function dimensionOf(unit: Unit): Dimension {
  return SCALES[unit].dimension;
}

/** The exact factor and offset of a unit. */
export function scaleOf(unit: Unit): Scale {
  return SCALES[unit];
}
