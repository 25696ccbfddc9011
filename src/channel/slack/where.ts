import { stopWord } from '../../talk/stop.js';
import type { Ledger } from './ledger.js';
import type { Rooms } from './rooms.js';

/** Where something was said: in the thread of a job, about a bay from the foreman's channel, or at channel level. */
export type Where =
  | { readonly is: 'job'; readonly job: string; readonly bay: string }
  | { readonly is: 'lane'; readonly bay: string }
  | { readonly is: 'channel'; readonly bays: readonly string[] };

/** Null: nothing of ours. */
export function whereSaid(
  { channel, thread }: { readonly channel: string; readonly thread: string | null },
  ledger: Ledger,
  rooms: Rooms,
): Where | null {
  if (thread !== null) {
    const job = ledger.jobAt(channel, thread);
    if (job !== null) return { is: 'job', job: job.job, bay: job.bay };
    const bay = ledger.alertAt(channel, thread);
    if (bay !== null) return { is: 'lane', bay };
  }
  const bays = rooms.baysOf(channel);
  if (bays.length > 0) return { is: 'channel', bays };
  if (channel === rooms.foreman) return { is: 'lane', bay: 'foreman' };
  return channel === rooms.shop ? { is: 'lane', bay: 'shop' } : null;
}

export type Named = { readonly bay: string | null; readonly words: string };

/** The bay that channel-level words begin with: `2: start …`, `bay 2 where`; null where they name none. */
export function bayNamed(words: string, bays: readonly string[]): Named {
  for (const bay of bays) {
    const plain = bay.replace(/[.*+?^${}()|[\]\\]/g, '\\$&');
    const found = new RegExp(`^\\s*(?:bay\\s*)?${plain}\\s*[:,]?\\s+(\\S.*)$`, 'is').exec(words);
    if (found?.[1] !== undefined) return { bay, words: found[1] };
  }
  return { bay: null, words };
}

/** What words at channel level want. In a channel people also just talk. */
export type Wanted = 'stop' | 'start' | 'read' | 'talk';

export function wantedBy(words: string): Wanted {
  if (stopWord(words) !== null) return 'stop';
  if (/^\s*start\b/i.test(words)) return 'start';
  return /^\s*(?:where|list|status|help)\b/i.test(words) ? 'read' : 'talk';
}
