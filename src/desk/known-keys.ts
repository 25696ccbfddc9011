import { KEYS_MS } from '../journal/recent.js';

/** Keys of the inputs of the last 25 hours, of all bays: an input that comes again has no second effect. */
export class KnownKeys {
  private readonly keys = new Map<string, number>();

  has(key: string): boolean {
    return this.keys.has(key);
  }

  keep(key: string, at: number): void {
    this.keys.set(key, at);
    if (this.keys.size % 1024 !== 0) return;
    for (const [old, when] of this.keys) {
      if (when > at - KEYS_MS) break;
      this.keys.delete(old);
    }
  }
}
