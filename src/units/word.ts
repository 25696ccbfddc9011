import type { Unit } from './unit.js';

/** What fitters write and dictate, folded: lower case, without blanks, dots, hyphens and product signs. */
const SPELLINGS: { readonly [U in Unit]?: readonly string[] } = {
  V: ['v', 'volt', 'volts', 'vdc', 'vac', 'voltsdc', 'voltsac'],
  mV: ['mv', 'millivolt', 'millivolts'],
  kV: ['kv', 'kilovolt', 'kilovolts'],
  A: ['a', 'amp', 'amps', 'ampere', 'amperes'],
  mA: ['ma', 'milliamp', 'milliamps'],
  mΩ: ['milliohm', 'milliohms'],
  Ω: ['Ω', 'ohm', 'ohms', 'r'],
  kΩ: ['kΩ', 'kohm', 'kohms', 'kilohm', 'kilohms', 'kiloohm', 'kiloohms'],
  MΩ: ['megohm', 'megohms', 'megaohm', 'megaohms', 'meg', 'megs', 'mega'],
  GΩ: ['gΩ', 'gohm', 'gohms', 'gigohm', 'gigohms', 'gigaohm', 'gigaohms', 'gig', 'gigs', 'giga'],
  'Ω/V': ['Ω/v', 'ohm/v', 'ohms/v', 'ohm/volt', 'ohms/volt', 'ohmpervolt', 'ohmspervolt'],
  F: ['farad', 'farads'],
  µF: ['µf', 'uf', 'microfarad', 'microfarads'],
  J: ['j', 'joule', 'joules'],
  kJ: ['kj', 'kilojoule', 'kilojoules'],
  kWh: ['kwh', 'kilowatthour', 'kilowatthours'],
  N·m: ['nm', 'nms', 'newtonmetre', 'newtonmetres', 'newtonmeter', 'newtonmeters', 'newtons/metre'],
  lbf·ft: [
    ...['ftlb', 'ftlbs', 'ftlbf', 'ft/lb', 'ft/lbs', 'lbft', 'lbsft', 'lbfft', 'lb/ft', 'lbs/ft', 'lbf/ft'],
    ...['footpound', 'footpounds', 'feetpounds', 'poundfoot', 'poundfeet', 'poundsfoot', 'poundsfeet'],
    ...['footlb', 'footlbs', 'footpoundsforce', 'poundsforcefoot'],
  ],
  lbf·in: [
    ...['inlb', 'inlbs', 'inlbf', 'in/lb', 'in/lbs', 'lbin', 'lbsin', 'lbfin', 'lbf/in'],
    ...['inchpound', 'inchpounds', 'inchespounds', 'poundinch', 'poundinches', 'poundsinch', 'poundsinches'],
    ...['inchlb', 'inchlbs'],
  ],
  kgf·m: ['kgm', 'kgfm', 'mkg', 'mkgf', 'kilogrammetre', 'kilogrammetres', 'kilogrammeter', 'kilogrammeters'],
  '°': ['°'],
  ml: ['ml', 'mls', 'cc', 'ccs', ...metric('milli', 'litre', 'liter')],
  l: ['l', 'ltr', 'ltrs', 'lt', 'litre', 'litres', 'liter', 'liters'],
  'fl oz': [
    'floz',
    'fluidounce',
    'fluidounces',
    ...marked(['us', 'american'], ['floz', 'oz', 'fluidounce', 'fluidounces']),
  ],
  'imp fl oz': marked(['imp', 'imperial', 'uk'], ['floz', 'oz', 'fluidounce', 'fluidounces']),
  pint: marked(['us', 'american'], ['pint', 'pints', 'pt']),
  'imp pint': marked(['imp', 'imperial', 'uk'], ['pint', 'pints', 'pt']),
  qt: marked(['us', 'american'], ['qt', 'qts', 'quart', 'quarts']),
  'imp qt': marked(['imp', 'imperial', 'uk'], ['qt', 'qts', 'quart', 'quarts']),
  gal: marked(['us', 'american'], ['gal', 'gals', 'gallon', 'gallons']),
  'imp gal': marked(['imp', 'imperial', 'uk'], ['gal', 'gals', 'gallon', 'gallons']),
  'ml/min': [
    'ml/min',
    'mlpermin',
    'mlperminute',
    'ml/minute',
    'millilitresperminute',
    'millilitersperminute',
  ],
  '°C': [
    ...['°c', 'c', 'celsius', 'centigrade', 'degc', 'degsc', 'degreec', 'degreesc', 'degreescelsius'],
    ...['degreecelsius', 'degreescentigrade', 'deg', 'degs', 'degree', 'degrees'],
  ],
  '°F': ['°f', 'f', 'fahrenheit', 'degf', 'degsf', 'degreef', 'degreesf', 'degreesfahrenheit'],
  K: ['kelvin', 'kelvins', 'degk'],
  '%': ['%', 'percent', 'pct', 'pc'],
  Pa: ['pa', 'pascal', 'pascals'],
  hPa: ['hpa', 'hectopascal', 'hectopascals'],
  kPa: ['kpa', 'kilopascal', 'kilopascals'],
  mbar: ['mbar', 'mbars', 'millibar', 'millibars', 'mb'],
  bar: ['bar', 'bars'],
  psi: ['psi', 'lb/in²', 'poundspersquareinch'],
  g: ['gram', 'grams', 'gramme', 'grammes'],
  kg: ['kg', 'kgs', 'kilos', 'kilogram', 'kilograms', 'kilogramme', 'kilogrammes'],
  lb: ['lb', 'lbs', 'pound', 'pounds'],
  mm: ['mm', 'mms', ...metric('milli', 'metre', 'meter')],
  cm: ['cm', 'cms', ...metric('centi', 'metre', 'meter')],
  m: ['metre', 'metres', 'meter', 'meters'],
  in: ['in', 'ins', 'inch', 'inches', '"'],
  ft: ['ft', 'foot', 'feet'],
  km: ['km', 'kms', ...metric('kilo', 'metre', 'meter')],
  mi: ['mi', 'mile', 'miles'],
  'mm²': ['mm²', 'mm2', 'squaremm', 'sqmm'],
  'm²': ['m²', 'm2', 'squaremetres', 'squaremeters', 'sqm'],
  s: ['s', 'sec', 'secs', 'second', 'seconds'],
  min: ['min', 'mins', 'minute', 'minutes'],
  h: ['h', 'hr', 'hrs', 'hour', 'hours'],
  d: ['d', 'day', 'days'],
  pcs: ['pcs', 'piece', 'pieces'],
};

