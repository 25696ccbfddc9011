import { spawn } from 'node:child_process';
import * as fs from 'node:fs';
import { createServer, get, type ServerResponse } from 'node:http';
import { join } from 'node:path';
import { openDoor } from '../../src/channel/floor/door.js';
import { openFloor } from '../../src/channel/floor/floor.js';
import { VirtualClock } from '../../src/desk/clock.js';
import type { FlowSource } from '../../src/desk/flow-source.js';
import type { Input } from '../../src/job/input.js';
import type { Disk } from '../../src/journal/disk.js';
import { openNodeDisk } from '../../src/journal/node-disk.js';
import { MORNING } from '../desk/floor.js';

/** What the running program loads from others. */
const PACKAGES = ['hono', '@hono/node-server', 'lowdb', 'luxon', 'node-cron', 'yaml', 'zod'];
const BARE = `await Promise.all(${JSON.stringify(PACKAGES)}.map((name) => import(name))); console.log('Open:');`;

export type Started = {
  /** Until it listens, and until the packages alone were loaded, ms. */
  readonly listening: readonly number[];
  readonly bare: readonly number[];
  /** Until the workshop is open and answers, ms. */
  readonly answering: readonly number[];
};

/** Starts the built program on a folder and the bare import of its packages, one after the other. */
export async function starts(folder: string, port: number, count: number): Promise<Started> {
  const found = { listening: [] as number[], bare: [] as number[], answering: [] as number[] };
  const env = { ...process.env, BAYWARDEN_DATA: folder, BAYWARDEN_PORT: String(port) };
  const own = () => startedIn([join(process.cwd(), 'dist/main.js')], env, 'Ctrl-C');
  // The first start writes the workshop and proves the flows.
  await own();
  for (let at = 0; at < count; at++) {
    const bare = await startedIn(['--input-type=module', '-e', BARE], process.env, 'Open:');
    const { first, last } = await own();
    found.bare.push(bare.first);
    found.listening.push(first);
    found.answering.push(last);
  }
  return found;
}

/** When the address was printed, and when this was, ms from the start. Ends it then. */
function startedIn(
  args: readonly string[],
  env: NodeJS.ProcessEnv,
  last: string,
): Promise<{ readonly first: number; readonly last: number }> {
  return new Promise((resolve, reject) => {
    const from = performance.now();
    const program = spawn(process.execPath, args, { env, stdio: ['ignore', 'pipe', 'inherit'] });
    let [said, first, ready] = ['', 0, 0];
    program.stdout.on('data', (chunk: Buffer) => {
      said += chunk.toString();
      if (first === 0 && said.includes('Open:')) first = performance.now() - from;
      if (ready !== 0 || !said.includes(last)) return;
      ready = performance.now() - from;
      program.kill('SIGTERM');
    });
    program.on('error', reject);
    program.on('exit', () =>
      ready === 0 ? reject(new Error(`it did not come up:\n${said}`)) : resolve({ first, last: ready }),
    );
  });
}

export type Drawn = {
  /** From the line of the journal on the disk to the event at a reader, ms. */
  readonly floor: readonly number[];
  /** From the write of a bare server-sent event of that size to its reader, ms. */
  readonly bare: readonly number[];
};

/** Posts of a desk, read from the live stream, beside events of a server with nothing around it. */
export async function drawn(folder: string, flows: FlowSource, count: number): Promise<Drawn> {
  const found = { floor: [] as number[], bare: [] as number[] };
  const clock = new VirtualClock(MORNING);
  let onDisk = 0;
  const disk = watched(openNodeDisk(folder), () => {
    onDisk = performance.now();
  });
  const host = '127.0.0.1';
  const door = await openDoor({ page: folder, host, port: 0, names: [] });
  const floor = await openFloor({ data: folder, flows, door, host, clock, disk, print: () => undefined });
  const live = await openReader(floor.port, '/live');
  const bare = await openBareEvents();
  const input = (text: string, at: number): Input => ({
    ...{ key: `bench:${at}`, bay: '1', by: 'mara', name: 'Mara Tillet', via: 'floor', saidAt: clock.now() },
    ...{ seen: '', marks: {}, body: { is: 'text', text } },
  });
  await floor.desk.receive(input('start disconnect-fuse DEMO-1', 0));
  await live.next('event: post');
  for (let at = 1; at <= count; at++) {
    const arrived = live.next('event: post');
    await floor.desk.receive(input(`note the ${at}th`, at));
    const { at: then, bytes } = await arrived;
    const plain = bare.reader.next('event: post');
    const from = performance.now();
    bare.send(bytes);
    const { at: later } = await plain;
    // The first ones warm up.
    if (at <= count / 5) continue;
    found.floor.push(then - onDisk);
    found.bare.push(later - from);
  }
  live.close();
  bare.close();
  await floor.close();
  return found;
}

/** A disk that says when an append was flushed. */
export function watched(disk: Disk, flushed: () => void): Disk {
  return {
    ...disk,
    open: async (path) => {
      const file = await disk.open(path);
      const append = async (bytes: Uint8Array, sync: boolean) => {
        await file.append(bytes, sync);
        if (sync) flushed();
      };
      return { ...file, append };
    },
  };
}

type Reader = {
  /** The next event that holds this: when it was there, and how long it was. */
  next(holds: string): Promise<{ readonly at: number; readonly bytes: number }>;
  close(): void;
};

/** Reads a live stream; with `after`, from the event on that holds it, which may come with the first bytes. */
export function openReader(port: number, path: string, after: string | null = null): Promise<Reader> {
  return new Promise((resolve, reject) => {
    const asked = get({ host: '127.0.0.1', port, path, agent: false }, (response) => {
      let waiting: { holds: string; done: (found: { at: number; bytes: number }) => void } | null = null;
      let rest = '';
      response.setEncoding('utf8');
      response.on('error', () => undefined);
      response.on('data', (text: string) => {
        const at = performance.now();
        rest += text;
        for (let end = rest.indexOf('\n\n'); end >= 0; end = rest.indexOf('\n\n')) {
          const event = rest.slice(0, end + 2);
          rest = rest.slice(end + 2);
          if (after !== null && event.includes(after)) resolve(reader);
          if (waiting === null || !event.includes(waiting.holds)) continue;
          waiting.done({ at, bytes: Buffer.byteLength(event) });
          waiting = null;
        }
      });
      const reader: Reader = {
        next: (holds) =>
          new Promise((done) => {
            waiting = { holds, done };
          }),
        close: () => void asked.destroy(),
      };
      if (after === null) resolve(reader);
    });
    asked.on('error', reject);
  });
}

async function openBareEvents(): Promise<{ reader: Reader; send(bytes: number): void; close(): void }> {
  let stream: ServerResponse | null = null;
  const server = createServer((_, response) => {
    response.writeHead(200, { 'content-type': 'text/event-stream' });
    response.socket?.setNoDelay(true);
    response.write('retry: 1000\n\n');
    stream = response;
  });
  await new Promise<void>((resolve) => server.listen(0, '127.0.0.1', () => resolve()));
  const address = server.address();
  const reader = await openReader(typeof address === 'object' && address !== null ? address.port : 0, '/');
  const head = 'event: post\ndata: ';
  return {
    reader,
    send: (bytes) => void stream?.write(`${head}${'x'.repeat(Math.max(1, bytes - head.length - 2))}\n\n`),
    close: () => {
      reader.close();
      server.close();
      server.closeAllConnections();
    },
  };
}

/** Whether the program was built: what is started is what people start. */
export const isBuilt = () => fs.existsSync(join(process.cwd(), 'dist/main.js'));
