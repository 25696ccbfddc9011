/** How often something may happen: so many times in so many milliseconds, for each key. */
export type Limit = {
  /** Counts one more time, unless it is one too many. */
  take(key: string, now: number): boolean;
  /** Whether one more would be too many; counts nothing. */
  full(key: string, now: number): boolean;
  /** Takes back the last one that was counted. */
  forgive(key: string): void;
};

/** Keys that nobody uses any more are forgotten beyond this. */
const MOST_KEYS = 5000;

export function openLimit(most: number, windowMs: number): Limit {
  const times = new Map<string, number[]>();
  const recent = (key: string, now: number) =>
    (times.get(key) ?? []).filter((at) => at > now - windowMs && at <= now);
  return {
    take: (key, now) => {
      const kept = recent(key, now);
      const room = kept.length < most;
      if (room) kept.push(now);
      times.delete(key);
      times.set(key, kept);
      const oldest = times.keys().next();
      if (times.size > MOST_KEYS && oldest.done !== true) times.delete(oldest.value);
      return room;
    },
    full: (key, now) => recent(key, now).length >= most,
    forgive: (key) => void times.get(key)?.pop(),
  };
}