/** Where only the case tells a thousandth from a million, or kelvin from a thousand ohms. Null: asked back. */
const CASED: ReadonlyMap<string, Unit | null> = new Map<string, Unit | null>([
  ['MΩ', 'MΩ'],
  ['mΩ', null],
  ['M', 'MΩ'],
  ['m', 'm'],
  ['G', 'GΩ'],
  ['g', 'g'],
  ['k', 'kΩ'],
  ['K', null],
  ...['Mohm', 'Mohms', 'MOhm', 'MOhms'].map((word) => [word, 'MΩ'] as const),
  ...['MV', 'Mv', 'MA', 'Ma'].map((word) => [word, null] as const),
]);

const US_OR_IMPERIAL: readonly (readonly [readonly string[], readonly Unit[]])[] = [
  [
    ['oz', 'ozs', 'ounce', 'ounces', 'floz', 'fluidounce', 'fluidounces'],
    ['fl oz', 'imp fl oz'],
  ],
  [
    ['pint', 'pints', 'pt', 'pts'],
    ['pint', 'imp pint'],
  ],
  [
    ['qt', 'qts', 'quart', 'quarts'],
    ['qt', 'imp qt'],
  ],
  [
    ['gal', 'gals', 'gallon', 'gallons'],
    ['gal', 'imp gal'],
  ],
];

const AMBIGUOUS: ReadonlyMap<string, readonly Unit[]> = new Map([
  ...US_OR_IMPERIAL.flatMap(([words, units]) => words.map((word) => [word, units] as const)),
  ...['deg', 'degs', 'degree', 'degrees'].map((word) => [word, ['°C', '°F', '°'] as const] as const),
  ['kilo', ['kg', 'kΩ']],
  ['mil', ['ml', 'mm']],
  ['mils', ['ml', 'mm']],
  ...['mohm', 'mohms', 'mΩ'].map((word) => [word, ['MΩ', 'mΩ'] as const] as const),
]);

const WORDS: ReadonlyMap<string, Unit> = new Map(
  (Object.entries(SPELLINGS) as [Unit, readonly string[]][]).flatMap(([unit, words]) =>
    words.map((word) => [word, unit] as const),
  ),
);

/**
 * The unit a fitter means by a word: `nm`, `foot pounds`, `ft-lbs`, `megohms`, `mls`, `deg c`, `"`. Case counts only
 * where it must: `MV` is nobody's unit here and null, `Mohm` is MΩ; `mΩ` and `mohm` are null, being either. Words with several
 * readings are null (`oz`, `pint`, `kilo`, `K`), but for two with a usual one: `degrees` is °C and `fl oz` the US one;
 * ask `ambiguousUnit` too where that matters. In a word by itself `F` is °F; in files `parseQuantity` reads the farad.
 */
export function parseUnit(text: string): Unit | null {
  const bare = strip(text);
  const cased = CASED.get(bare);
  if (cased !== undefined) return cased;
  return WORDS.get(fold(bare)) ?? null;
}

/**
 * The readings of a word that has several, most usual first, so that the asker can say which; empty for a word that
 * has one or none. `mohm` and `mΩ` may be MΩ from a thumb that missed the shift, or a thousandth of an ohm.
 */
export function ambiguousUnit(text: string): readonly Unit[] {
  const bare = strip(text);
  if (bare === 'K') return ['kΩ', 'K'];
  if (CASED.get(bare)) return [];
  return AMBIGUOUS.get(fold(bare)) ?? [];
}

/** One code point for each sign that keyboards offer several of, and nothing between the letters. */
function strip(text: string): string {
  return text
    .normalize('NFC')
    .replace(/℃/g, '°C')
    .replace(/℉/g, '°F')
    .replace(/[º˚]/g, '°')
    .replace(/\u03bc/g, 'µ')
    .replace(/[\u2126ω]/g, 'Ω')
    .replace(/''|[″”“]/g, '"')
    .replace(/[\s.·⋅∙•×*_\-‐‑–]/g, '');
}

function fold(bare: string): string {
  return bare.toLowerCase().replace(/ω/g, 'Ω');
}

function metric(prefix: string, ...stems: readonly string[]): string[] {
  return stems.flatMap((stem) => [`${prefix}${stem}`, `${prefix}${stem}s`]);
}

function marked(marks: readonly string[], stems: readonly string[]): string[] {
  return marks.flatMap((mark) => stems.map((stem) => `${mark}${stem}`));
}
