/** Work that is dear and may not all be done at once. */
export type Turns = {
  /** Does it when its turn has come; null, and nothing done, when too many wait already. */
  take<T>(work: () => Promise<T>): Promise<T | null>;
};

/** At most `atOnce` at the same time, and at most `mostWaiting` in line behind them. */
export function openTurns(atOnce: number, mostWaiting: number): Turns {
  let busy = 0;
  const line: (() => void)[] = [];
  return {
    take: async (work) => {
      if (busy >= atOnce) {
        if (line.length >= mostWaiting) return null;
        // Whoever ends hands the place on, so nobody comes in between.
        await new Promise<void>((resolve) => line.push(resolve));
      } else busy++;
      try {
        return await work();
      } finally {
        const next = line.shift();
        if (next === undefined) busy--;
        else next();
      }
    },
  };
}
