import { isUtf8 } from 'node:buffer';
import { type Damage, GENESIS, hashIn, type Lifts, type Parsed, parseLine } from './line.js';

/** What an audit of a journal found. All that is wrong is listed, not only the first. */
export type Audit = {
  readonly sound: boolean;
  /** Inputs, and posts told. */
  readonly inputs: number;
  readonly told: number;
  readonly firstAt: number | null;
  readonly lastAt: number | null;
  /** Hash of the last line: whoever noted it down can prove later that nothing before it was touched. */
  readonly hash: string;
  readonly findings: readonly Finding[];
};

export const FINDINGS = ['torn', 'newer-format', 'time-runs-back', 'told-unknown-line', 'empty'] as const;
/** `line` counts from 1, told lines included. */
export type Finding = { readonly line: number; readonly what: (typeof FINDINGS)[number] | Damage };

/** Verifies a journal from its bytes: hash chain, running numbers, times that never run back. Pure. */
export function auditJournal(bytes: Buffer, lifts?: Lifts): Audit {
  const findings: Finding[] = [];
  let [seq, inputs, told, before] = [0, 0, 0, GENESIS];
  let firstAt: number | null = null;
  let lastAt: number | null = null;
  const texts = linesOf(bytes);

  for (const [index, { raw, whole }] of texts.entries()) {
    const line = index + 1;
    const find = (what: Finding['what']) => findings.push({ line, what });
    if (!whole) {
      find('torn');
      break;
    }
    if (!isUtf8(raw)) find('not-text');
    const text = raw.toString('utf8');
    let parsed: Parsed<unknown> = parseLine(text, before, lifts);
    if (parsed.is === 'bad' && parsed.because === 'bad-hash') find('bad-hash');
    else if (parsed.is === 'bad') find(parsed.because);
    // Go on with the hash the line says it has: a change in one line is one finding, not one for each line after.
    before = hashIn(text) ?? before;
    if (parsed.is === 'bad') parsed = unsealed(text);
    if (parsed.is === 'newer') find('newer-format');
    if (parsed.is === 'line') {
      inputs++;
      if (parsed.line.seq !== seq + 1) find('seq-gap');
      seq = parsed.line.seq;
      if (lastAt !== null && parsed.line.at < lastAt) find('time-runs-back');
      firstAt ??= parsed.line.at;
      lastAt = parsed.line.at;
    }
    if (parsed.is === 'told') {
      told++;
      if (parsed.seq !== seq) find('seq-gap');
      if (parsed.told.line > seq) find('told-unknown-line');
    }
  }
  if (texts.length === 0) findings.push({ line: 0, what: 'empty' });
  return { sound: findings.length === 0, inputs, told, firstAt, lastAt, hash: before, findings };
}

/** What a line with a bad hash says, for the checks that do not rest on the hash. */
function unsealed(text: string): Parsed<unknown> {
  try {
    const raw: unknown = JSON.parse(text);
    if (typeof raw === 'object' && raw !== null && 'seq' in raw && 'at' in raw) {
      const { seq, at } = raw;
      if (typeof seq === 'number' && typeof at === 'number') {
        const line = { seq, at, saidAt: at, by: '', name: '', via: '', key: '', words: '', events: [] };
        return { is: 'line', line, hash: '' };
      }
    }
  } catch {
    // Unreadable is a finding already.
  }
  return { is: 'bad', because: 'bad-hash' };
}

function linesOf(bytes: Buffer): readonly { readonly raw: Buffer; readonly whole: boolean }[] {
  const lines: { raw: Buffer; whole: boolean }[] = [];
  for (let from = 0; from < bytes.length; ) {
    const end = bytes.indexOf(10, from);
    const whole = end !== -1;
    lines.push({ raw: bytes.subarray(from, whole ? end : bytes.length), whole });
    from = whole ? end + 1 : bytes.length;
  }
  return lines;
}
