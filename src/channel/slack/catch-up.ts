import type { Coverage } from './coverage.js';
import type { DeskView } from './desk-view.js';
import type { Ledger } from './ledger.js';
import { oneRun } from './one-run.js';
import { placeOf, stampAt, stampOf } from './place.js';
import { type Range, type ReadMessage, readMessages } from './reading.js';
import type { Rooms } from './rooms.js';
import { type Web, WebFault } from './web.js';

export type CatchUpParts = {
  readonly web: Web;
  readonly coverage: Coverage;
  readonly ledger: Ledger;
  readonly rooms: () => Rooms;
  readonly desk: DeskView;
  readonly hear: (channel: string, message: ReadMessage) => Promise<void>;
  readonly report: (words: string) => void;
  /** Called when all that can be read of an outage has been. */
  readonly back: () => void;
};

/** What was on its way when the line was lost is read once more: the same words twice have one effect. */
const OVERLAP_MS = 2 * 60_000;
/** Nobody answers for words that are older than this. */
const OLDEST_MS = 25 * 3600_000;

/** Reads after an outage what was said meanwhile, in the order in which it was said. */
export class CatchUp {
  constructor(
    private readonly parts: CatchUpParts,
    private readonly now: () => number,
  ) {}

  /** Whether anything may have been missed that was not read yet. */
  get owes(): boolean {
    return this.parts.coverage.owedFrom !== null;
  }

  /** Reads what is owed; what cannot be read now is owed still. */
  readonly run = oneRun(() => this.all());

  private async all(): Promise<void> {
    const { coverage, hear, report } = this.parts;
    const from = coverage.owedFrom;
    if (from === null || !coverage.covered) return;
    const oldest = stampAt(Math.max(from - OVERLAP_MS, this.now() - OLDEST_MS));
    try {
      const missed: { readonly channel: string; readonly message: ReadMessage }[] = [];
      for (const range of this.ranges(oldest)) {
        for (const message of await this.read(range)) missed.push({ channel: range.channel, message });
      }
      missed.sort((a, b) => Number(a.message.ts) - Number(b.message.ts));
      for (const { channel, message } of missed) await hear(channel, message);
      if (coverage.owedFrom !== from) return;
      coverage.owedFrom = null;
      this.parts.back();
    } catch (error) {
      // The disk took it not, or the platform is away again: all of it is read once more.
      if (!(error instanceof Error)) throw error;
      report(`What was missed could not be read yet: ${error.message}. It is tried again.`);
    }
  }

  private ranges(oldest: string): readonly Range[] {
    const { ledger, rooms, desk } = this.parts;
    const threads = desk.bays().flatMap(({ id }) => {
      const job = desk.jobOf(id);
      const thread = job === null ? null : ledger.threadOf(job.id);
      if (job === null || thread === null) return [];
      // The question that is open is looked at again however old it is: a thumb may stand on it.
      const open = job.asked === null ? undefined : job.places[job.asked.seq];
      const from = open === undefined || placeOf(oldest) < open ? oldest : stampOf(open);
      return [{ channel: thread.channel, root: thread.root, oldest: from }];
    });
    return [...threads, ...rooms().all.map((channel) => ({ channel, root: null, oldest }))];
  }

  private async read(range: Range): Promise<readonly ReadMessage[]> {
    try {
      return await readMessages(this.parts.web, range);
    } catch (error) {
      if (!(error instanceof WebFault) || error.code !== 'refused') throw error;
      this.parts.report(
        `What was said in ${range.channel} while nobody listened cannot be read (${error.says}). Say it again there.`,
      );
      return [];
    }
  }
}
