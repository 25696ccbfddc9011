import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { over, times, toNumber } from '../../src/units/exact.js';
import { convert, convertDifference, UnitError, valueIn } from '../../src/units/quantity.js';
import { dimensionOf, isUnit, scaleOf, UNITS, type Unit } from '../../src/units/unit.js';
import rows from '../reference/units.json' with { type: 'json' };

const one = (from: Unit, to: Unit) => valueIn({ value: 1, unit: from }, to);
const exact = (unit: Unit) => scaleOf(unit).scale;

/** How each row's figure is had from our units. */
const FIGURES: Readonly<Record<string, () => number>> = {
  standard_gravity: () => one('kgf·m', 'N·m'),
  standard_gravity_printed: () => one('kgf·m', 'N·m'),
  lb_to_kg: () => one('lb', 'kg'),
  lb_to_kg_printed: () => one('lb', 'kg'),
  lb_exact_printed: () => one('lb', 'kg'),
  oz_to_kg: () => valueIn({ value: 0.0625, unit: 'lb' }, 'kg'),
  inch_to_m: () => one('in', 'm'),
  foot_to_m: () => one('ft', 'm'),
  lbf_to_N: () => toNumber(over(exact('lbf·in'), exact('in'))),
  lbf_to_N_printed: () => toNumber(over(exact('lbf·in'), exact('in'))),
  lbf_ft_to_Nm: () => one('lbf·ft', 'N·m'),
  lbf_ft_to_Nm_printed: () => one('lbf·ft', 'N·m'),
  lbf_in_to_Nm: () => one('lbf·in', 'N·m'),
  lbf_in_to_Nm_printed: () => one('lbf·in', 'N·m'),
  kgf_m_to_Nm: () => one('kgf·m', 'N·m'),
  kgf_cm_to_Nm: () => toNumber(times(exact('kgf·m'), exact('cm'))),
  psi_to_Pa: () => one('psi', 'Pa'),
  psi_to_Pa_printed: () => one('psi', 'Pa'),
  bar_to_Pa: () => one('bar', 'Pa'),
  mbar_to_Pa: () => one('mbar', 'Pa'),
  kgf_cm2_to_Pa: () => toNumber(over(exact('kgf·m'), times(exact('cm'), exact('cm')))),
  us_gallon_to_L: () => one('gal', 'l'),
  us_gallon_to_L_printed: () => one('gal', 'l'),
  us_gallon_to_L_printed2: () => one('gal', 'l'),
  us_liquid_quart_to_L: () => one('qt', 'l'),
  us_quart_exact_printed: () => one('qt', 'l'),
  us_liquid_pint_to_L: () => one('pint', 'l'),
  us_fluid_ounce_to_mL: () => one('fl oz', 'ml'),
  us_fluid_ounce_to_mL_printed: () => one('fl oz', 'ml'),
  us_fluid_ounce_exact_printed: () => one('fl oz', 'ml'),
  imperial_gallon_to_L: () => one('imp gal', 'l'),
  imperial_gallon_printed: () => one('imp gal', 'l'),
  imperial_fluid_ounce_to_mL: () => one('imp fl oz', 'ml'),
};

const NAMES: Readonly<Record<string, Unit>> = {
  'lbf.ft': 'lbf·ft',
  'N.m': 'N·m',
  'lbf.in': 'lbf·in',
  psi: 'psi',
  bar: 'bar',
  'qt(US)': 'qt',
  L: 'l',
  mL: 'ml',
  'fl oz(US)': 'fl oz',
  'gal(Imp)': 'imp gal',
  'gal(US)': 'gal',
  F: '°F',
  C: '°C',
};

/** The atmosphere and the torr are no units here; their two rows are skipped. */
const SKIPPED = ['UNI-014', 'UNI-015'];

function figureOf(row: (typeof rows)[number]): number | null {
  const known = FIGURES[row.quantity];
  if (known) return known();
  const { value, from, to, atm_kPa } = row.inputs;
  if (value === undefined || from === undefined || to === undefined) return null;
  if (atm_kPa !== undefined) return valueIn({ value, unit: 'psi' }, 'kPa') + atm_kPa;
  const [a, b] = [NAMES[from], NAMES[to]];
  return a && b ? valueIn({ value, unit: a }, b) : null;
}

