import type { Job } from '../../job/job.js';
import { textBody } from './message.js';
import { instantOf } from './place.js';
import type { Said } from './said.js';
import { bayNamed, wantedBy } from './where.js';

export type LevelParts = {
  readonly jobOf: (bay: string) => Job | null;
  readonly now: number;
  readonly give: (said: Said, bay: string) => Promise<void>;
  /** Words that only the sender reads. */
  readonly hint: (said: Said, words: string) => void;
};

/** A start that was written while nobody listened is taken for so long. */
const LATE_START_MS = 15 * 60_000;

/**
 * Words in the channel of one or several bays, outside of any job's thread: STOP, a start, a question. People also talk
 * to each other there; that is no input, and is kept nowhere.
 */
export async function hearAtChannelLevel(
  said: Said,
  bays: readonly string[],
  parts: LevelParts,
): Promise<void> {
  if (said.body.is !== 'text') return;
  const { jobOf, give, hint } = parts;
  const named = bayNamed(said.body.text, bays);
  const wanted = wantedBy(named.words);
  const of = named.bay === null ? bays : [named.bay];
  const running = of.filter((bay) => jobOf(bay) !== null);
  if (wanted === 'stop') {
    // Nobody is asked which bay: all of this channel stop.
    for (const bay of running.length > 0 ? running : of.slice(0, 1))
      await give({ ...said, key: running.length > 1 ? `${said.key}:${bay}` : said.key }, bay);
    return;
  }
  const bay = of.length === 1 ? of[0] : wanted === 'read' ? (running[0] ?? of[0]) : undefined;
  if (wanted === 'start' && bay === undefined)
    return hint(said, `Which bay? Begin with it, for example: ${of[0]}: ${named.words.trim()}`);
  const job = bay === undefined ? null : jobOf(bay);
  if (wanted === 'start' && job !== null)
    return hint(said, `This bay has ${job.id} under way, in its own thread. Nothing was started.`);
  if (bay !== undefined && (wanted !== 'talk' || (said.toUs && job === null))) {
    // What was wanted before an outage may not be wanted any more.
    if (said.late && wanted === 'start' && instantOf(said.stamp) < parts.now - LATE_START_MS)
      return hint({ ...said, late: false }, 'I was away when this was written. Please start it once more.');
    return give({ ...said, body: textBody(named.words) }, bay);
  }
  const crew = running.flatMap((one) => [jobOf(one)?.holder, jobOf(one)?.standby]);
  if (crew.includes(said.who.by))
    hint(said, 'Not taken: I listen to this in the thread of the job. STOP works everywhere.');
}
