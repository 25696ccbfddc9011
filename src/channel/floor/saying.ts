import type { Context, Hono } from 'hono';
import * as z from 'zod';
import type { Clock } from '../../desk/clock.js';
import type { Desk } from '../../desk/desk.js';
import { NotTaken } from '../../desk/port.js';
import { type Body, type Input, wordsOf } from '../../job/input.js';
import type { Disk } from '../../journal/disk.js';
import type { Register } from '../../shop/register.js';
import { THREADS, type Thread } from '../../talk/post.js';
import { stopWord } from '../../talk/stop.js';
import { bytesOf, jsonOf } from './body.js';
import { threadName } from './entry.js';
import type { Ledger } from './ledger.js';
import { openLimit } from './limits.js';
import type { People, Speaker } from './people.js';
import { keepPhoto, MOST_PHOTO_BYTES, photoType } from './photos.js';
import { sealOf } from './sealed.js';
import { wrongPin } from './sign-in.js';

export type SayingParts = {
  readonly desk: () => Desk;
  readonly ledger: Ledger;
  readonly people: People;
  readonly register: () => Register;
  readonly clock: Clock;
  readonly disk: Disk;
  /** Called after each input, taken or not: the board may have changed. */
  readonly heard: (bay: string) => void;
};

/** The name that goes into each input as the channel it came through. */
export const VIA = 'floor';
/** Somebody who has not signed in. All they can say is a stop. */
const GUEST = { by: 'guest:floor', name: 'Somebody at the screen' } as const;

const KEY = z.string().regex(/^[\w:.-]{8,100}$/);
const PLACE = z.string().max(60).nullable();
const WORDS = z.string().max(8000);

const SAYING = z.strictObject({
  key: KEY,
  bay: z.string().max(100).nullable(),
  thread: z.enum(THREADS),
  seen: PLACE,
  text: WORDS.optional(),
  tap: z.strictObject({ says: WORDS, visit: z.string().max(40) }).optional(),
  pin: z.string().max(100).optional(),
});

const PHOTO = z.object({
  key: KEY,
  bay: z.string().max(100),
  seen: PLACE.default(null),
  text: WORDS.default(''),
});

const MOST_INPUTS = 20;
const WINDOW_MS = 10_000;
/** A stop is let through where nothing else is; a thousand of them are one all the same. */
const MOST_STOPS = 100;

type Said = {
  readonly key: string;
  readonly bay: string;
  readonly thread: Thread;
  readonly seen: string | null;
  readonly body: Body;
  readonly photo: string | null;
};

