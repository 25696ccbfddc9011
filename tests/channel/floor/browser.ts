import { type IncomingMessage, request } from 'node:http';

export type Answer = {
  readonly status: number;
  readonly text: string;
  readonly headers: IncomingMessage['headers'];
  /** The body as JSON, empty where it is none. */
  readonly json: Readonly<Record<string, unknown>>;
};

export type LiveEvent = { readonly id: string | null; readonly event: string; readonly data: never };

type Asked = {
  readonly method?: string;
  readonly body?: string | Uint8Array;
  readonly headers?: Readonly<Record<string, string>>;
};

/** The first bytes of a JPEG, and then some. */
export const PHOTO = Buffer.concat([Buffer.from([0xff, 0xd8, 0xff, 0xe0]), Buffer.alloc(200, 7)]);

let keys = 0;
export const newKey = () => `key-${process.pid}-${++keys}`.padEnd(12, '0');

/** A browser as far as the server can tell: a cookie, an origin, requests and one stream. */
export class Browser {
  private cookie: string | null = null;
  private newest: string | null = null;

  constructor(readonly port: number) {}

  /** The same browser after the program came up on another port. */
  at(port: number): Browser {
    const moved = new Browser(port);
    moved.cookie = this.cookie;
    return moved;
  }

  get origin(): string {
    return `http://127.0.0.1:${this.port}`;
  }

  ask(path: string, { method = 'GET', body, headers = {} }: Asked = {}): Promise<Answer> {
    const own = {
      ...(this.cookie === null ? {} : { cookie: this.cookie }),
      ...(method === 'GET' ? {} : { origin: this.origin, 'x-floor': '1', 'sec-fetch-site': 'same-origin' }),
      ...(body === undefined ? {} : { 'content-length': String(Buffer.byteLength(body)) }),
    };
    // A header given as empty is left out.
    const all = Object.fromEntries(
      Object.entries({ ...own, ...headers }).filter(([, value]) => value !== ''),
    );
    return new Promise((resolve, reject) => {
      const asked = request(
        { host: '127.0.0.1', port: this.port, path, method, headers: all, agent: false },
        (response) => {
          const chunks: Buffer[] = [];
          response.on('data', (chunk: Buffer) => chunks.push(chunk));
          response.on('error', reject);
          response.on('end', () => {
            const [cookie] = response.headers['set-cookie'] ?? [];
            if (cookie !== undefined) this.cookie = cookie.split(';')[0] ?? null;
            const text = Buffer.concat(chunks).toString();
            resolve({
              status: response.statusCode ?? 0,
              text,
              headers: response.headers,
              json: jsonIn(text),
            });
          });
        },
      );
      asked.on('error', reject);
      if (body !== undefined) asked.write(body);
      asked.end();
    });
  }

  post(path: string, body: unknown, headers: Readonly<Record<string, string>> = {}): Promise<Answer> {
    return this.ask(path, { method: 'POST', body: JSON.stringify(body), headers });
  }

  signIn(who: { readonly person: string; readonly own: boolean; readonly pin?: string }): Promise<Answer> {
    return this.post('/sign-in', who);
  }

  say(text: string, more: Readonly<Record<string, unknown>> = {}): Promise<Answer> {
    return this.post('/say', { key: newKey(), bay: '1', thread: 'bay', seen: null, text, ...more });
  }

  photo(
    bytes: Uint8Array,
    more: Readonly<Record<string, string>> = {},
    headers: Readonly<Record<string, string>> = {},
  ): Promise<Answer> {
    const query = new URLSearchParams({ bay: '1', key: newKey(), ...more });
    return this.ask(`/photo?${query}`, { method: 'POST', body: bytes, headers });
  }

  /** The newest place there is: what a page has drawn that keeps up. */
  async newestPlace(): Promise<string | null> {
    const live = await this.listen(this.newest);
    await live.caughtUp();
    this.newest =
      (live.events.findLast(({ event }) => event === 'caught-up')?.data as { place: string } | undefined)
        ?.place ?? null;
    live.close();
    return this.newest === '' ? null : this.newest;
  }

  /** Opens the live stream. */
  listen(after: string | null = null, headers: Readonly<Record<string, string>> = {}): Promise<Live> {
    const path = after === null ? '/live' : `/live?after=${encodeURIComponent(after)}`;
    const own = this.cookie === null ? {} : { cookie: this.cookie };
    return new Promise((resolve, reject) => {
      const asked = request(
        { host: '127.0.0.1', port: this.port, path, headers: { ...own, ...headers }, agent: false },
        (response) => resolve(new Live(response, () => asked.destroy())),
      );
      asked.on('error', reject);
      asked.end();
    });
  }
}

/** A live stream that is read. */
export class Live {
  readonly events: LiveEvent[] = [];
  ended = false;
  private rest = '';
  private waiting: (() => void)[] = [];

  constructor(
    readonly response: IncomingMessage,
    readonly close: () => void,
  ) {
    response.setEncoding('utf8');
    response.on('data', (text: string) => this.take(text));
    const end = () => {
      this.ended = true;
      this.wake();
    };
    for (const event of ['end', 'close', 'error'] as const) response.on(event, end);
  }

  /** Waits for an event, past ones included. */
  async find(wanted: (event: LiveEvent) => boolean): Promise<LiveEvent> {
    for (;;) {
      const found = this.events.find(wanted);
      if (found !== undefined) return found;
      if (this.ended) throw new Error('the stream ended');
      await new Promise<void>((resolve) => this.waiting.push(resolve));
    }
  }

  /** Waits until the stream ends. */
  async end(): Promise<void> {
    while (!this.ended) await new Promise<void>((resolve) => this.waiting.push(resolve));
  }

  async caughtUp(): Promise<void> {
    await this.find(({ event }) => event === 'caught-up');
  }

  /** Data of all events of a kind so far. */
  of<T = Readonly<Record<string, unknown>>>(kind: string): T[] {
    return this.events.filter(({ event }) => event === kind).map(({ data }) => data as T);
  }

  /** The ledger as it was told: places with their words. */
  ledger(): string[] {
    return this.events
      .filter(({ event }) => event === 'post' || event === 'said')
      .map(({ id, data }) => `${id} ${JSON.stringify(data)}`);
  }

  private take(text: string): void {
    const parts = (this.rest + text).split('\n\n');
    this.rest = parts.pop() ?? '';
    for (const part of parts) {
      const field = (name: string) =>
        part
          .split('\n')
          .find((line) => line.startsWith(`${name}: `))
          ?.slice(name.length + 2);
      const event = field('event');
      if (event === undefined) continue;
      this.events.push({
        id: field('id') ?? null,
        event,
        data: JSON.parse(field('data') ?? 'null') as never,
      });
    }
    this.wake();
  }

  private wake(): void {
    const waiting = this.waiting;
    this.waiting = [];
    for (const one of waiting) one();
  }
}

function jsonIn(text: string): Readonly<Record<string, unknown>> {
  try {
    const found: unknown = JSON.parse(text);
    return typeof found === 'object' && found !== null ? (found as Record<string, unknown>) : {};
  } catch {
    return {};
  }
}
