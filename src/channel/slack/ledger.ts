import * as z from 'zod';
import type { Disk, DiskFile } from '../../journal/disk.js';

const ENTRY = z.discriminatedUnion('is', [
  /** The thread of a job: the head post's stamp in its channel. */
  z.object({
    is: z.literal('thread'),
    job: z.string(),
    bay: z.string(),
    channel: z.string(),
    root: z.string(),
  }),
  /** A post in the foreman's channel, and the bay that it speaks of: answers in its thread go there. */
  z.object({ is: z.literal('alert'), channel: z.string(), ts: z.string(), bay: z.string() }),
  /** Somebody has opened the board. */
  z.object({ is: z.literal('home'), user: z.string() }),
]);
export type LedgerEntry = z.output<typeof ENTRY>;
export type JobThread = Extract<LedgerEntry, { is: 'thread' }>;

const FOLDER = 'slack';
const PATH = `${FOLDER}/ledger.jsonl`;
const MOST_LINES = 4000;

/**
 * Where things stand on the platform, as far as the journals do not say it. A loss of it is no harm: what is missing
 * is looked for on the platform.
 */
export class Ledger {
  private readonly jobs = new Map<string, JobThread>();
  private readonly roots = new Map<string, JobThread>();
  private readonly alerts = new Map<string, string>();
  readonly homes = new Set<string>();
  private appending: Promise<unknown> = Promise.resolve();

  private constructor(private readonly file: DiskFile) {}

  static async open(disk: Disk): Promise<Ledger> {
    await disk.makeFolder(FOLDER);
    const lines = ((await disk.read(PATH)) ?? Buffer.alloc(0)).toString().split('\n');
    const entries = lines.flatMap(entryOf);
    // A torn line is left behind: the next one begins on a line of its own.
    const kept = entries.slice(-MOST_LINES);
    if (kept.length !== lines.length - 1 || lines.at(-1) !== '') {
      await disk.write(`${PATH}.new`, Buffer.from(kept.map((one) => `${JSON.stringify(one)}\n`).join('')));
      await disk.rename(`${PATH}.new`, PATH);
    }
    const ledger = new Ledger(await disk.open(PATH));
    for (const entry of kept) ledger.take(entry);
    return ledger;
  }

  threadOf(job: string): JobThread | null {
    return this.jobs.get(job) ?? null;
  }

  /** The job whose thread has this root. */
  jobAt(channel: string, root: string): JobThread | null {
    return this.roots.get(`${channel}:${root}`) ?? null;
  }

  /** The bay that a post in the foreman's channel speaks of. */
  alertAt(channel: string, ts: string): string | null {
    return this.alerts.get(`${channel}:${ts}`) ?? null;
  }

  /** Known at once; on disk when this settles. A disk that does not take it costs a look at the platform later. */
  async note(entry: LedgerEntry): Promise<void> {
    if (entry.is === 'home' && this.homes.has(entry.user)) return;
    this.take(entry);
    const line = Buffer.from(`${JSON.stringify(entry)}\n`);
    const before = this.appending;
    this.appending = before.then(() => this.file.append(line, entry.is === 'thread')).catch(() => undefined);
    await this.appending;
  }

  async close(): Promise<void> {
    await this.appending;
    await this.file.close();
  }

  private take(entry: LedgerEntry): void {
    if (entry.is === 'home') this.homes.add(entry.user);
    else if (entry.is === 'alert') this.alerts.set(`${entry.channel}:${entry.ts}`, entry.bay);
    else {
      this.jobs.set(entry.job, entry);
      this.roots.set(`${entry.channel}:${entry.root}`, entry);
    }
  }
}

function entryOf(line: string): LedgerEntry[] {
  if (line === '') return [];
  try {
    const read = ENTRY.safeParse(JSON.parse(line));
    return read.success ? [read.data] : [];
  } catch {
    return [];
  }
}
