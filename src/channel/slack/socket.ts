import { type App, SocketModeReceiver } from '@slack/bolt';
import type { Clock } from '../../desk/clock.js';
import { quiet } from './logger.js';

/** A socket that has been down so long is given up and made anew: some die without a word. */
const DEAF_MS = 60_000;

export type SocketParts = {
  readonly appToken: string;
  readonly apiUrl: string | null;
  readonly clock: Clock;
  readonly fault: (words: string) => void;
  /** Called whenever it comes up or goes down. */
  readonly changed: () => void;
  /** Tolerance for a missing answer, and the wait before a socket is opened again; ms. */
  readonly pingMs?: number;
};

/** One line to the platform, opened again for ever. */
export class Socket {
  up = false;
  readonly receiver: SocketModeReceiver;
  private downSince: number;
  private stopped = false;

  constructor(private readonly parts: SocketParts) {
    const { appToken, apiUrl, pingMs = 5000, fault } = parts;
    this.downSince = parts.clock.now();
    this.receiver = new SocketModeReceiver({
      appToken,
      logger: quiet(fault),
      clientPingTimeout: pingMs,
      // An object of its own: the library writes into it.
      installerOptions: {
        clientOptions: {
          ...(apiUrl === null ? {} : { slackApiUrl: apiUrl }),
          timeout: 10_000,
          retryConfig: { forever: true, minTimeout: 1000, factor: 1.5, maxTimeout: 15_000 },
        },
      },
    });
    const { client } = this.receiver;
    client.on('connected', () => this.turned(true));
    for (const down of ['close', 'disconnecting', 'disconnected', 'reconnecting'])
      client.on(down, () => this.turned(false));
    // The library opens a socket again from a timer, where nobody would catch a failure: the process would end.
    const open = client.start.bind(client);
    client.start = () =>
      open().catch((error) => {
        if (!this.stopped)
          fault(
            `A socket could not be opened: ${error instanceof Error ? error.message : 'no reason given'}.`,
          );
        return { ok: false };
      });
  }

  start(app: App): void {
    this.receiver.init(app);
    void this.receiver.start();
  }

  /** Whether it has been down for so long that it will not come back by itself. */
  get deaf(): boolean {
    return !this.up && this.parts.clock.now() - this.downSince > DEAF_MS;
  }

  async stop(): Promise<void> {
    this.stopped = true;
    await this.receiver.stop().catch(() => undefined);
  }

  private turned(up: boolean): void {
    if (this.up === up) return;
    this.up = up;
    if (!up) this.downSince = this.parts.clock.now();
    this.parts.changed();
  }
}
