/**
 * Since when nothing can have been missed, and what may have been. Times are ms since 1970. At the start the outage
 * began when the program was last alive.
 */
export class Coverage {
  /** In the future while nothing comes through. */
  since = Number.POSITIVE_INFINITY;
  /** From when on the platform has to be read again; null when there is nothing to be read. */
  owedFrom: number | null;
  private lostAt: number | null;

  constructor(lastAlive: number | null) {
    this.lostAt = lastAlive;
    this.owedFrom = null;
  }

  get covered(): boolean {
    return this.since !== Number.POSITIVE_INFINITY;
  }

  found(now: number): void {
    if (this.covered) return;
    this.since = now;
    if (this.lostAt !== null) this.owedFrom = Math.min(this.owedFrom ?? this.lostAt, this.lostAt);
    this.lostAt = null;
  }

  lost(now: number): void {
    if (!this.covered) return;
    this.since = Number.POSITIVE_INFINITY;
    this.lostAt = now;
  }
}
