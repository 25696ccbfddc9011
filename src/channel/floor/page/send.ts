import type { Place } from '../../../job/input.js';
import type { Thread } from '../../../talk/post.js';

/** How a send ended. `unknown`: it may have arrived; the same key sent again has one effect. */
export type Sent =
  | { readonly is: 'taken' }
  | { readonly is: 'sign-in' }
  | { readonly is: 'pin'; readonly why: string }
  | { readonly is: 'refused'; readonly why: string }
  | { readonly is: 'unknown'; readonly why: string };

export type Saying = {
  readonly key: string;
  readonly bay: string;
  readonly thread: Thread;
  /** The last post of this thread that its sender had before the eyes. */
  readonly seen: Place | null;
  readonly pin?: string;
} & ({ readonly text: string } | { readonly tap: { readonly says: string; readonly visit: string } });

const GIVE_UP_MS = 15_000;

export function say(saying: Saying): Promise<Sent> {
  return post('/say', JSON.stringify(saying), 'application/json');
}

export type PhotoOf = {
  readonly key: string;
  readonly bay: string;
  readonly seen: Place | null;
  readonly text: string;
};

export function sendPhoto({ key, bay, seen, text }: PhotoOf, image: Blob): Promise<Sent> {
  const query = new URLSearchParams({ bay, key, text, ...(seen === null ? {} : { seen }) });
  return post(`/photo?${query}`, image, image.type || 'application/octet-stream', 120_000);
}

export type SignIn = { readonly person: string; readonly pin?: string; readonly own: boolean };

export function signIn(who: SignIn): Promise<Sent> {
  return post('/sign-in', JSON.stringify(who), 'application/json');
}

export function signOut(): Promise<Sent> {
  return post('/sign-out', '{}', 'application/json');
}

/** A key that no other input has. Works without a secure context, as on a workshop's own network. */
export function newKey(): string {
  const bytes = crypto.getRandomValues(new Uint8Array(16));
  return [...bytes].map((byte) => byte.toString(16).padStart(2, '0')).join('');
}

async function post(path: string, body: BodyInit, type: string, giveUpMs = GIVE_UP_MS): Promise<Sent> {
  try {
    const answer = await fetch(path, {
      method: 'POST',
      headers: { 'content-type': type, 'x-floor': '1' },
      body,
      signal: AbortSignal.timeout(giveUpMs),
    });
    return await meaning(answer);
  } catch {
    return { is: 'unknown', why: 'No answer from the workshop computer. It may have arrived.' };
  }
}

async function meaning(answer: Response): Promise<Sent> {
  if (answer.ok) return { is: 'taken' };
  const told = await wordsOf(answer);
  if (answer.status === 401) return { is: 'sign-in' };
  if (answer.status === 403 && told.ask === 'pin') return { is: 'pin', why: told.why };
  if (answer.status >= 500) return { is: 'unknown', why: told.why };
  return { is: 'refused', why: told.why };
}

async function wordsOf(answer: Response): Promise<{ ask: string; why: string }> {
  const plain = WHY[answer.status] ?? `The workshop computer refused it (${answer.status}).`;
  try {
    const told: unknown = await answer.json();
    const field = (name: string) =>
      typeof told === 'object' && told !== null && name in told
        ? String((told as Record<string, unknown>)[name] ?? '')
        : '';
    return { ask: field('ask'), why: field('why') || plain };
  } catch {
    return { ask: '', why: plain };
  }
}

const WHY: Readonly<Record<number, string>> = {
  409: 'It could not be written down. Nothing was done. Call the foreman, then say it again.',
  413: 'Too large.',
  429: 'Too many in a short time. Wait a moment.',
};
