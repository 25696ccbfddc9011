import type { Context, Hono } from 'hono';
import { deleteCookie, getCookie, setCookie } from 'hono/cookie';
import * as z from 'zod';
import type { Clock } from '../../desk/clock.js';
import type { Register } from '../../shop/register.js';
import { jsonOf } from './body.js';
import { COOKIE, type People, type PinResult } from './people.js';
import { LASTS_MS, type Sessions } from './sessions.js';

export type SignInParts = {
  readonly people: People;
  readonly sessions: Sessions;
  readonly register: () => Register;
  readonly clock: Clock;
  /** Takes over what was edited in the register since it was read. */
  readonly refresh: () => Promise<unknown>;
};

const SIGN_IN = z.strictObject({
  person: z.string().max(100),
  pin: z.string().max(100).optional(),
  own: z.boolean(),
});

/** Signing in by name, by PIN or by a personal link; signing out. */
export function addSignIn(app: Hono, parts: SignInParts): void {
  const { people, sessions, register, clock, refresh } = parts;

  const enter = async (c: Context, person: string, own: boolean) => {
    const before = getCookie(c, COOKIE);
    if (before !== undefined) await sessions.close(before);
    const token = await sessions.open({ person, own, at: clock.now() });
    setCookie(c, COOKIE, token, {
      path: '/',
      httpOnly: true,
      sameSite: 'Strict',
      maxAge: (own ? LASTS_MS.own : LASTS_MS.shared) / 1000,
    });
  };

  app.post('/sign-in', async (c) => {
    const body = await jsonOf(c, SIGN_IN);
    if (!body.ok) return body.answer;
    await refresh();
    const { person: id, pin, own } = body.value;
    const person = register().people.get(id);
    if (person === undefined) return c.json({ ask: 'sign-in', why: `Nobody is called ${id} here.` }, 401);
    if (people.pinsInUse()) {
      if (!people.hasPin(id)) {
        const why = `${person.name} has no PIN yet. On the workshop computer: baywarden pin ${id}`;
        return c.json({ ask: 'nothing', why }, 403);
      }
      if (pin === undefined) return c.json({ ask: 'pin', why: `PIN of ${person.name}.` }, 403);
      const result = await people.checkPin(id, pin);
      if (result !== 'right') return c.json({ ask: 'nothing', why: wrongPin(result) }, 403);
    }
    await enter(c, id, own);
    return c.body(null, 204);
  });

  app.post('/sign-out', async (c) => {
    const token = getCookie(c, COOKIE);
    if (token !== undefined) await sessions.close(token);
    deleteCookie(c, COOKIE, { path: '/' });
    return c.body(null, 204);
  });

  app.get('/as/:link', async (c) => {
    await refresh();
    const person = await people.ownerOf(c.req.param('link'));
    if (person === null) {
      return c.text('This link is not known, or was replaced. Ask the foreman for a new one.', 403);
    }
    await enter(c, person.id, true);
    return c.redirect('/', 303);
  });
}

export function wrongPin(result: Exclude<PinResult, 'right'>): string {
  switch (result) {
    case 'wrong':
      return 'That is not the PIN.';
    case 'too-many':
      return 'Too many wrong PINs. Wait a minute.';
    case 'busy':
      return 'Many are signing in just now. Try again in a moment.';
    case 'no-pin':
      return 'There is no PIN to compare it with.';
  }
}
