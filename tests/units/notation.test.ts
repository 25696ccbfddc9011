import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import {
  ambiguousUnit,
  parseQuantity,
  parseUnit,
  printNumber,
  printQuantity,
} from '../../src/units/notation.js';
import { UNITS, type Unit } from '../../src/units/unit.js';

const SPOKEN: readonly (readonly [Unit, readonly string[]])[] = [
  [
    'N·m',
    ['nm', 'Nm', 'NM', 'N.m', 'N-m', 'N m', 'N·m', 'n⋅m', 'newton metres', 'newton meters', 'Newton-metre'],
  ],
  [
    'lbf·ft',
    ['ft lb', 'ft-lbs', 'foot pounds', 'foot-pounds', 'lbf ft', 'lb ft', 'lbf·ft', 'ft.lbs', 'FT-LB'],
  ],
  ['lbf·in', ['in lb', 'inch pounds', 'in-lbs', 'lbf in', 'inch-pound', 'lbf·in', 'lb.in']],
  ['kgf·m', ['kgm', 'kgf m', 'kgf·m', 'kg-m']],
  ['V', ['volts', 'volt', 'v', 'V', 'VOLTS', ' v. ']],
  ['mV', ['mv', 'mV', 'millivolts']],
  ['kV', ['kilovolts', 'kV', 'kv', 'KV']],
  ['ml', ['ml', 'ML', 'mls', 'millilitres', 'milliliter', 'cc']],
  ['l', ['l', 'L', 'litre', 'litres', 'liters']],
  ['fl oz', ['fl oz', 'fl. oz.', 'fluid ounces', 'us fl oz', 'US oz']],
  ['imp fl oz', ['imp fl oz', 'imperial fluid ounces', 'UK fl oz']],
  ['pint', ['US pint', 'american pints']],
  ['imp pint', ['imp pint', 'imperial pints', 'uk pint']],
  ['°C', ['degrees', 'deg c', 'c', 'C', 'celsius', '°C', '°c', 'º C', '℃', 'degrees celsius', 'degrees C']],
  ['°F', ['f', 'F', '°F', 'fahrenheit', 'deg f', '℉']],
  ['K', ['kelvin']],
  ['%', ['%', 'percent', 'per cent', 'pc', 'pct']],
  ['mΩ', ['milliohm', 'milliohms', 'milli-ohms']],
  ['Ω', ['ohm', 'ohms', 'Ω', '\u2126', 'ω']],
  ['kΩ', ['k', 'kohm', 'kΩ', 'KΩ', 'kilohms', 'k ohm', 'k\u2126']],
  ['MΩ', ['megohm', 'megohms', 'mega ohms', 'M', 'Mohm', 'M ohm', 'MΩ', 'M\u2126', 'megs']],
  ['GΩ', ['G', 'gigohm', 'gigaohms', 'GΩ', 'gohm', 'Gohm', 'gig']],
  ['Ω/V', ['Ω/V', 'ohm/V', 'ohms per volt', 'ohm per volt']],
  ['mbar', ['mbar', 'millibar', 'mBar']],
  ['kPa', ['kpa', 'kPa', 'KPA', 'kilopascals']],
  ['psi', ['psi', 'PSI', 'p.s.i.']],
  ['bar', ['bar', 'Bar']],
  ['mm', ['mm', 'millimetres', 'millimeters', 'MM']],
  ['in', ['in', 'inch', 'inches', '"', '”', '″', "''", 'in.']],
  ['kg', ['kg', 'kilos', 'kgs', 'kilogrammes']],
  ['lb', ['lb', 'lbs', 'pounds']],
  ['km', ['km', 'kilometres']],
  ['mi', ['miles', 'mile', 'mi']],
  ['min', ['min', 'mins', 'minutes', 'min.']],
  ['h', ['h', 'hrs', 'hours', 'hour']],
  ['m', ['m', 'metres']],
  ['g', ['g', 'grams']],
  ['µF', ['µF', 'μF', 'uF', 'microfarads']],
  ['pcs', ['pcs', 'pieces']],
];