describe('published conversion factors', () => {
  test('the reference was read and all but two rows are checked', () => {
    expect(rows.length).toBe(45);
    expect(rows.filter((row) => figureOf(row) === null).map((row) => row.id)).toEqual(SKIPPED);
  });

  test.each(rows.filter((row) => !SKIPPED.includes(row.id)))(
    '$id $quantity is $value $unit ($source; $basis)',
    (row) => {
      const figure = figureOf(row);
      // A repeating decimal was cut at its last printed digit.
      const tolerance = row.note.includes('repeating decimal') ? 1e-12 : row.tolerance;
      if (tolerance === 0) expect(figure).toBe(row.value);
      else expect(Math.abs((figure ?? Number.NaN) - row.value)).toBeLessThanOrEqual(tolerance);
    },
  );
});

describe('conversion', () => {
  test.each<[number, Unit, number, Unit]>([
    [1, 'lbf·ft', 1.3558179483314003, 'N·m'], // 1.3558179483314004 in full: the same double,
    [4.35, 'm', 435, 'cm'],
    [0.3, 'V', 300, 'mV'],
    [60, 'V', 0.06, 'kV'],
    [2.54, 'cm', 1, 'in'],
    [0, '°C', 32, '°F'],
    [-40, '°F', -40, '°C'],
    [23, '°C', 296.15, 'K'],
    [0, 'K', -273.15, '°C'],
    [1, 'GΩ', 1000, 'MΩ'],
    [1.5, 'h', 90, 'min'],
    [3, 'd', 72, 'h'],
    [5280, 'ft', 1, 'mi'],
    [1000, 'µF', 0.001, 'F'],
    [1, 'kWh', 3600, 'kJ'],
  ])('%d %s is exactly %d %s', (value, from, expected, to) => {
    expect(convert({ value, unit: from }, to)).toEqual({ value: expected, unit: to });
  });

  test('a cooling of 2 °C is one of 3.6 °F and of 2 K', () => {
    expect(convertDifference({ value: 2, unit: '°C' }, '°F').value).toBe(3.6);
    expect(convertDifference({ value: 2, unit: '°C' }, 'K').value).toBe(2);
  });

  test('there and back lands within 1e-12 of where it started, in every unit', () => {
    fc.assert(
      fc.property(
        fc.constantFrom(...UNITS),
        fc.constantFrom(...UNITS),
        fc.double({ min: -1e9, max: 1e9, noNaN: true }),
        (unit, to, value) => {
          // Below that the number line itself runs out of digits.
          fc.pre(dimensionOf(unit) === dimensionOf(to) && (value === 0 || Math.abs(value) > 1e-290));
          const back = valueIn(convert({ value, unit }, to), unit);
          const offset = unit === to || dimensionOf(unit) !== 'temperature' ? 0 : 1000;
          expect(Math.abs(back - value)).toBeLessThanOrEqual(1e-12 * (Math.abs(value) + offset));
        },
      ),
      { numRuns: 5000 },
    );
  });

  test('a larger reading stays larger in any other unit', () => {
    const reading = fc.double({ min: -1e6, max: 1e6, noNaN: true });
    fc.assert(
      fc.property(
        fc.constantFrom(...UNITS),
        fc.constantFrom(...UNITS),
        reading,
        reading,
        (unit, to, a, b) => {
          fc.pre(dimensionOf(unit) === dimensionOf(to) && a < b);
          expect(valueIn({ value: a, unit }, to)).toBeLessThanOrEqual(valueIn({ value: b, unit }, to));
        },
      ),
    );
  });

  test('units that measure different things never convert', () => {
    fc.assert(
      fc.property(fc.constantFrom(...UNITS), fc.constantFrom(...UNITS), (unit, to) => {
        fc.pre(dimensionOf(unit) !== dimensionOf(to));
        expect(() => convert({ value: 1, unit }, to)).toThrow(
          expect.objectContaining({ name: 'UnitError', code: 'different-dimension' }),
        );
      }),
    );
  });

  test.each([Number.NaN, Number.POSITIVE_INFINITY])('%d volts are refused as no number', (value) => {
    expect(() => valueIn({ value, unit: 'V' }, 'mV')).toThrow(UnitError);
    expect(() => valueIn({ value, unit: 'V' }, 'V')).toThrow(expect.objectContaining({ code: 'not-finite' }));
    expect(() => convertDifference({ value, unit: 'K' }, '°F')).toThrow(UnitError);
  });

  test('a symbol is a unit only as it is printed', () => {
    expect(UNITS.every(isUnit)).toBe(true);
    expect(['Nm', 'v', 'MOhm', ''].some(isUnit)).toBe(false);
    expect(new Set(UNITS).size).toBe(UNITS.length);
  });
});