/** What people say, tap and photograph: `POST /say` and `POST /photo`. */
export function addSaying(app: Hono, parts: SayingParts): void {
  const { desk, ledger, people, register, clock, disk, heard } = parts;
  const inputs = openLimit(MOST_INPUTS, WINDOW_MS);
  const stops = openLimit(MOST_STOPS, WINDOW_MS);

  const inputOf = (speaker: Speaker | null, { key, bay, thread, seen, body, photo }: Said): Input => {
    const { by, name } = speaker === null ? GUEST : { by: speaker.person.id, name: speaker.person.name };
    return {
      key: `${VIA}:${by}:${key}`,
      ...{ bay, by, name, via: VIA, saidAt: clock.now(), body },
      // What is said in another thread has seen no question of the bay's.
      seen: thread === 'bay' || bay === thread ? ledger.seen(threadName(thread, bay), seen) : '',
      marks: { ...(photo === null ? {} : { attachment: true }), ...(thread === 'bay' ? {} : { afar: true }) },
    };
  };

  const receive = async (c: Context, speaker: Speaker | null, said: Said): Promise<Response> => {
    const input = inputOf(speaker, said);
    const { thread, photo } = said;
    const { key, bay, by, name, saidAt } = input;
    await ledger.say({ key, bay, thread, by, name, words: wordsOf(input), at: saidAt, photo });
    try {
      await desk().receive(input);
      return c.body(null, 204);
    } catch (error) {
      if (!(error instanceof NotTaken)) throw error;
      return c.json({ why: NOT_KEPT }, 409);
    } finally {
      heard(bay);
    }
  };

  app.post('/say', async (c) => {
    const parsed = await jsonOf(c, SAYING);
    if (!parsed.ok) return parsed.answer;
    const { key, thread, seen, text, tap, pin } = parsed.value;
    const body: Body | null =
      tap !== undefined && text === undefined
        ? { is: 'tap', ...tap }
        : text !== undefined && tap === undefined
          ? { is: 'text', text }
          : null;
    if (body === null) return c.json({ why: 'Either text or a tap.' }, 400);
    const words = body.is === 'tap' ? body.says : body.text;
    const stop = stopWord(words) !== null;
    const counted = people.counted(c);
    if (!(stop ? stops : inputs).take(counted, clock.now())) return c.json({ why: TOO_MANY }, 429);
    const speaker = people.speaker(c);
    if (speaker === null && !stop) return c.json({ ask: 'sign-in', why: SIGN_IN_FIRST }, 401);
    // A stop may not be lost because a bay was renamed under an open page.
    const bay = bayOf(register(), parsed.value.bay, thread) ?? (stop ? 'shop' : null);
    if (bay === null) return c.json({ why: `There is no bay ${parsed.value.bay}.` }, 400);
    const said: Said = { key, bay, thread, seen, body, photo: null };
    if (speaker !== null && !stop) {
      const sealed = await unsealed(c, speaker, said, pin);
      if (sealed !== null) return sealed;
    }
    return receive(c, speaker, said);
  });

  /** On a screen that several people use, what counts is said with one's own PIN. Null when nothing is in the way. */
  const unsealed = async (
    c: Context,
    speaker: Speaker,
    said: Said,
    pin: string | undefined,
  ): Promise<Response | null> => {
    const { person, session } = speaker;
    if (session.own || !people.hasPin(person.id)) return null;
    const { bay, photo } = said;
    const seal = sealOf(desk().jobOf(bay), desk().flowOf(bay), inputOf(speaker, said), register());
    if (seal === null || (photo !== null && seal === 'second-person')) return null;
    // A photo comes without a PIN.
    if (photo !== null) return c.json({ ask: 'nothing', why: NOT_UNDER_A_PHOTO }, 403);
    if (pin === undefined) return c.json({ ask: 'pin', why: `PIN of ${person.name}. ${WHY[seal]}` }, 403);
    const result = await people.checkPin(person.id, pin);
    return result === 'right' ? null : c.json({ ask: 'nothing', why: wrongPin(result) }, 403);
  };

  app.post('/photo', async (c) => {
    const speaker = people.speaker(c);
    if (speaker === null) return c.json({ ask: 'sign-in', why: SIGN_IN_FIRST }, 401);
    if (!inputs.take(people.counted(c), clock.now())) return c.json({ why: TOO_MANY }, 429);
    const asked = PHOTO.safeParse(c.req.query());
    const bay = asked.success ? bayOf(register(), asked.data.bay, 'bay') : null;
    if (!asked.success || bay === null) return c.json({ why: 'Which bay is the photo for?' }, 400);
    const { key, seen, text } = asked.data;
    const about = { key, bay, thread: 'bay', seen } as const;
    const words: Body = { is: 'photo', sha256: '', name: '', text };
    const sealed = await unsealed(c, speaker, { ...about, body: words, photo: '' }, undefined);
    if (sealed !== null) return sealed;
    const bytes = await bytesOf(c, MOST_PHOTO_BYTES);
    if (bytes === 'too-large') return c.json({ why: 'The photo is too large: at most 8 MB.' }, 413);
    const type = photoType(bytes);
    if (type === null) return c.json({ why: 'That is no photo: JPEG, PNG or WebP are taken.' }, 415);
    let sha256: string;
    try {
      sha256 = await keepPhoto(disk, bytes, clock.now());
    } catch {
      return c.json({ why: NOT_KEPT }, 409);
    }
    const name = `${sha256.slice(0, 12)}.${type.slice('image/'.length)}`;
    const body: Body = { is: 'photo', sha256, name, text };
    return receive(c, speaker, { ...about, body, photo: sha256 });
  });
}

const NOT_KEPT =
  'Not kept: the disk of this computer took nothing. It had no effect. Call the foreman, then say it again.';
const TOO_MANY = 'Too many in a short time. Wait a moment. STOP always goes.';
const SIGN_IN_FIRST = 'Sign in first. STOP goes without.';
const NOT_UNDER_A_PHOTO = 'This screen is shared: say that in words, with your PIN. The photo was not kept.';
const WHY = {
  'gate-word': 'This screen is shared, and the word passes a gate.',
  'own-word': 'This screen is shared, and not everybody may say it.',
  'second-person': 'This screen is shared, and the second person confirms.',
} as const;

/** The bay that is spoken to; without one, the thread itself. Null where there is none such. */
function bayOf({ bays }: Register, bay: string | null, thread: Thread): string | null {
  if (thread !== 'bay' && (bay === null || bay === '' || bay === thread)) return thread;
  return bay !== null && bays.has(bay) ? bay : null;
}
