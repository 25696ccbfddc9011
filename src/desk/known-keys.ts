import { KEYS_MS } from '../journal/recent.js';

/** Keys of the inputs of the last 25 hours, of all bays: an input that comes again has no second effect. */
export class KnownKeys {
  private readonly keys = new Map<string, number>();
  private readonly watched = new Map<string, () => void>();

  has(key: string): boolean {
    return this.keys.has(key);
  }

  /** Calls `kept` as soon as an input of this key is on disk, as long as `work` is under way. */
  async watch(key: string, kept: () => void, work: Promise<void>): Promise<void> {
    this.watched.set(key, kept);
    try {
      await work;
    } finally {
      this.watched.delete(key);
    }
  }

  keep(key: string, at: number): void {
    this.keys.set(key, at);
    this.watched.get(key)?.();
    if (this.keys.size % 1024 !== 0) return;
    for (const [old, when] of this.keys) {
      if (when > at - KEYS_MS) break;
      this.keys.delete(old);
    }
  }
}
