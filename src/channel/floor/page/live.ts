import type { Place } from '../../../job/input.js';
import type { Board } from '../../../record/board.js';
import type { Hello, WirePost, WireSaid } from '../wire.js';

export type Heard =
  | { readonly is: 'hello'; readonly hello: Hello }
  | { readonly is: 'post'; readonly post: WirePost }
  | { readonly is: 'said'; readonly said: WireSaid }
  | { readonly is: 'gone'; readonly place: Place }
  | { readonly is: 'board'; readonly board: Board };

export type LiveParts = {
  /** The newest place this page has, for catching up. */
  after(): Place | null;
  heard(what: Heard): void;
  /** Everything up to now has been heard. */
  live(): void;
  /** What is drawn may be old: nothing but STOP is sent until `live`. */
  catchingUp(): void;
  cutOff(): void;
};

/** Three pings missed, nearly: nobody is there. */
const SILENT_MS = 35_000;
/** A page that nobody looked at, or that slept this long, catches up before anything is sent. */
const STALE_MS = 20_000;
const WATCH_MS = 1_000;
const AGAIN_MS = [300, 1_000, 2_000, 3_000] as const;

/** The live stream: opened, watched, opened again after the newest place, and never trusted after a sleep. */
export class Live {
  private source: EventSource | null = null;
  private lastWord = Date.now();
  private lastWatch = Date.now();
  private hiddenAt: number | null = null;
  private tries = 0;
  private again: ReturnType<typeof setTimeout> | null = null;

  constructor(private readonly parts: LiveParts) {}

  start(): void {
    setInterval(() => this.watch(), WATCH_MS);
    document.addEventListener('visibilitychange', () => this.looked());
    addEventListener('online', () => this.reopen());
    addEventListener('offline', () => this.lost());
    addEventListener('pageshow', (event) => {
      if (event.persisted) this.reopen();
    });
    this.open();
  }

  /** Opens the stream afresh: after a sleep, a sign-in, or when somebody asks. */
  reopen(): void {
    this.parts.catchingUp();
    this.tries = 0;
    this.open();
  }

  private open(): void {
    this.close();
    this.lastWord = Date.now();
    const after = this.parts.after();
    const source = new EventSource(after === null ? '/live' : `/live?after=${encodeURIComponent(after)}`);
    this.source = source;
    const on = (name: string, take: (data: unknown) => void) =>
      source.addEventListener(name, (event: MessageEvent<string>) => {
        if (this.source !== source) return;
        this.lastWord = Date.now();
        take(event.data === '' ? null : JSON.parse(event.data));
      });
    // The server is the one this page came from; its shapes are its own.
    on('hello', (data) => this.parts.heard({ is: 'hello', hello: data as Hello }));
    on('post', (data) => this.parts.heard({ is: 'post', post: data as WirePost }));
    on('said', (data) => this.parts.heard({ is: 'said', said: data as WireSaid }));
    on('gone', (data) => this.parts.heard({ is: 'gone', place: (data as { place: Place }).place }));
    on('board', (data) => this.parts.heard({ is: 'board', board: data as Board }));
    on('ping', () => undefined);
    on('caught-up', (data) => {
      this.tries = 0;
      // Some of what came meanwhile is not kept any more: a ledger with a silent gap is worse than a fresh one.
      if ((data as { complete?: boolean }).complete === false) return location.reload();
      this.parts.live();
    });
    source.onerror = () => {
      if (this.source === source) this.lost();
    };
  }

  private close(): void {
    if (this.again !== null) clearTimeout(this.again);
    this.again = null;
    this.source?.close();
    this.source = null;
  }

  private lost(): void {
    this.close();
    this.parts.cutOff();
    const wait = AGAIN_MS[Math.min(this.tries, AGAIN_MS.length - 1)] ?? 3_000;
    this.tries++;
    this.again = setTimeout(() => this.open(), wait);
  }

  /** A timer that comes late has slept: what was drawn then may be old. */
  private watch(): void {
    const now = Date.now();
    const slept = now - this.lastWatch > STALE_MS;
    this.lastWatch = now;
    if (slept && document.visibilityState === 'visible') this.reopen();
    else if (this.source !== null && now - this.lastWord > SILENT_MS) this.lost();
  }

  private looked(): void {
    if (document.visibilityState === 'hidden') {
      this.hiddenAt = Date.now();
      return;
    }
    const away = this.hiddenAt === null ? 0 : Date.now() - this.hiddenAt;
    this.hiddenAt = null;
    this.lastWatch = Date.now();
    if (away > STALE_MS) this.reopen();
  }
}
