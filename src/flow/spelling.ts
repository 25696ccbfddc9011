/** The same word as two sides of an ocean write it. All files of a workshop keep to one of the two. */
export const SPELLINGS: readonly (readonly [string, string])[] = [
  ['aluminium', 'aluminum'],
  ['colour', 'color'],
  ['energise', 'energize'],
  ['fibre', 'fiber'],
  ['centre', 'center'],
  ['grey', 'gray'],
  ['litre', 'liter'],
  ['mould', 'mold'],
  ['neighbour', 'neighbor'],
  ['odour', 'odor'],
  ['tyre', 'tire'],
  ['vapour', 'vapor'],
];
