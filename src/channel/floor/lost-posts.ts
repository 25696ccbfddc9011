import type { Desk } from '../../desk/desk.js';
import { fold, foldAll } from '../../job/fold.js';
import type { Disk } from '../../journal/disk.js';
import { openStore } from '../../journal/store.js';
import { say } from '../../talk/say.js';
import type { HomeOf } from '../several.js';
import type { Ledger } from './ledger.js';
import { VIA } from './saying.js';

/**
 * Puts back posts that the journal says were told and that the ledger does not have: lines of it that a power cut took,
 * or posts that stood in the terminal. They are said again from the journal, word for word, at their old place.
 */
export async function restoreLost(
  desk: Desk,
  ledger: Ledger,
  disk: Disk,
  homeOf: HomeOf | null = null,
): Promise<void> {
  const store = openStore(disk);
  for (const { id: bay } of desk.bays()) {
    const [job, flow] = [desk.jobOf(bay), desk.flowOf(bay)];
    if (job === null || flow === null) continue;
    // Of a job that lives in another channel, nothing but its alarms ever stood here.
    if (homeOf !== null && ![VIA, null].includes(await homeOf(job.id))) continue;
    const known = new Set(ledger.posts(`bay:${bay}`).map(({ place }) => place));
    if (Object.values(job.places).every((place) => known.has(place))) continue;
    const journal = await store.read(job.id);
    if (journal === null) continue;
    const from = Math.max(0, journal.lines.length - MOST_LINES);
    let at = foldAll(job.id, journal.lines.slice(0, from));
    for (const line of journal.lines.slice(from)) {
      at = fold(at, line);
      const told = journal.told.filter((one) => one.line === line.seq);
      if (told.length === 0) continue;
      for (const post of say(at, flow, line.events)) {
        const place = told.find(({ thread }) => thread === post.to)?.place;
        if (place === undefined) continue;
        const key = `${job.id}:${line.seq}:${post.to}`;
        await ledger.restore({ is: 'post', place, key, bay, job: job.id, at: line.at, post, again: false });
      }
    }
  }
}

/** So many lines of a job's end: a screen of them, and more than a crash can take. */
const MOST_LINES = 64;
