import { expect, test } from 'vitest';
import { measureOf } from '../../src/talk/measure.js';
import type { Unit } from '../../src/units/unit.js';

test.each<[string, Unit, Unit]>([
  ['milliohm', 'Ω', 'mΩ'],
  ['milliohms', 'MΩ', 'mΩ'],
  ['mΩ', 'mΩ', 'mΩ'],
  ['m\u2126', 'mΩ', 'mΩ'],
  ['mohm', 'mΩ', 'mΩ'],
  ['MΩ', 'mΩ', 'MΩ'],
  ['Mohm', 'mΩ', 'MΩ'],
  ['ohm', 'mΩ', 'Ω'],
])('"%s" where %s is asked is %s', (word, wanted, unit) => {
  expect(measureOf(word, wanted)).toEqual({ ok: true, unit });
});

test.each<[string, Unit]>([
  ['mΩ', 'MΩ'],
  ['mohm', 'MΩ'],
  ['mohms', 'Ω'],
  ['mΩ', 'Ω'],
])('"%s" where %s is asked may be a million or a thousandth, and is asked back', (word, wanted) => {
  expect(measureOf(word, wanted)).toEqual({ ok: false, because: 'ambiguous-unit', detail: 'MΩ, mΩ' });
});
