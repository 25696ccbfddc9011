import type { HttpBindings } from '@hono/node-server';
import { RESPONSE_ALREADY_SENT } from '@hono/node-server/utils/response';
import type { Context, Hono } from 'hono';
import type { Clock } from '../../desk/clock.js';
import type { Desk } from '../../desk/desk.js';
import { type Entry, placeOfThread } from './entry.js';
import { HEADERS } from './guard.js';
import type { Ledger } from './ledger.js';
import { overIn } from './over.js';
import type { Speaker } from './people.js';
import type { Subscriber, Subscribers } from './subscribers.js';
import type { Hello, WirePost, WireSaid } from './wire.js';

export type LiveParts = {
  readonly desk: () => Desk;
  readonly ledger: Ledger;
  readonly subscribers: Subscribers;
  readonly clock: Clock;
  readonly board: () => unknown;
  readonly hello: (speaker: Speaker | null) => Hello;
  readonly speaker: (c: Context) => Speaker | null;
};

/** Everything that happens, as it happens. */
export type Live = {
  /** Something may have changed in a bay: which questions are over, and what the board shows. */
  changed(bay: string | null): void;
  close(): void;
};

const BOARD_MS = 1000;

/** `GET /live`: what stands there, then all that comes, to everybody who listens. */
export function addLive(app: Hono, parts: LiveParts): Live {
  const { desk, ledger, subscribers } = parts;
  const over = new Set<string>();
  let shown = '';
  let boardDue: NodeJS.Timeout | null = null;

  const overNow = (bay: string): readonly string[] =>
    overIn(ledger.posts(`bay:${bay}`), desk().jobOf(bay)).map(({ place }) => place);

  const tellOver = (bay: string) => {
    for (const place of overNow(bay)) {
      if (over.has(place)) continue;
      over.add(place);
      subscribers.send('gone', { place });
    }
  };

  const tellBoard = () => {
    boardDue = null;
    const board = parts.board();
    const text = withoutInstant(board);
    if (text === shown) return;
    shown = text;
    subscribers.send('board', board);
  };

  ledger.watch((entry) => {
    const { event, data } = wireOf(entry);
    subscribers.send(event, data, entry.place);
  });

  app.get('/live', (c) => {
    if (c.req.method !== 'GET') return c.body(null, 405);
    const { outgoing } = c.env as HttpBindings;
    const page = subscribers.add(outgoing, HEADERS);
    if (page === null) return c.json({ why: 'Too many pages are open.' }, 503);
    page.send('hello', parts.hello(parts.speaker(c)));
    const complete = catchUp(page, newer(c.req.query('after'), c.req.header('last-event-id')));
    page.send('board', parts.board());
    page.send('caught-up', { place: ledger.last, complete });
    return RESPONSE_ALREADY_SENT;
  });

  /** Sends what is newer than a place, or the newest of each thread; false when some of it is not kept any more. */
  const catchUp = (page: Subscriber, after: string | null): boolean => {
    const kept = after === null ? null : ledger.after(after);
    const entries = kept ?? ledger.newest();
    for (const entry of entries) {
      const { event, data } = wireOf(entry);
      page.send(event, data, entry.place);
    }
    for (const bay of new Set(
      desk()
        .bays()
        .map(({ id }) => id),
    ))
      for (const place of overNow(bay)) page.send('gone', { place });
    return after === null || kept !== null;
  };

  return {
    changed: (bay) => {
      if (bay === null) for (const { id } of desk().bays()) tellOver(id);
      else tellOver(bay);
      boardDue ??= setTimeout(tellBoard, BOARD_MS).unref();
    },
    close: () => {
      if (boardDue !== null) clearTimeout(boardDue);
      subscribers.close();
    },
  };
}

function newer(after: string | undefined, last: string | undefined): string | null {
  const known = [after, last].filter((place) => place !== undefined && place !== '');
  return known.length === 0 ? null : (known.sort().at(-1) ?? null);
}

/** The board as text, without the instant at which it was made. */
function withoutInstant(board: unknown): string {
  return JSON.stringify(board, (key, value) => (key === 'at' ? undefined : value));
}

export type Wire =
  | { readonly event: 'post'; readonly data: WirePost }
  | { readonly event: 'said'; readonly data: WireSaid };

/** An entry as a page gets it. */
export function wireOf(entry: Entry): Wire {
  const { place, bay, at } = entry;
  const thread = placeOfThread(entry);
  if (entry.is === 'said') {
    const { by, name, words, photo } = entry;
    return { event: 'said', data: { place, bay, thread, by, name, words, at, photo } };
  }
  const { key, job, again } = entry;
  const { kind, lines, buttons, visit } = entry.post;
  return { event: 'post', data: { place, key, thread, bay, job, kind, at, lines, buttons, visit, again } };
}
