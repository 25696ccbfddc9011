import { createServer, type Server } from 'node:http';
import { getRequestListener } from '@hono/node-server';
import { Hono } from 'hono';
import { guard, hostsOf } from './guard.js';
import { addLive, type Live, type LiveParts } from './live.js';
import { addPageFiles } from './page-files.js';
import { photoType, readPhoto } from './photos.js';
import { addPictures, type PicturesParts } from './pictures.js';
import { addSaying, type SayingParts } from './saying.js';
import { addSignIn, type SignInParts } from './sign-in.js';

export type ServerParts = Omit<SayingParts, 'heard'> &
  Omit<LiveParts, 'speaker'> &
  SignInParts &
  PicturesParts & {
    /** The built page. */
    readonly page: string;
    readonly host: string;
    /** 0 takes a free one. */
    readonly port: number;
    /** Other names under which pages may be opened, as browsers send them: `warden.workshop:4477`. */
    readonly names: readonly string[];
    /** What went wrong while an answer was made, for the console. */
    readonly report: (words: string) => void;
  };

export type FloorServer = {
  readonly port: number;
  readonly live: Live;
  close(): Promise<void>;
};

/** The port is taken, or the address is none of this computer's. */
export class ListenError extends Error {
  constructor(
    readonly code: string,
    message: string,
  ) {
    super(message);
    this.name = 'ListenError';
  }
}

/** Starts the server of the floor page. Settles when it listens. */
export async function startServer(parts: ServerParts): Promise<FloorServer> {
  const app = new Hono();
  let hosts: ReadonlySet<string> = new Set();
  app.use(guard(() => hosts));
  const live = addLive(app, { ...parts, speaker: (c) => parts.people.speaker(c) });
  addSaying(app, { ...parts, heard: (bay) => live.changed(bay) });
  addSignIn(app, parts);
  addPictures(app, parts);
  app.get('/photo/:sha256', async (c) => {
    const bytes = await readPhoto(parts.disk, c.req.param('sha256'));
    if (bytes === null) return c.text('There is no such photo.', 404);
    c.header('cache-control', 'private, max-age=31536000, immutable');
    return c.body(new Uint8Array(bytes), 200, {
      'content-type': photoType(bytes) ?? 'application/octet-stream',
    });
  });
  addPageFiles(app, parts.page);
  app.notFound((c) => c.json({ why: 'There is nothing here.' }, 404));
  app.onError((error, c) => {
    parts.report(`${c.req.method} ${c.req.path}: ${String(error)}`);
    return c.json({ why: 'The workshop computer could not do that. It may have arrived.' }, 500);
  });

  const server = createServer(
    { headersTimeout: 10_000, requestTimeout: 120_000, keepAliveTimeout: 30_000, maxHeaderSize: 16_384 },
    getRequestListener(app.fetch),
  );
  const port = await listen(server, parts.host, parts.port);
  hosts = hostsOf(port, [...parts.names, `${parts.host}:${port}`]);
  return {
    port,
    live,
    close: async () => {
      live.close();
      await new Promise<void>((resolve) => {
        server.close(() => resolve());
        server.closeAllConnections();
      });
    },
  };
}

function listen(server: Server, host: string, port: number): Promise<number> {
  return new Promise((resolve, reject) => {
    server.once('error', (error: NodeJS.ErrnoException) =>
      reject(new ListenError(error.code ?? '', error.message)),
    );
    server.listen(port, host, () => {
      const address = server.address();
      resolve(address !== null && typeof address === 'object' ? address.port : port);
    });
  });
}
