/** The only reader of time in the program. */
export type Clock = { now(): number };

/** Wall time. It may jump: what is due is asked for again each time, never counted. */
export const wallClock: Clock = { now: () => Date.now() };

/** Time that somebody turns by hand: tests, dry runs and practice. It never runs back. */
export class VirtualClock implements Clock {
  constructor(private at: number) {}

  now(): number {
    return this.at;
  }

  /** Moves on to an instant; one that has passed already moves nothing. */
  moveTo(at: number): void {
    this.at = Math.max(this.at, at);
  }
}
