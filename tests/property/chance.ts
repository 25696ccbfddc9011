/** A seeded source of chance: the same seed gives the same run on every machine. mulberry32. */
export type Chance = {
  /** From 0 to below 1. */
  next(): number;
  /** A whole number from 0 to below `below`. */
  upTo(below: number): number;
  /** True this often. */
  odds(part: number): boolean;
  one<T>(of: readonly T[]): T;
};

export function chanceOf(seed: number): Chance {
  let state = seed >>> 0;
  const next = () => {
    state = (state + 0x6d2b79f5) >>> 0;
    let mixed = Math.imul(state ^ (state >>> 15), state | 1);
    mixed ^= mixed + Math.imul(mixed ^ (mixed >>> 7), mixed | 61);
    return ((mixed ^ (mixed >>> 14)) >>> 0) / 4_294_967_296;
  };
  const upTo = (below: number) => Math.floor(next() * below);
  return {
    next,
    upTo,
    odds: (part) => next() < part,
    one: (of) => {
      const drawn = of[upTo(of.length)];
      if (drawn === undefined) throw new RangeError('nothing to draw from');
      return drawn;
    },
  };
}
