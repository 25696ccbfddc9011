import type { Place } from '../../../job/input.js';
import { later, type ThreadId } from './state.js';

/** A post that has stood drawn for this long counts as seen; a finger already on its way was meant for the one before. */
export const STOOD_MS = 400;

/**
 * The last post of each thread that was drawn before somebody's eyes: in a visible document, on the screen of that
 * thread, for a moment. What is sent says it, so that an answer never counts for a question that came after it.
 */
export class Seen {
  private readonly places = new Map<ThreadId, Place>();
  private readonly waiting = new Map<ThreadId, { place: Place; since: number }>();

  /** Called after each drawing with the newest post of the thread on the screen. */
  drawn(thread: ThreadId, newest: Place | null, visible: boolean, now: number): void {
    if (newest === null || !visible) {
      this.waiting.delete(thread);
      return;
    }
    if (newest === this.of(thread)) return;
    const waiting = this.waiting.get(thread);
    if (waiting?.place !== newest) this.waiting.set(thread, { place: newest, since: now });
    else if (now - waiting.since >= STOOD_MS) this.take(thread, newest);
  }

  /** Whether the newest post of this thread is still too fresh for a finger. */
  fresh(thread: ThreadId, newest: Place | null): boolean {
    return newest !== null && newest !== this.of(thread);
  }

  of(thread: ThreadId): Place | null {
    return this.places.get(thread) ?? null;
  }

  private take(thread: ThreadId, place: Place): void {
    this.waiting.delete(thread);
    this.places.set(thread, later(this.of(thread), place) ?? place);
  }
}
