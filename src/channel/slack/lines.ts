import { type App, HTTPReceiver, type Receiver } from '@slack/bolt';
import type { Clock } from '../../desk/clock.js';
import type { Coverage } from './coverage.js';
import { quiet } from './logger.js';
import { Probe } from './probe.js';
import type { SlackSettings } from './settings.js';
import { Socket, type SocketParts } from './socket.js';

/** How what people say comes in. */
export type Lines = {
  /** For the library's app. */
  readonly receiver: Receiver;
  /** Opens them; goes on trying for ever where that is possible. */
  start(app: App): Promise<void>;
  /** Looks after them: once a second or so. */
  tick(app: App): Promise<void>;
  stop(): Promise<void>;
  /** In words, for the console. */
  describe(): string;
};

export type LinesParts = {
  readonly settings: SlackSettings;
  readonly clock: Clock;
  readonly coverage: Coverage;
  readonly report: (words: string) => void;
  /** Called when what was missed has to be read. */
  readonly found: () => void;
  /** Asks the platform for anything; fails while nobody answers. */
  readonly probe: () => Promise<unknown>;
  readonly pingMs?: number;
};

/** Two sockets: the platform renews each of them every few hours, and while one is away the other listens. */
const SOCKETS = 2;

export function openLines(parts: LinesParts): Lines {
  const { http, appToken } = parts.settings;
  if (http !== null) return httpLines(parts, http);
  return socketLines(parts, appToken ?? '');
}

function socketLines(
  { settings, clock, coverage, report, found, pingMs }: LinesParts,
  appToken: string,
): Lines {
  const changed = () => {
    if (sockets.some(({ up }) => up)) {
      coverage.found(clock.now());
      found();
    } else coverage.lost(clock.now());
  };
  const parts: SocketParts = {
    appToken,
    apiUrl: settings.apiUrl,
    clock,
    fault: report,
    changed,
    ...(pingMs === undefined ? {} : { pingMs }),
  };
  const make = () => new Socket(parts);
  const sockets: Socket[] = Array.from({ length: SOCKETS }, make);
  return {
    // The library wants one; the second is started beside it.
    receiver: (sockets[0] as Socket).receiver,
    start: async (app) => {
      for (const socket of sockets) socket.start(app);
    },
    tick: async (app) => {
      for (const [at, socket] of sockets.entries()) {
        if (!socket.deaf) continue;
        report('A socket to Slack was deaf and is made anew.');
        void socket.stop();
        const next = make();
        sockets[at] = next;
        next.start(app);
      }
    },
    stop: async () => {
      await Promise.all(sockets.map((socket) => socket.stop()));
    },
    describe: () => `Socket Mode, ${sockets.filter(({ up }) => up).length} of ${SOCKETS} sockets up`,
  };
}

function httpLines(
  { clock, coverage, report, found, probe }: LinesParts,
  { signingSecret, port, host = '0.0.0.0' }: NonNullable<SlackSettings['http']>,
): Lines {
  const receiver = new HTTPReceiver({ signingSecret, port, logger: quiet(report) });
  let where = '';
  const asks = new Probe(clock, coverage, probe);
  return {
    receiver,
    start: async () => {
      const server = await receiver.start({ port, host });
      const address = server.address();
      where = typeof address === 'object' && address !== null ? String(address.port) : String(address);
      coverage.found(clock.now());
      found();
    },
    tick: () => asks.tick(),
    stop: async () => {
      await receiver.stop().catch(() => undefined);
    },
    describe: () => `HTTP, port ${where}, path /slack/events`,
  };
}

/** Another receiver of the library's, such as one in the same process. */
export function givenLines({ clock, coverage, probe }: LinesParts, receiver: Receiver): Lines {
  const asks = new Probe(clock, coverage, probe);
  return {
    receiver,
    start: async () => {
      await receiver.start();
      coverage.found(clock.now());
    },
    tick: () => asks.tick(),
    stop: async () => void (await receiver.stop()),
    describe: () => 'in one process',
  };
}
