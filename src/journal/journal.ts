import { isUtf8 } from 'node:buffer';
import type { Event } from '../job/event.js';
import { type Damage, GENESIS, type Lifts, type Line, parseLine, type Told } from './line.js';

/** A journal as read from its bytes, up to the first thing that is not as it must be. */
export type Journal<E = Event> = {
  readonly lines: readonly Line<E>[];
  readonly told: readonly Told[];
  /** Number of the last input, 0 when there is none. */
  readonly seq: number;
  /** Hash of the last good line. */
  readonly hash: string;
  /** Hash of the last input: what a told line adds or a crash takes away does not change it. */
  readonly inputHash: string;
  /** Bytes up to the end of the last good line. */
  readonly goodBytes: number;
  readonly fault: JournalFault | null;
};

/** `line` counts from 1, told lines included. */
export type JournalFault =
  /** The last line is there in part: the power went while it was written, and nobody was told it was taken. */
  | { readonly is: 'torn'; readonly line: number; readonly bytes: number }
  /** Written by a later version of this program: may be read, not written. */
  | { readonly is: 'newer'; readonly line: number; readonly v: number }
  | { readonly is: 'damaged'; readonly line: number; readonly because: Damage };

const NEW_LINE = 10;

/** Reads and verifies a journal: format, hash chain, running numbers. */
export function readJournal<E = Event>(bytes: Buffer, lifts?: Lifts): Journal<E> {
  const lines: Line<E>[] = [];
  const told: Told[] = [];
  const clean = isUtf8(bytes);
  let [seq, hash, inputHash, from] = [0, GENESIS, GENESIS, 0];
  let fault: JournalFault | null = null;

  for (let number = 1; from < bytes.length && fault === null; number++) {
    const end = bytes.indexOf(NEW_LINE, from);
    const last = end === -1 || end === bytes.length - 1;
    const raw = bytes.subarray(from, end === -1 ? bytes.length : end);
    // A power cut may leave a hole of zeros in the last line, which no line of ours ever has.
    if (end === -1 || (last && raw.includes(0))) {
      fault = { is: 'torn', line: number, bytes: bytes.length - from };
      break;
    }
    const parsed =
      clean || isUtf8(raw)
        ? parseLine<E>(raw.toString('utf8'), hash, lifts)
        : ({ is: 'bad', because: 'not-text' } as const);
    switch (parsed.is) {
      case 'bad':
        fault = { is: 'damaged', line: number, because: parsed.because };
        break;
      case 'newer':
        fault = { is: 'newer', line: number, v: parsed.v };
        break;
      case 'line':
        if (parsed.line.seq !== seq + 1) fault = { is: 'damaged', line: number, because: 'seq-gap' };
        else lines.push(parsed.line);
        break;
      case 'told':
        if (parsed.seq !== seq) fault = { is: 'damaged', line: number, because: 'seq-gap' };
        else told.push(parsed.told);
    }
    if (fault !== null || parsed.is === 'bad') break;
    seq = lines.length;
    hash = parsed.hash;
    if (parsed.is === 'line') inputHash = hash;
    from = end + 1;
  }
  return { lines, told, seq, hash, inputHash, goodBytes: from, fault };
}

const BECAUSE: Readonly<Record<Damage, string>> = {
  'not-text': 'holds bytes that are no text',
  'not-json': 'is no longer readable',
  'not-a-line': 'is not a line of a journal',
  'bad-hash': 'does not fit the line before: it was changed, or the disk has lost something',
  'seq-gap': 'has a number out of order',
};

/** A fault in words for the console, with what to do. `file` is its path under the data folder. */
export function printFault(file: string, fault: JournalFault): string {
  const where = `${file} line ${fault.line}`;
  switch (fault.is) {
    case 'torn':
      return `${where}: the power went while it was written. Its ${fault.bytes} bytes were cut off; nobody was told they were taken.`;
    case 'newer':
      return `${where}: written in format ${fault.v} by a later version. It can be read but not continued. Start that version.`;
    case 'damaged':
      return `${where}: ${BECAUSE[fault.because]}. This job is stopped; all others go on. Put the file back from a copy.`;
  }
}
