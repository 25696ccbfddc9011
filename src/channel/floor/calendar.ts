import { timingSafeEqual } from 'node:crypto';
import type { Hono } from 'hono';
import type { Disk } from '../../journal/disk.js';
import { newToken } from '../../shop/secret.js';

/** Holds the secret part of the calendar's address. Whoever takes the file away makes the address before void. */
const TOKEN_FILE = 'calendar-token';

/** The secret part of the calendar's address, made where there is none yet. */
export async function calendarToken(disk: Pick<Disk, 'read' | 'write' | 'rename'>): Promise<string> {
  const known = await readToken(disk);
  if (known !== null) return known;
  const token = newToken();
  await disk.write(`${TOKEN_FILE}.new`, Buffer.from(`${token}\n`));
  await disk.rename(`${TOKEN_FILE}.new`, TOKEN_FILE);
  return token;
}

/** Where a calendar program finds the due list. */
export function calendarUrl(base: string, token: string): string {
  return `${base.replace(/\/$/, '')}/due/${token}.ics`;
}

async function readToken(disk: Pick<Disk, 'read'>): Promise<string | null> {
  const token = (await disk.read(TOKEN_FILE))?.toString('utf8').trim() ?? '';
  return token === '' ? null : token;
}

export type CalendarParts = {
  readonly disk: Pick<Disk, 'read'>;
  /** The file as it is now. */
  readonly calendar: () => Promise<string>;
};

/**
 * The due list for a calendar program, which signs in nowhere: its address is the key. Before `npm run due` has made one,
 * there is none.
 */
export function addCalendar(app: Hono, { disk, calendar }: CalendarParts): void {
  app.get('/due/:file', async (c) => {
    const token = await readToken(disk);
    const asked = /^([\w-]+)\.ics$/.exec(c.req.param('file'))?.[1] ?? '';
    if (token === null || !isSame(asked, token)) return c.json({ why: 'There is nothing here.' }, 404);
    c.header('cache-control', 'private, no-cache');
    // RFC 5545, 8.1: the type, with its character set.
    return c.body(await calendar(), 200, { 'content-type': 'text/calendar; charset=utf-8' });
  });
}

function isSame(said: string, token: string): boolean {
  const [a, b] = [Buffer.from(said), Buffer.from(token)];
  return a.length === b.length && timingSafeEqual(a, b);
}
