import { cut, LIMITS } from './limits.js';
import { escaped } from './text.js';
import type { Web } from './web.js';

export type Whisper = (
  to: { readonly channel: string; readonly thread: string | null; readonly user: string },
  words: string,
) => void;

/** Words that only their reader sees: where to say it instead. At most once, and nothing hangs on them. */
export function whisperer(web: Web): Whisper {
  return ({ channel, thread, user }, words) => {
    const args = { channel, user, text: cut(escaped(words), LIMITS.text) };
    void web
      .call('chat.postEphemeral', thread === null ? args : { ...args, thread_ts: thread })
      .catch(() => undefined);
  };
}
