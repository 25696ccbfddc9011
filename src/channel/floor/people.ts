import type { Context } from 'hono';
import { getCookie } from 'hono/cookie';
import type { Clock } from '../../desk/clock.js';
import type { Person } from '../../job/world.js';
import type { Register } from '../../shop/register.js';
import { isSecret } from '../../shop/secret.js';
import { openLimit } from './limits.js';
import { hashOf, type Session, type Sessions } from './sessions.js';
import { openTurns } from './turns.js';

export const COOKIE = 'floor';

/** Who speaks, as far as this browser has shown it. */
export type Speaker = { readonly person: Person; readonly session: Session };

export type PinResult = 'right' | 'wrong' | 'too-many' | 'no-pin' | 'busy';

/** Who is who on the page. */
export type People = {
  speaker(c: Context): Speaker | null;
  /** Under which a browser is counted: its sign-in, else its address. */
  counted(c: Context): string;
  checkPin(person: string, pin: string): Promise<PinResult>;
  /** Whose personal link this is, or null. */
  ownerOf(link: string): Promise<Person | null>;
  /** With the first PIN in the register, nobody signs in without one. */
  pinsInUse(): boolean;
  hasPin(person: string): boolean;
};

/** Wrong PINs a minute, for one person. */
const MOST_WRONG = 5;
const MINUTE = 60_000;
/**
 * A comparison is dear on purpose, and takes one of the four threads that write journals as well. So two at once, a few
 * in line, and so many a minute for all together, whoever asks: a guesser may not keep the workshop from its disk.
 */
const AT_ONCE = 2;
const MOST_WAITING = 20;
const MOST_COMPARED = 120;

export function openPeople(register: () => Register, sessions: Sessions, clock: Clock): People {
  const wrong = openLimit(MOST_WRONG, MINUTE);
  const compared = openLimit(MOST_COMPARED, MINUTE);
  const turns = openTurns(AT_ONCE, MOST_WAITING);
  const secrets = (id: string) => register().secrets.get(id) ?? { pin: null, link: null };

  const check = async (key: string, secret: Parameters<typeof isSecret>[0], said: string) => {
    // Counted before it is compared, so that many at once are no more than many in a row.
    if (!wrong.take(key, clock.now())) return 'too-many';
    const room = compared.take('all', clock.now());
    const right = room ? await turns.take(() => isSecret(secret, said)) : null;
    // Not compared is not wrong.
    if (right !== false) wrong.forgive(key);
    return right === null ? 'busy' : right ? 'right' : 'wrong';
  };

  return {
    speaker: (c) => {
      const session = sessions.of(getCookie(c, COOKIE) ?? null, clock.now());
      const person = session === null ? undefined : register().people.get(session.person);
      return session === null || person === undefined ? null : { person, session };
    },
    counted: (c) => {
      const token = getCookie(c, COOKIE);
      if (token !== undefined && sessions.of(token, clock.now()) !== null) return hashOf(token);
      return `at:${c.env.incoming?.socket?.remoteAddress ?? ''}`;
    },
    checkPin: async (id, said) => {
      const { pin } = secrets(id);
      return pin === null ? 'no-pin' : check(`pin:${id}`, pin, said);
    },
    ownerOf: async (link) => {
      const id = link.slice(0, link.indexOf('.'));
      const person = register().people.get(id);
      const secret = secrets(id).link;
      if (person === undefined || secret === null) return null;
      return (await check(`link:${id}`, secret, link)) === 'right' ? person : null;
    },
    pinsInUse: () => [...register().secrets.values()].some(({ pin }) => pin !== null),
    hasPin: (id) => secrets(id).pin !== null,
  };
}
