import { once } from 'node:events';
import { createServer, type IncomingMessage, type Server, type ServerResponse } from 'node:http';
import type { AddressInfo } from 'node:net';
import { WebSocketServer } from 'ws';
import { Sockets } from './sockets.js';
import { type Args, type Reply, WebApi } from './web-api.js';

/**
 * Our own stand-in of the messaging platform, on the loopback: Web API over http with form bodies, sockets over ws,
 * response_url, uploads and downloads. Its clock is given, so that hours pass at once.
 */
export class StandIn {
  readonly sockets = new Sockets();
  readonly web: WebApi;
  /** Bodies posted to a response_url. */
  readonly responses: unknown[] = [];
  private readonly server: Server;
  private readonly upgrades = new WebSocketServer({ noServer: true });
  private readonly hanging = new Set<ServerResponse>();
  private port = 0;

  private constructor(now: () => number) {
    this.web = new WebApi(now, () => ({ http: this.http, ws: `ws://127.0.0.1:${this.port}` }));
    this.server = createServer((request, response) => void this.handle(request, response));
    this.server.on('upgrade', (request, socket, head) => {
      if (this.web.cut) socket.destroy();
      else this.upgrades.handleUpgrade(request, socket, head, (one) => this.sockets.take(one));
    });
  }

  static async open(now: () => number = Date.now): Promise<StandIn> {
    const standIn = new StandIn(now);
    standIn.server.listen(0, '127.0.0.1');
    await once(standIn.server, 'listening');
    standIn.port = (standIn.server.address() as AddressInfo).port;
    return standIn;
  }

  get http(): string {
    return `http://127.0.0.1:${this.port}`;
  }

  /** What the app is given as the address of the Web API. */
  get api(): string {
    return `${this.http}/api/`;
  }

  /** Nobody gets through: sockets die, calls are cut. */
  cutOff(): void {
    this.web.cut = true;
    this.sockets.drop();
  }

  mend(): void {
    this.web.cut = false;
  }

  async close(): Promise<void> {
    this.sockets.drop();
    this.upgrades.close();
    this.server.closeAllConnections();
    await new Promise((resolve) => this.server.close(resolve));
  }

  /** The same answers without a line in between, for runs in one process. */
  readonly fetch: typeof fetch = async (input, init) => {
    const request = new Request(input, init);
    const raw = Buffer.from(await request.arrayBuffer());
    const { pathname } = new URL(request.url);
    const auth = request.headers.get('authorization') ?? '';
    const reply = this.reply(pathname, raw, auth);
    if (reply === 'cut') throw new TypeError('fetch failed');
    if (reply === 'hang') {
      return new Promise((_, reject) => {
        request.signal.addEventListener('abort', () => reject(request.signal.reason));
      });
    }
    const body = Buffer.isBuffer(reply.body) ? new Uint8Array(reply.body) : textOf(reply.body);
    return new Response(body, {
      status: reply.status,
      headers: { 'content-type': 'application/json', ...reply.headers },
    });
  };

  private async handle(request: IncomingMessage, response: ServerResponse): Promise<void> {
    const chunks: Buffer[] = [];
    try {
      for await (const chunk of request) chunks.push(chunk as Buffer);
    } catch {
      return;
    }
    const { pathname } = new URL(request.url ?? '/', this.http);
    const reply = this.reply(pathname, Buffer.concat(chunks), request.headers.authorization ?? '');
    this.sockets.changed();
    if (reply === 'cut') return void request.socket.destroy();
    if (reply === 'hang') return void this.hanging.add(response);
    response.writeHead(reply.status, { 'content-type': 'application/json', ...reply.headers });
    response.end(Buffer.isBuffer(reply.body) ? reply.body : textOf(reply.body));
  }

  private reply(path: string, raw: Buffer, auth: string): Reply {
    const good = (body: unknown): Reply => ({ status: 200, headers: {}, body });
    if (path.startsWith('/api/')) return this.web.answer(path.slice(5), argsOf(raw), auth);
    if (this.web.cut) return 'cut';
    if (path.startsWith('/response/')) {
      this.responses.push(JSON.parse(raw.toString()));
      return good('ok');
    }
    const file = this.web.files.get(path.split('/')[2] ?? '');
    if (path.startsWith('/upload/') && file !== undefined) {
      file.bytes = raw;
      return good(`OK - ${raw.length}`);
    }
    if (path.startsWith('/file/') && file !== undefined && auth !== '') return good(file.bytes);
    return { status: 404, headers: {}, body: {} };
  }
}

const textOf = (body: unknown) => (typeof body === 'string' ? body : JSON.stringify(body));
const argsOf = (raw: Buffer): Args => Object.fromEntries(new URLSearchParams(raw.toString()));
