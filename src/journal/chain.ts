import { type Disk, DiskError, type DiskFile } from './disk.js';
import { JournalError } from './fault.js';
import { type JournalFault, printFault, readJournal } from './journal.js';
import { type Lifts, type NewLine, printLine, printTold, type Told } from './line.js';

/** What an append left behind: the number of the line, and the hash that the next one will rest on. */
export type Appended = { readonly seq: number; readonly hash: string };

/** Where a chain stands before its next line. */
export type ChainEnd = Appended & { readonly goodBytes: number };

/** The end of one journal file. Lines are written one after the other, in the order they were asked. */
export class Chain {
  readonly path: string;
  private file: DiskFile | null = null;
  private turn: Promise<unknown> = Promise.resolve();
  private turns = 0;
  private shut: JournalError | null = null;
  private closed = false;
  private length: number;
  private end: Appended;
  /** Told lines that go with the next write. */
  private untold: Told[] = [];

  constructor(
    private readonly disk: Disk,
    path: string,
    { goodBytes, seq, hash }: ChainEnd,
    private readonly lifts?: Lifts,
  ) {
    this.path = path;
    this.length = goodBytes;
    this.end = { seq, hash };
  }

  get last(): Appended {
    return this.end;
  }

  /** Why the file takes no more lines; null while it does. */
  get fault(): JournalError | null {
    return this.shut;
  }

  /** Shuts the file for good where the fault asks for it, and cuts off a torn line. */
  heal(fault: JournalFault): Promise<void> {
    return this.inTurn(async () => {
      const words = printFault(this.path, fault);
      if (fault.is === 'newer') this.shut = new JournalError('read-only', this.path, words);
      if (fault.is === 'damaged') this.shut = new JournalError('stopped', this.path, words);
      if (fault.is !== 'torn') return;
      try {
        const file = await this.opened();
        await file.truncate(this.length);
        await file.sync();
      } catch (error) {
        throw this.stop('its torn last line could not be cut off', error);
      }
    });
  }

  /**
   * Adds a line and has it on the disk when this returns.
   *
   * @throws {JournalError} `wrong-seq` when the line is not the next one; `not-written` when the disk did not take
   * it and nothing of it is left; `stopped` when nobody can say what the disk holds; `read-only`.
   */
  append<E>(expectedSeq: number, line: NewLine<E>): Promise<Appended> {
    return this.inTurn(async () => {
      if (this.shut !== null) throw this.shut;
      const seq = this.end.seq + 1;
      if (expectedSeq !== seq) {
        throw new JournalError(
          'wrong-seq',
          this.path,
          `${this.path}: line ${expectedSeq} offered, ${seq} is next`,
        );
      }
      const told = this.printUntold();
      const { text, hash } = printLine(seq, line, told.hash);
      await this.put(Buffer.from(told.text + text), true);
      this.untold = [];
      this.end = { seq, hash };
      return this.end;
    });
  }

  /**
   * Adds a told line. It is written with the next input, or as soon as what is being done now is done; it is on the
   * disk at the latest with the next input. A power cut before may lose it.
   */
  async tell(told: Told): Promise<void> {
    // Behind a line that is being written: its number is that of the line before it.
    if (this.turns > 0) return this.inTurn(async () => this.keepTold(told));
    this.keepTold(told);
  }

  private keepTold(told: Told): void {
    if (this.shut !== null) throw this.shut;
    this.untold.push(told);
    if (this.untold.length === 1) setImmediate(() => void this.settle().catch(() => undefined));
  }

  /** Writes what was told and not written yet. */
  settle(): Promise<void> {
    return this.inTurn(() => this.writeUntold());
  }

  private async writeUntold(): Promise<void> {
    if (this.untold.length === 0 || this.shut !== null) return;
    const { text, hash } = this.printUntold();
    // One that cannot be written is lost like one that a power cut takes; the job goes on without it.
    this.untold = [];
    await this.put(Buffer.from(text), false);
    this.end = { seq: this.end.seq, hash };
  }

  private printUntold(): { readonly text: string; readonly hash: string } {
    let { hash } = this.end;
    let text = '';
    for (const told of this.untold) {
      const printed = printTold(this.end.seq, told, hash);
      text += printed.text;
      ({ hash } = printed);
    }
    return { text, hash };
  }

  /** Flushes told lines and closes the file. */
  close(): Promise<void> {
    return this.inTurn(async () => {
      if (this.closed) return;
      this.closed = true;
      await this.writeUntold().catch(() => undefined);
      this.shut ??= new JournalError('finished', this.path, `${this.path} is closed`);
      if (this.file === null) return;
      if (this.shut.code === 'finished') await this.file.sync();
      await this.file.close();
      this.file = null;
    });
  }

  private inTurn<T>(work: () => Promise<T>): Promise<T> {
    // With nobody before it, it need not be waited for.
    const run = this.turns === 0 ? work() : this.turn.then(work);
    this.turns++;
    this.turn = run.then(this.turnEnds, this.turnEnds);
    return run;
  }

  private readonly turnEnds = () => {
    this.turns--;
  };

  private async opened(): Promise<DiskFile> {
    this.file ??= await this.disk.open(this.path);
    return this.file;
  }

  private async put(bytes: Buffer, sync: boolean): Promise<void> {
    let { file } = this;
    try {
      file ??= await this.opened();
    } catch (error) {
      throw new JournalError('not-written', this.path, `${this.path} cannot be opened`, error);
    }
    try {
      await file.append(bytes, sync);
    } catch (error) {
      if (error instanceof DiskError && error.at === 'sync') await this.moveToNewFile(bytes, error);
      else await this.cut(file, error);
    }
    this.length += bytes.length;
  }

  /** After a failed write: back to the last good length. */
  private async cut(file: DiskFile, cause: unknown): Promise<never> {
    try {
      await file.truncate(this.length);
    } catch (error) {
      throw this.stop('a line was written in part and could not be cut off', error);
    }
    const full = cause instanceof DiskError && cause.code === 'full';
    const why = full
      ? 'the disk is full. Free some space and say it again'
      : 'the disk refused it. Say it again';
    throw new JournalError('not-written', this.path, `${this.path}: nothing was written, ${why}.`, cause);
  }

  /**
   * After a failed sync the system may count pages as written that are not, so a second sync of the same file
   * proves nothing. What is known to be good goes to a new file together with the line.
   */
  private async moveToNewFile(bytes: Buffer, cause: DiskError): Promise<void> {
    const fresh = `${this.path}.new`;
    try {
      const whole = await this.disk.read(this.path);
      const good = whole?.subarray(0, this.length) ?? Buffer.alloc(0);
      const { seq, hash, fault } = readJournal(good, this.lifts);
      if (fault !== null || good.length !== this.length || seq !== this.end.seq || hash !== this.end.hash) {
        throw new DiskError('failed', 'other', 'what the disk gives back is not what was written');
      }
      await this.disk.write(fresh, Buffer.concat([good, bytes]));
      await this.disk.rename(fresh, this.path);
      const old = this.file;
      this.file = await this.disk.open(this.path);
      await old?.close();
    } catch (error) {
      throw this.stop(`a flush failed (${cause.message}) and no copy could be made`, error);
    }
  }

  private stop(why: string, cause: unknown): JournalError {
    const words = `${this.path}: ${why}. This file is stopped; all others go on. Check the disk, then start again.`;
    this.shut = new JournalError('stopped', this.path, words, cause);
    return this.shut;
  }
}