describe('what a fitter writes or dictates', () => {
  test.each(SPOKEN.flatMap(([unit, words]) => words.map((word) => [word, unit] as const)))(
    '"%s" is %s',
    (word, unit) => {
      expect(parseUnit(word)).toBe(unit);
    },
  );

  test.each(['MV', 'Mv', 'mΩ', 'm\u2126', 'mohm', 'MOHM', 'mOhm', 'K', 'MA', 'MPa', 'mPa', 'mF', 'mJ', 'MJ'])(
    '"%s" may be a thousandth or a million of something, so it is nobody\'s unit',
    (word) => {
      expect(parseUnit(word)).toBeNull();
    },
  );

  test.each([
    '',
    ' ',
    'oz',
    'ounces',
    'pint',
    'pints',
    'gallon',
    'quart',
    'kilo',
    'mil',
    'x',
    'volt meter',
    '9',
    'constructor',
  ])('"%s" is no unit by itself', (word) => {
    expect(parseUnit(word)).toBeNull();
  });

  test.each<[string, readonly Unit[]]>([
    ['oz', ['fl oz', 'imp fl oz']],
    ['Pint', ['pint', 'imp pint']],
    ['gallons', ['gal', 'imp gal']],
    ['fl oz', ['fl oz', 'imp fl oz']],
    ['degrees', ['°C', '°F', '°']],
    ['kilo', ['kg', 'kΩ']],
    ['K', ['kΩ', 'K']],
    ['mohm', ['MΩ', 'mΩ']],
    ['mΩ', ['MΩ', 'mΩ']],
    ['mil', ['ml', 'mm']],
  ])('"%s" is asked back as %j', (word, readings) => {
    expect(ambiguousUnit(word)).toEqual(readings);
  });

  test.each(['Mohm', 'nm', 'imp pint', 'us pint', 'deg c', 'k', 'M', 'litres', 'rubbish', ''])(
    '"%s" has one reading or none',
    (word) => {
      expect(ambiguousUnit(word)).toEqual([]);
    },
  );
});

describe('printed quantities', () => {
  test.each<[number, Unit, string]>([
    [9, 'N·m', '9 N·m'],
    [0.3, 'V', '0.3 V'],
    [0.1 + 0.2, 'V', '0.3 V'],
    [20, '°C', '20 °C'],
    [-5.5, '°C', '-5.5 °C'],
    [55, '%', '55 %'],
    [-0, 'V', '0 V'],
    [2_000_000_000_000, 'Ω', '2000000000000 Ω'],
    [0.00000015, 'F', '0.00000015 F'],
    [1.3558179483314003, 'N·m', '1.35581794833 N·m'],
    [1e22, 'Pa', '10000000000000000000000 Pa'],
    [Number.NaN, 'V', '? V'],
  ])('%d %s prints as "%s"', (value, unit, text) => {
    expect(printQuantity({ value, unit }, undefined)).toBe(text);
  });

  test('fewer digits are rounded, never padded', () => {
    expect(printQuantity({ value: 7.758620689, unit: 'N·m' }, 3)).toBe('7.76 N·m');
    expect(printQuantity({ value: 9, unit: 'N·m' }, 3)).toBe('9 N·m');
    expect(printNumber(123456, 2)).toBe('120000');
    expect(printNumber(9.99, 2)).toBe('10');
  });

  test('what is printed is read back as the same quantity, in every unit', () => {
    const value = fc
      .tuple(fc.integer({ min: -999_999_999_999, max: 999_999_999_999 }), fc.integer({ min: -20, max: 20 }))
      .map(([figures, power]) => Number(`${figures}e${power}`))
      .map((number) => (number === 0 ? 0 : number));
    for (const unit of UNITS) {
      fc.assert(
        fc.property(value, (number) => {
          expect(parseQuantity(printQuantity({ value: number, unit }))).toEqual({ value: number, unit });
        }),
      );
    }
  });

  test('any number prints without exponent and within half a part in 1e11', () => {
    fc.assert(
      fc.property(fc.double({ noNaN: true, noDefaultInfinity: true }), (number) => {
        const text = printNumber(number);
        expect(text).toMatch(/^-?\d+(\.\d+)?$/);
        expect(Math.abs(Number(text) - number)).toBeLessThanOrEqual(Math.abs(number) * 5e-12 + 5e-324);
      }),
    );
  });
});

describe('quantities in files', () => {
  test.each<[string, number, Unit]>([
    ['9 N·m', 9, 'N·m'],
    ['9 Nm', 9, 'N·m'],
    ['15 min', 15, 'min'],
    ['55%', 55, '%'],
    ['0.1 Ω', 0.1, 'Ω'],
    ['-40 °C', -40, '°C'],
    ['1 pint', 1, 'pint'],
    ['2 imp pint', 2, 'imp pint'],
    ['500 Ω/V', 500, 'Ω/V'],
    ['1 F', 1, 'F'],
    ['296.15 K', 296.15, 'K'],
    ['-0 V', 0, 'V'],
  ])('"%s" is read', (text, value, unit) => {
    expect(parseQuantity(text)).toEqual({ value, unit });
  });

  test.each([
    ...[
      '9',
      'Nm',
      '',
      '0,3 V',
      '03 V',
      '.3 V',
      '3. V',
      '3 .V',
      '3-V',
      '3 -V',
      '1e3 V',
      '+3 V',
      'O.3 V',
      '1:30 h',
      '3 V 4',
      '9  Nm',
      '1 2 V',
    ],
    ...['5 oz', '5 mohm', '5 MV', '5 furlongs', '--5 V', '− 5 V', 'Infinity V', '1 000 V', '0x10 V'],
  ])('"%s" is not', (text) => {
    expect(parseQuantity(text)).toBeNull();
  });
});
