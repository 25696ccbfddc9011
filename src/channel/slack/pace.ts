/** So many posts at once in a channel, and one more with each `EACH_MS`. The platform asks for about one a second. */
const BURST = 4;
const EACH_MS = 1100;
const FIRST_PAUSE_MS = 1000;
const LONGEST_PAUSE_MS = 30_000;

/**
 * When a channel may be posted to. Nobody waits in here: who may not post now is told so, and comes again. A limit on
 * one channel keeps no other from posting; a platform that does not answer is left alone for a while, longer each
 * time.
 */
export class Pace {
  private readonly rooms = new Map<string, { tokens: number; at: number; until: number }>();
  private failures = 0;
  private downUntil = 0;
  private askUntil = 0;

  constructor(private readonly now: () => number) {}

  /** Whether a post may go now; takes its turn. An urgent one waits for nothing but a limit that was set on us. */
  take(channel: string, urgent: boolean): boolean {
    const now = this.now();
    const room = this.roomOf(channel, now);
    if (now < room.until) return false;
    if (!urgent && (now < this.downUntil || room.tokens < 1)) return false;
    room.tokens = Math.max(0, room.tokens - 1);
    return true;
  }

  /** Whether the platform may be asked something now. */
  mayAsk(): boolean {
    return this.now() >= Math.max(this.downUntil, this.askUntil);
  }

  /** A limit on questions; posts go on. */
  askLimited(ms: number): void {
    this.askUntil = this.now() + ms;
  }

  limited(channel: string, ms: number): void {
    const now = this.now();
    this.roomOf(channel, now).until = now + ms;
  }

  failed(): void {
    const pause = Math.min(LONGEST_PAUSE_MS, FIRST_PAUSE_MS * 2 ** this.failures);
    this.failures++;
    this.downUntil = this.now() + pause;
  }

  worked(): void {
    this.failures = 0;
    this.downUntil = 0;
  }

  private roomOf(channel: string, now: number): { tokens: number; at: number; until: number } {
    const room = this.rooms.get(channel) ?? { tokens: BURST, at: now, until: 0 };
    this.rooms.set(channel, room);
    const earned = Math.floor((now - room.at) / EACH_MS);
    if (earned > 0) {
      room.tokens = Math.min(BURST, room.tokens + earned);
      room.at += earned * EACH_MS;
    }
    return room;
  }
}
