import { createHash } from 'node:crypto';
import type { Stamp } from './place.js';
import { stampAt } from './place.js';
import type { Range, ReadMessage } from './reading.js';
import { readMessages } from './reading.js';
import { type Web, WebFault } from './web.js';

/** What a post carries so that it can be found again. Anybody on the platform can read it, so it says nothing. */
export const metadataOf = (key: string, also: readonly string[] = []) => ({
  event_type: 'baywarden_post',
  event_payload: { key: markOf(key), ...(also.length === 0 ? {} : { also: also.map(markOf).join(' ') }) },
});

function markOf(key: string): string {
  return createHash('sha256').update(key).digest('hex').slice(0, 32);
}

/** Before anything is said to be missing, the platform is given so much time to show it. */
const SHOWS_MS = 3000;
/** Our clock and the platform's may differ by so much. */
const SKEW_MS = 5 * 60_000;

export type Found = Stamp | null | 'cannot-ask';

/**
 * Where a post of ours stands, by the mark that it carries and our own name on it. `cannot-ask` where the platform
 * keeps no marks or shows no threads; `unknown` is thrown where it may still appear.
 *
 * @throws {WebFault} of any code but `refused`.
 */
export async function findPost(
  web: Web,
  bot: string,
  where: Omit<Range, 'oldest'>,
  { key, triedAt, now }: { readonly key: string; readonly triedAt: number; readonly now: number },
): Promise<Found> {
  const oldest = where.root === null ? stampAt(triedAt - SKEW_MS) : null;
  let messages: readonly ReadMessage[];
  try {
    messages = await readMessages(web, { ...where, oldest });
  } catch (error) {
    if (!(error instanceof WebFault)) throw error;
    if (error.code === 'refused') return 'cannot-ask';
    throw error;
  }
  const own = messages.filter((one) => one.bot_id === bot);
  const marks = own.flatMap(({ metadata, ts }) => {
    const { key: mark, also } = metadata?.event_payload ?? {};
    if (typeof mark !== 'string') return [];
    return [mark, ...(typeof also === 'string' ? also.split(' ') : [])].map((one) => ({ mark: one, ts }));
  });
  const found = marks.find(({ mark }) => mark === markOf(key));
  if (found !== undefined) return found.ts;
  if (now - triedAt < SHOWS_MS) throw new WebFault('unknown', 'not shown yet');
  // Posts of ours without a mark: the platform drops marks, so a missing one says nothing.
  return own.length > 0 && marks.length === 0 ? 'cannot-ask' : null;
}
