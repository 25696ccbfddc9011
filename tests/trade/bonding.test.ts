import { expect, test } from 'vitest';
import { BOND_AMPERES, BOND_OHMS, judgeBond } from '../../src/trade/bonding.js';
import { cite, input, rowsOf, value } from '../reference/rows.js';

const asked = { ohms: 0.02, atLeast: false, makerOhms: null, testAmperes: 0.2 };

test.each(rowsOf('hazard_limits', 'chassis_bond_resistance_max'))(
  'below $value Ω at $inputs.test_current_A A or more ($id, $basis: $source)',
  (row) => {
    expect([BOND_OHMS, BOND_AMPERES], cite(row)).toEqual([value(row), input(row, 'test_current_A')]);
  },
);

test.each<[string, object, string, 'maker' | 'un-r100']>([
  ['a good strap', {}, 'bonded', 'un-r100'],
  ['just below the limit', { ohms: 0.0999 }, 'bonded', 'un-r100'],
  ['on the limit: "lower than" it says', { ohms: 0.1 }, 'too-high', 'un-r100'],
  ['a meter that shows over range', { ohms: 0.05, atLeast: true }, 'too-high', 'un-r100'],
  ['the maker’s stricter figure, met on the limit', { makerOhms: 0.02 }, 'bonded', 'maker'],
  ['the maker’s stricter figure, not met', { makerOhms: 0.019 }, 'too-high', 'maker'],
  ['a maker’s looser figure does not loosen the law', { makerOhms: 0.5, ohms: 0.2 }, 'too-high', 'un-r100'],
  ['an ordinary meter’s milliamperes', { testAmperes: 0.001 }, 'test-current-too-low', 'un-r100'],
  ['a current known to be enough', { testAmperes: null }, 'bonded', 'un-r100'],
  ['a bad strap is bad with a small current too', { testAmperes: 0.001, ohms: 3 }, 'too-high', 'un-r100'],
])('%s', (_, change, outcome, ruledBy) => {
  expect(judgeBond({ ...asked, ...change })).toMatchObject({ ok: true, outcome, ruledBy });
});

test.each<[object, string]>([
  [{ ohms: -0.01 }, 'not-a-resistance'],
  [{ ohms: Number.NaN }, 'not-a-resistance'],
  [{ makerOhms: 0 }, 'not-positive'],
  [{ testAmperes: 0 }, 'not-positive'],
])('%o is refused as %s', (change, because) => {
  expect(judgeBond({ ...asked, ...change })).toMatchObject({ ok: false, because });
});
