import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import {
  changesBetween,
  clashIn,
  type Json,
  same,
  valueAt,
  withChanges,
  withValue,
} from '../../src/shop/change.js';

const before = {
  gear: [
    { id: 'G1', tested: 'a', months: 6 },
    { id: 'G2', tested: 'b' },
  ],
  closed: ['x'],
};

describe('a change of a document', () => {
  test('finds its entry by id, wherever it stands', () => {
    const at = ['gear', { by: 'id', is: 'G2' }, 'tested'];
    expect(valueAt({ gear: before.gear.toReversed() }, at)).toBe('b');
    expect(valueAt(before, ['gear', { by: 'id', is: 'G3' }, 'tested'])).toBeNull();
  });

  test('leaves everything else as it was, the document it was made from too', () => {
    const after = withValue(before, ['gear', { by: 'id', is: 'G1' }, 'tested'], 'c');
    expect(after).toEqual({ ...before, gear: [{ id: 'G1', tested: 'c', months: 6 }, before.gear[1]] });
    expect(before.gear[0]?.tested).toBe('a');
  });

  test('to nothing takes the entry or the field away; of a new entry adds it at the end', () => {
    expect(withValue(before, ['gear', { by: 'id', is: 'G1' }], null)).toEqual({
      ...before,
      gear: [before.gear[1]],
    });
    expect(withValue(before, ['closed'], null)).toEqual({ gear: before.gear });
    const added = withValue(before, ['gear', { by: 'id', is: 'G3' }], { id: 'G3' });
    expect(valueAt(added, ['gear', { by: 'id', is: 'G3' }])).toEqual({ id: 'G3' });
  });

  test('clashes with what is neither what was agreed upon nor what was agreed', () => {
    const at = ['gear', { by: 'id', is: 'G1' }, 'tested'];
    const change = { file: 'gear.json', at, before: 'a', after: 'c' } as const;
    expect(clashIn(before, [change])).toBeNull();
    expect(clashIn(withChanges(before, [change]), [change])).toBeNull();
    expect(clashIn(withValue(before, at, 'd'), [change])).toEqual(change);
  });

  test('is told for the field that differs, for whole entries that came or went', () => {
    const after = {
      gear: [
        { id: 'G1', tested: 'c', months: 6 },
        { id: 'G3', tested: 'e' },
      ],
      closed: ['x'],
    };
    expect(changesBetween('gear.json', before, after).map(({ at, after: to }) => [at.at(-1), to])).toEqual([
      ['tested', 'c'],
      [{ by: 'id', is: 'G2' }, null],
      [
        { by: 'id', is: 'G3' },
        { id: 'G3', tested: 'e' },
      ],
    ]);
  });

  test('told of any two documents makes the one of the other', () => {
    const id = fc.constantFrom('A', 'B', 'C', 'D');
    const entry = fc.record(
      {
        id,
        tested: fc.string(),
        range: fc.record({ from: fc.nat(), to: fc.nat() }),
        list: fc.array(fc.nat()),
      },
      { requiredKeys: ['id'] },
    );
    const document = fc.record(
      { gear: fc.uniqueArray(entry, { selector: (one) => one.id }), note: fc.string() },
      { requiredKeys: ['gear'] },
    );
    fc.assert(
      fc.property(document, document, (one, other) => {
        const changes = changesBetween('gear.json', one as Json, other as Json);
        const made = withChanges(one as Json, changes) as {
          readonly gear: readonly { readonly id: string }[];
        };
        const sorted = (of: typeof made) => ({
          ...of,
          gear: of.gear.toSorted((a, b) => (a.id < b.id ? -1 : 1)),
        });
        return same(sorted(made) as Json, sorted(other as typeof made) as Json);
      }),
      { seed: 7, numRuns: 300 },
    );
  });
});
