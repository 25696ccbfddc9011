import { createServer, type Server } from 'node:http';
import { getRequestListener } from '@hono/node-server';
import { Hono } from 'hono';
import { guard, hostsOf } from './guard.js';
import { addPageFiles } from './page-files.js';

export type DoorParts = {
  /** The built page. */
  readonly page: string;
  readonly host: string;
  /** 0 takes a free one. */
  readonly port: number;
  /** Other names under which pages may be opened, as browsers send them: `warden.workshop:4477`. */
  readonly names: readonly string[];
};

/**
 * What listens while the rest is still being read: it serves the page, and lets what the page asks wait until there is
 * somebody to answer. So a browser that is opened at once does not find nothing.
 */
export type Door = {
  readonly port: number;
  /** Host names under which this server may be spoken to. */
  hosts(): ReadonlySet<string>;
  /** From here on the app answers. */
  open(app: Hono): void;
  /** Ends in order: no new requests, those under way may end, then all connections are cut. */
  close(): Promise<void>;
};

/** The port is taken, or the address is none of this computer's: with the setting and what to do. */
export class ListenError extends Error {
  constructor(message: string) {
    super(message);
    this.name = 'ListenError';
  }
}

/** How long a request under way may take at the end, ms. */
const LAST_MS = 2000;

/**
 * Listens. Nothing that takes time is loaded for it.
 *
 * @throws {ListenError}
 */
export async function openDoor({ page, host, port: wanted, names }: DoorParts): Promise<Door> {
  let hosts: ReadonlySet<string> = new Set();
  let open: (app: Hono) => void = () => undefined;
  const answers = new Promise<Hono>((resolve) => {
    open = resolve;
  });
  const app = new Hono();
  app.use(guard(() => hosts));
  addPageFiles(app, page);
  app.all('*', async (c) => (await answers).fetch(c.req.raw, c.env));
  const server = createServer(
    { headersTimeout: 10_000, requestTimeout: 120_000, keepAliveTimeout: 30_000, maxHeaderSize: 16_384 },
    // With globals replaced, an answer that the live stream has sent itself is taken for one that is still to be sent,
    // depending on which module was loaded first; every page would be cut off again and again.
    getRequestListener(app.fetch, { overrideGlobalObjects: false }),
  );
  const port = await listen(server, host, wanted);
  hosts = hostsOf(host, port, names);
  return {
    port,
    hosts: () => hosts,
    open,
    close: async () => {
      const ended = new Promise<void>((resolve) => server.close(() => resolve()));
      server.closeIdleConnections();
      const late = setTimeout(() => server.closeAllConnections(), LAST_MS);
      await ended;
      clearTimeout(late);
    },
  };
}

/** How the address is written in a browser. */
export function urlOf(host: string, port: number): string {
  return `http://${host.includes(':') ? `[${host}]` : host}:${port}/`;
}

function listen(server: Server, host: string, port: number): Promise<number> {
  return new Promise((resolve, reject) => {
    server.once('error', (error: NodeJS.ErrnoException) =>
      reject(new ListenError(wordsOf(error, host, port))),
    );
    server.listen(port, host, () => {
      const address = server.address();
      resolve(address !== null && typeof address === 'object' ? address.port : port);
    });
  });
}

function wordsOf({ code, message }: NodeJS.ErrnoException, host: string, port: number): string {
  if (code === 'EADDRINUSE')
    return `BAYWARDEN_PORT: port ${port} is taken by another program. Set another, such as ${port + 1}, or end that program.`;
  if (code === 'EACCES')
    return `BAYWARDEN_PORT: port ${port} may not be used by this user. Set one above 1023.`;
  return `BAYWARDEN_HOST: ${host} cannot be listened on (${message}). Set an address of this computer.`;
}
