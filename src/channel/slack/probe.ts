import type { Clock } from '../../desk/clock.js';
import type { Coverage } from './coverage.js';

const EVERY_MS = 60_000;
const WHILE_LOST_MS = 5000;

/**
 * Where nobody tells us that what people say does not come through: we ask the platform, and more often while it does
 * not answer. Whoever cannot be reached by us can hardly reach us.
 */
export class Probe {
  private probedAt: number;
  private answeredAt: number;

  constructor(
    private readonly clock: Clock,
    private readonly coverage: Coverage,
    private readonly ask: () => Promise<unknown>,
  ) {
    this.probedAt = clock.now();
    this.answeredAt = clock.now();
  }

  /** Asks when it is time to, and notes what came of it. */
  async tick(): Promise<void> {
    const now = this.clock.now();
    if (now - this.probedAt < (this.coverage.covered ? EVERY_MS : WHILE_LOST_MS)) return;
    this.probedAt = now;
    try {
      await this.ask();
      this.answeredAt = now;
      this.coverage.found(now);
    } catch {
      this.coverage.lost(this.answeredAt);
    }
  }
}
