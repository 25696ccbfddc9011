import { describe, expect, test } from 'vitest';
import { emptyJob } from '../../src/job/evolve.js';
import { isNamed } from '../../src/job/named.js';

const namedIn = {
  ref: { from: 'vehicle', name: 'lv-battery-kinds' },
  hold: 'Not a kind this car takes.',
} as const;
const option = (say: string, ...also: string[]) => ({ say, also, hold: null, namedIn });

function jobOf(text: string | null) {
  const values =
    text === null ? {} : { 'vehicle.lv-battery-kinds': { text, quantity: null, source: 'manual 1' } };
  return { ...emptyJob('QM-2603-001'), values } as ReturnType<typeof emptyJob>;
}

describe('a kind that is taken is one that the value of this vehicle names', () => {
  test.each([
    ['flooded or mat, 44 Ah (demo)', 'flooded', true],
    ['flooded or mat, 44 Ah (demo)', 'mat', true],
    ['flooded or mat, 44 Ah (demo)', 'lithium', false],
    ['Lithium, its own case', 'lithium', true],
    ['AGM/EFB 70 Ah', 'mat', true],
    // Part of a word names nothing.
    ['matched pair', 'mat', false],
    ['lithiumised', 'lithium', false],
    // Whoever says what is not to be fitted has to say it to the foreman.
    ['flooded or mat, no lithium', 'lithium', false],
    ['flooded or mat, no lithium', 'flooded', false],
    ['lithium is never fitted', 'lithium', false],
    ['', 'flooded', false],
    [null, 'flooded', false],
  ] as const)('"%s" and %s: %s', (text, say, named) => {
    expect(isNamed(jobOf(text), option(say, ...(say === 'mat' ? ['agm', 'absorbed'] : [])))).toBe(named);
  });

  test('an option that no value has to name goes with every vehicle', () => {
    expect(isNamed(jobOf(null), { say: 'own-cell', also: [], hold: null, namedIn: null })).toBe(true);
  });
});
