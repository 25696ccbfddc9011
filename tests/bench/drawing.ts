import { createServer } from 'node:http';
import { join } from 'node:path';
import { getRequestListener, type HttpBindings } from '@hono/node-server';
import { Hono } from 'hono';
import { type SSEStreamingApi, streamSSE } from 'hono/streaming';
import type { Browser, Page } from 'playwright-core';
import { openDoor } from '../../src/channel/floor/door.js';
import { openFloor } from '../../src/channel/floor/floor.js';
import { VirtualClock } from '../../src/desk/clock.js';
import type { FlowSource } from '../../src/desk/flow-source.js';
import type { Input } from '../../src/job/input.js';
import { openNodeDisk } from '../../src/journal/node-disk.js';
import { newPhone } from '../browser/browser.js';
import { MORNING } from '../desk/floor.js';
import { openReader, watched } from './floor.js';

export type Painted = {
  /** From the line of the journal on the disk to the frame with its post on a phone's screen, ms. */
  readonly floor: readonly number[];
  /** From the writing of an event of the same bytes to the frame with its text, ms. */
  readonly bare: readonly number[];
};

/**
 * Tells when what arrives has been painted: after the frame that follows a change of the watched part. The same on both
 * pages, so that the two differ in nothing but what is measured.
 */
const PAINT = `window.painted = [];
  const { port1, port2 } = new MessageChannel();
  port1.onmessage = () => window.paintDone(performance.timeOrigin + performance.now());
  window.watchPaint = (selector) => new MutationObserver((changes) => {
    if (!changes.some(({ target }) => target.closest?.(selector) || target.parentElement?.closest(selector))) return;
    requestAnimationFrame(() => port2.postMessage(0));
  }).observe(document.body, { childList: true, subtree: true });`;

const BARE = `<!doctype html><title>bare</title><pre></pre><script src="/bare.js"></script>`;
/** The least that shows an event: its text, put where it is seen. */
const BARE_SCRIPT = `new EventSource('/live').addEventListener('post', ({ data }) => {
  document.querySelector('pre').textContent = data;
});`;

/** Posts of a desk drawn by the built page in a browser, beside events of the same bytes on a page with nothing in it. */
export async function painted(
  browser: Browser,
  folder: string,
  flows: FlowSource,
  count: number,
): Promise<Painted> {
  const found = { floor: [] as number[], bare: [] as number[] };
  const clock = new VirtualClock(MORNING);
  let onDisk = 0;
  const disk = watched(openNodeDisk(folder), () => {
    onDisk = wall();
  });
  const host = '127.0.0.1';
  const page = join(process.cwd(), 'dist/page');
  const door = await openDoor({ page, host, port: 0, names: [] });
  const floor = await openFloor({ data: folder, flows, door, host, clock, disk, print: () => undefined });
  const bare = await openBarePage();
  const input = (text: string, at: number): Input => ({
    ...{ key: `paint:${at}`, bay: '1', by: 'mara', name: 'Mara Tillet', via: 'floor', saidAt: clock.now() },
    ...{ seen: '', marks: {}, body: { is: 'text', text } },
  });
  const phone = await newPhone(browser, { screen: '390 x 844' });
  await floor.desk.receive(input('start disconnect-fuse DEMO-1', 0));
  const reader = await openReader(floor.port, '/live', 'event: caught-up');
  const answer = reader.next('event: post');
  await floor.desk.receive(input('note the first', 0.5));
  const { bytes } = await answer;
  reader.close();
  const ours = await openPainted(await phone.newPage(), `${floor.url}#/bay/1`, '.ledger ol');
  const theirs = await openPainted(await phone.newPage(), bare.url, 'pre');
  try {
    for (let at = 1; at <= count; at++) {
      await ours.page.bringToFront();
      const drawn = ours.next();
      await floor.desk.receive(input(`note the ${at}th`, at));
      const from = onDisk;
      const took = (await drawn) - from;
      await theirs.page.bringToFront();
      const shown = theirs.next();
      const sent = wall();
      await bare.send(`${at} `.padEnd(bytes - NAMES, 'x'));
      const plain = (await shown) - sent;
      // The first ones warm up.
      if (at <= count / 5) continue;
      found.floor.push(took - ours.ahead);
      found.bare.push(plain - theirs.ahead);
    }
  } finally {
    await phone.close();
    bare.close();
    await floor.close();
  }
  return found;
}

/** What stands around the data of a bare event. */
const NAMES = 'event: post\ndata: \n\n'.length;
const wall = () => performance.timeOrigin + performance.now();

type PaintedPage = {
  readonly page: Page;
  /** How far the browser's clock is ahead of ours, ms. */
  readonly ahead: number;
  /** When the next change was painted, by the browser's clock. */
  next(): Promise<number>;
};

async function openPainted(page: Page, url: string, selector: string): Promise<PaintedPage> {
  let done: (at: number) => void = () => undefined;
  await page.exposeFunction('paintDone', (at: number) => done(at));
  await page.addInitScript(PAINT);
  await page.goto(url);
  await page.locator(selector).first().waitFor({ state: 'attached' });
  await page.evaluate(`watchPaint(${JSON.stringify(selector)})`);
  return {
    page,
    ahead: await aheadOf(page),
    next: () =>
      new Promise((resolve) => {
        done = resolve;
      }),
  };
}

/** The quickest of many questions leaves the least doubt about when it was answered. */
async function aheadOf(page: Page): Promise<number> {
  let best = { took: Number.POSITIVE_INFINITY, ahead: 0 };
  for (let at = 0; at < 40; at++) {
    const asked = wall();
    const there = Number(await page.evaluate('performance.timeOrigin + performance.now()'));
    const took = wall() - asked;
    if (took < best.took) best = { took, ahead: there - (asked + took / 2) };
  }
  return best.ahead;
}

/** A page with nothing but the events, by the http server that the floor page stands on. */
async function openBarePage(): Promise<{ url: string; send(data: string): Promise<void>; close(): void }> {
  let stream: SSEStreamingApi | null = null;
  const app = new Hono<{ Bindings: HttpBindings }>();
  app.get('/', (c) => c.html(BARE));
  app.get('/bare.js', (c) => c.body(BARE_SCRIPT, 200, { 'content-type': 'text/javascript' }));
  app.get('/live', (c) =>
    streamSSE(c, async (opened) => {
      c.env.outgoing.socket?.setNoDelay(true);
      stream = opened;
      await opened.writeSSE({ event: 'hello', data: '' });
      await new Promise<void>((resolve) => opened.onAbort(resolve));
    }),
  );
  const server = createServer(getRequestListener(app.fetch));
  await new Promise<void>((resolve) => server.listen(0, '127.0.0.1', () => resolve()));
  const address = server.address();
  const port = typeof address === 'object' && address !== null ? address.port : 0;
  return {
    url: `http://127.0.0.1:${port}/`,
    send: async (data) => {
      if (stream === null) throw new Error('the bare page does not listen');
      await stream.writeSSE({ event: 'post', data });
    },
    close: () => {
      server.close();
      server.closeAllConnections();
    },
  };
}
