import { createHash, randomBytes } from 'node:crypto';
import { existsSync, readFileSync } from 'node:fs';
import { createServer, type IncomingMessage, type ServerResponse } from 'node:http';
import { join } from 'node:path';
import type { Clock } from '../../src/desk/clock.js';
import type { Desk } from '../../src/desk/desk.js';
import type { Channel } from '../../src/desk/port.js';
import type { Body } from '../../src/job/input.js';
import type { Register } from '../../src/shop/register.js';
import { titleOf } from '../../src/talk/phrase.js';
import { questionOf } from '../../src/talk/question.js';

// A stand-in for the floor server until it can run.
type Ev = { name: string; id: string | null; thread: string; data: unknown };
export type StandIn = {
  channel: Channel;
  url: string;
  attach(desk: Desk): void;
  close(): void;
  open(): Promise<void>;
};

export async function standIn(register: Register, clock: Clock, dist: string): Promise<StandIn> {
  let desk: Desk | null = null;
  let n = 0;
  const log: Ev[] = [];
  const clients = new Map<ServerResponse, IncomingMessage>();
  const keys = new Map<string, string>();
  const who = new Map<string, { id: string; own: boolean }>();
  const place = () => String(++n).padStart(8, '0');
  const write = (res: ServerResponse, ev: Ev) =>
    res.write(
      `${ev.id === null ? '' : `id: ${ev.id}\n`}event: ${ev.name}\ndata: ${JSON.stringify(ev.data)}\n\n`,
    );
  const emit = (ev: Ev) => {
    if (ev.id !== null) log.push(ev);
    for (const res of clients.keys()) write(res, ev);
  };
  const cookieOf = (req: IncomingMessage) => /floor=([0-9a-f]+)/.exec(req.headers.cookie ?? '')?.[1] ?? '';
  const personOf = (req: IncomingMessage) => {
    const w = who.get(cookieOf(req));
    return w === undefined ? null : { ...w, name: register.people.get(w.id)?.name ?? w.id };
  };
  const board = () => ({
    at: clock.now(),
    rows: [...register.bays.values()].map(({ id, label }) => {
      const job = desk?.jobOf(id) ?? null;
      const flow = desk?.flowOf(id) ?? null;
      const q = job === null || flow === null ? null : questionOf(job, flow, false);
      const name = (p: string | null) => (p === null ? null : (register.people.get(p)?.name ?? p));
      return {
        bay: id,
        label,
        attention: job?.mode === 'stopped' ? 3 : job?.mode === 'held' ? 2 : q === null ? 0 : 1,
        job:
          job === null
            ? null
            : {
                id: job.id,
                number: job.id,
                car: job.car.registration,
                flow: job.flow,
                title: flow?.title ?? job.flow,
              },
        step: job?.asked != null && flow !== null ? [titleOf(job, flow, job.asked.step)] : null,
        asked: q?.visit == null ? null : (q.lines.at(-1) ?? null),
        holder: name(job?.holder ?? null),
        standby: name(job?.standby ?? null),
        since: job?.modeSince ?? clock.now(),
        proved: [],
        notProved: [],
        locks: [],
        open: [],
        waits: job?.waitingFor == null ? [] : [{ label: 'waiting', until: job.waitingFor.until, firm: true }],
        why: job?.mode === 'stopped' ? ['STOP'] : job?.mode === 'held' ? [`Hold: ${job.modeReason}`] : null,
      };
    }),
  });
  const channel: Channel = {
    name: 'floor',
    deliver: async (out) => {
      const at = place();
      keys.set(out.key, at);
      const { to, ...post } = out.post;
      emit({
        name: 'post',
        id: at,
        thread: to,
        data: {
          place: at,
          key: out.key,
          thread: to,
          bay: out.bay,
          job: out.job,
          at: clock.now(),
          again: out.again,
          ...post,
        },
      });
      setTimeout(() => emit({ name: 'board', id: null, thread: '', data: board() }), 5);
      return at;
    },
    find: async (out) => keys.get(out.key) ?? null,
  };
  const server = createServer(async (req, res) => {
    const url = new URL(req.url ?? '/', 'http://x');
    res.setHeader(
      'content-security-policy',
      "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' blob: data:; connect-src 'self'; form-action 'none'; base-uri 'none'; frame-ancestors 'none'",
    );
    if (url.pathname === '/live') {
      res.setHeader('content-type', 'text/event-stream');
      clients.set(res, req);
      req.on('close', () => clients.delete(res));
      const me = personOf(req);
      write(res, {
        name: 'hello',
        id: null,
        thread: '',
        data: {
          name: register.shop.name,
          zone: register.shop.zone,
          now: clock.now(),
          bays: [...register.bays.values()].map(({ id, label }) => ({ id, label })),
          people: [...register.people.values()].map(({ id, name }) => ({ id, name, pin: false })),
          me,
          shop: 'demo',
          first: log.length === 0,
          flows: [{ id: 'disconnect-fuse', title: 'Change the disconnect fuse' }],
          cars: ['DEMO-1', 'DEMO-4', 'DEMO-7'],
        },
      });
      const after = url.searchParams.get('after');
      for (const ev of log) if (after === null || (ev.id ?? '') > after) write(res, ev);
      write(res, { name: 'board', id: null, thread: '', data: board() });
      write(res, { name: 'caught-up', id: null, thread: '', data: { place: String(n) } });
      return;
    }
    if (req.method === 'POST') {
      const chunks: Buffer[] = [];
      for await (const chunk of req) chunks.push(chunk as Buffer);
      const bytes = Buffer.concat(chunks);
      const answer = (code: number, data?: unknown) => {
        res.statusCode = code;
        res.end(data === undefined ? '' : JSON.stringify(data));
      };
      if (url.pathname === '/sign-in') {
        const { person, own } = JSON.parse(bytes.toString());
        const id = randomBytes(16).toString('hex');
        who.set(id, { id: person, own });
        res.setHeader('set-cookie', `floor=${id}; HttpOnly; SameSite=Strict; Path=/`);
        return answer(204);
      }
      if (url.pathname === '/sign-out') {
        who.delete(cookieOf(req));
        return answer(204);
      }
      const me = personOf(req);
      const photo = url.pathname === '/photo';
      const said = photo ? Object.fromEntries(url.searchParams) : JSON.parse(bytes.toString());
      const text: string = said.text ?? '';
      if (me === null && text !== 'stop') return answer(401, { ask: 'sign-in' });
      const sha256 = createHash('sha256').update(bytes).digest('hex');
      const body: Body = photo
        ? { is: 'photo', sha256, name: 'photo', text }
        : said.tap !== undefined
          ? { is: 'tap', ...said.tap }
          : { is: 'text', text };
      const by = me ?? { id: 'guest:floor', name: 'Somebody' };
      const at = place();
      emit({
        name: 'said',
        id: at,
        thread: said.thread ?? 'bay',
        data: {
          place: at,
          bay: said.bay,
          thread: said.thread ?? 'bay',
          by: by.id,
          name: by.name,
          words: body.is === 'tap' ? body.says : text,
          at: clock.now(),
          photo: photo ? sha256 : null,
        },
      });
      await desk?.receive({
        key: said.key,
        bay: said.bay,
        by: by.id,
        name: by.name,
        via: 'floor',
        saidAt: clock.now(),
        seen: said.seen ?? null,
        marks: photo ? { attachment: true } : {},
        body,
      });
      return answer(204);
    }
    if (url.pathname.startsWith('/pictures/')) {
      res.setHeader('content-type', 'application/json');
      return res.end('{"pictures":[]}');
    }
    const file = join(dist, url.pathname === '/' ? 'index.html' : url.pathname.slice(1));
    if (!existsSync(file)) {
      res.statusCode = 404;
      return res.end();
    }
    res.setHeader(
      'content-type',
      file.endsWith('.js')
        ? 'text/javascript'
        : file.endsWith('.css')
          ? 'text/css'
          : 'text/html; charset=utf-8',
    );
    return res.end(readFileSync(file));
  });
  let port = 0;
  const open = () =>
    new Promise<void>((resolve) =>
      server.listen(port, '127.0.0.1', () => {
        port = (server.address() as { port: number }).port;
        resolve();
      }),
    );
  await open();
  return {
    channel,
    get url() {
      return `http://127.0.0.1:${port}/`;
    },
    attach: (d) => {
      desk = d;
    },
    open,
    close: () => {
      server.close();
      server.closeAllConnections();
    },
  };
}
