import type { Heard, HeardNumber, Unclear } from '../job/heard.js';
import { valueIn } from '../units/quantity.js';
import type { Unit } from '../units/unit.js';
import { type Decimal, readDecimal } from './decimal.js';
import { ENGLISH } from './lexicon.js';
import { isUnitWord, measureOf } from './measure.js';
import { isNumeral, readNumeral, readNumerals } from './numeral.js';
import { joined, wordsIn } from './plain.js';
import { scan, type Token } from './scan.js';

/** What is read at the open question. */
export type Wanted = {
  readonly unit: Unit | null;
  readonly plausible: { readonly from: number; readonly to: number } | null;
  /** How many numbers make the answer; null where several do and their count is not known here. */
  readonly count: number | null;
  /** The order of a dead test is fixed; words that name its parts must follow it. */
  readonly deadTest: boolean;
};

const NO_NUMBER: ReadonlySet<string> = new Set(ENGLISH.noNumber);
const BESIDE: ReadonlySet<string> = new Set(ENGLISH.besideNumber);
const COUNTED: ReadonlySet<string> = new Set(ENGLISH.counted);
const AT_LEAST: ReadonlySet<string> = new Set(ENGLISH.atLeast);
const BETWEEN: ReadonlySet<string> = new Set(['and', 'or', 'then', 'to', 'next']);
/** A set of five, each dictated in full. */
const LONGEST_RUN = 40;
const DATE = /^\d{1,4}([-./])\d{1,2}\1\d{1,4}$/;
const DIGIT_FIRST = /^\d/;
const DASHES = /^(?:[-_\u2012-\u2015][\s.]*){2,}$/;

/** Prove, plus to minus, plus to body, minus to body, prove. */
const PARTS = ['prove', 'plus-minus', 'plus-body', 'minus-body', 'prove'] as const;
type Part = (typeof PARTS)[number];
const PROVE: ReadonlySet<string> = new Set(['prove', 'proved', 'proving', 'source']);
const BESIDE_PROVE: ReadonlySet<string> = new Set(['again', 'after', 'before', 'first', 'source', 'tester']);
const BODY: ReadonlySet<string> = new Set(['body', 'chassis', 'earth', 'ground', 'car']);

const unclear = (because: Unclear, detail: string): Heard => ({ heard: 'unclear', because, detail });

/**
 * One number with its unit, or the numbers of a set, out of a plain message. Everything in the message must be
 * understood: a word that is neither number, unit nor harmless filling is asked back, since it may turn the number
 * round ('not 0.3', 'below 5').
 */
export function hearNumbers(text: string, wanted: Wanted): Heard {
  const none = noNumber(text);
  if (none !== null) return { heard: 'no-number', word: none };
  if (DATE.test(text)) return unclear('not-a-number', text);
  const bare = /^(["']).*\1$/s.test(text) ? text.slice(1, -1) : text;
  const reader = new Reader(scan(bare, isUnitWord), wanted);
  reader.read();
  return reader.conclude(text);
}

function noNumber(text: string): string | null {
  // No word of these begins with a digit.
  if (DIGIT_FIRST.test(text)) return null;
  if (DASHES.test(text)) return text;
  if (text.length > 40) return null;
  const words = wordsIn(text);
  let from = 0;
  let line = joined(words);
  if (line === '∞') return text;
  while (!NO_NUMBER.has(line)) {
    const last = words.at(-1)?.word;
    if (words.length - from > 1 && last !== undefined && isUnitWord(last)) {
      const shorter = joined(words.slice(from, -1));
      if (NO_NUMBER.has(shorter)) return text;
    }
    const first = words[from]?.word;
    if (first === undefined || !BESIDE.has(first)) return null;
    from += 1;
    line = joined(words.slice(from));
  }
  return text;
}

class Reader {
  readonly #tokens: readonly Token[];
  readonly #wanted: Wanted;
  readonly #found: HeardNumber[] = [];
  readonly #parts: (Part | null)[] = [];
  #at = 0;
  #negative = false;
  #bound: 'at-least' | null = null;
  #part: Part | null = null;
  #before: Unit | null = null;
  #fault: Heard | null = null;
  #unknown = false;

  constructor(tokens: readonly Token[], wanted: Wanted) {
    this.#tokens = tokens;
    this.#wanted = wanted;
  }

  read(): void {
    while (this.#fault === null) {
      const token = this.#tokens[this.#at];
      if (token === undefined) return;
      this.#one(token);
    }
  }

  conclude(text: string): Heard {
    if (this.#fault !== null) return this.#fault;
    const numbers = this.#found;
    const [first, second] = numbers;
    if (this.#wanted.count === 1 && first !== undefined && second !== undefined) {
      return unclear('two-numbers', `${first.value}, ${second.value}`);
    }
    const dangling = this.#negative || this.#bound !== null || this.#part !== null;
    if (this.#unknown || first === undefined || dangling) {
      return unclear('not-a-number', text.slice(0, 60));
    }
    const misplaced = this.#parts.some((part, i) => part !== null && part !== PARTS[i]);
    if (misplaced) return unclear('out-of-order', text.slice(0, 60));
    return { heard: 'readings', numbers };
  }

  #one(token: Token): void {
    switch (token.is) {
      case 'letter-o':
        return this.#stop('letter-o', token.text);
      case 'range':
        return this.#stop('two-numbers', `${this.#found.at(-1)?.value ?? ''}, ${token.text.slice(1)}`);
      case 'at-least':
        this.#bound = 'at-least';
        this.#at += 1;
        return;
      case 'plus-minus':
        if (!this.#wanted.deadTest) return this.#stop('not-a-number', token.text);
        return this.#name('plus-minus', 1);
      case 'separator':
        this.#at += 1;
        return;
      case 'number':
        return this.#number(token.typed, token.glued);
      case 'word':
        return this.#word(token.word);
      case 'other':
        return this.#other(token.text);
    }
  }

  /** `- 5`: a minus with a blank behind it counts at the beginning only; later it may be a dash. */
  #other(text: string): void {
    const next = this.#tokens[this.#at + 1];
    if (text === '-' && this.#at === 0 && next?.is === 'number' && /^\d|^[.,]/.test(next.typed))
      this.#negative = true;
    else this.#unknown = true;
    this.#at += 1;
  }

  #number(typed: string, glued: boolean): void {
    if (glued) return this.#stop('not-a-number', typed);
    const next = this.#wordAt(this.#at + 1);
    const spoken =
      next === 'point' || next === 'hundred' || next === 'thousand' || this.#isHalf(this.#at + 1);
    if (spoken && /^\d+$/.test(typed)) return this.#spoken();
    this.#at += 1;
    const list = typed.split(',');
    if (list.length > 1 && this.#isList(typed, list)) {
      return this.#addAll(list);
    }
    this.#add(readDecimal(typed), typed);
  }

  /** `510,0,0,0,510` or `510,0.1,0.2`: commas between whole numbers of a set, or beside points. */
  #isList(typed: string, list: readonly string[]): boolean {
    if (list.some((piece) => !/^-?\d+(?:\.\d+)?$/.test(piece))) return false;
    if (typed.includes('.')) return !readDecimal(typed).ok;
    return (
      list.length > 2 &&
      (list.length === this.#wanted.count || !readDecimal(typed).ok) &&
      !this.#grouped(typed)
    );
  }

  /** `1,200,300` is one number or three, unless three is what is asked. */
  #grouped(typed: string): boolean {
    const read = readDecimal(typed);
    return !read.ok && read.because === 'kilo-or-not' && typed.split(',').length !== this.#wanted.count;
  }

  #word(raw: string): void {
    const word = raw.toLowerCase().replace(/'/g, '');
    if (this.#wanted.deadTest && this.#namesPart(word)) return;
    const pair = `${word} ${this.#wordAt(this.#at + 1) ?? ''}`;
    if (AT_LEAST.has(pair) || AT_LEAST.has(word)) {
      this.#bound = 'at-least';
      this.#at += AT_LEAST.has(pair) ? 2 : 1;
      return;
    }
    if (word === 'minus' || word === 'negative' || word === 'plus') {
      if (this.#negative) return this.#stop('not-a-number', raw);
      this.#negative = word !== 'plus';
      this.#at += 1;
      return;
    }
    const parts = word.split('-');
    if (word !== 'half' && !parts.includes('and') && parts.every(isNumeral)) return this.#spoken();
    if (BETWEEN.has(word)) {
      this.#at += 1;
      return;
    }
    if (COUNTED.has(word) && this.#wanted.unit === 'pcs') {
      this.#at += 1;
      return;
    }
    if (!BESIDE.has(word)) {
      const measure =
        this.#found.length === 0 && this.#before === null ? measureOf(raw, this.#wanted.unit) : null;
      if (measure === null) this.#unknown = true;
      else if (measure.ok) this.#before = measure.unit;
      else return this.#stop(measure.because, measure.detail);
    }
    this.#at += 1;
  }

  #namesPart(word: string): boolean {
    if (PROVE.has(word)) {
      let count = 1;
      while (BESIDE_PROVE.has(this.#wordAt(this.#at + count) ?? '')) count += 1;
      this.#name('prove', count);
      return true;
    }
    if (word !== 'plus' && word !== 'minus') return false;
    const linked = this.#wordAt(this.#at + 1);
    const link = linked === 'to' || linked === 'and' ? 1 : 0;
    const other = this.#wordAt(this.#at + 1 + link) ?? '';
    if (BODY.has(other)) this.#name(word === 'plus' ? 'plus-body' : 'minus-body', 2 + link);
    else if (word === 'plus' && other === 'minus') this.#name('plus-minus', 2 + link);
    else return false;
    return true;
  }

  #name(part: Part, tokens: number): void {
    if (this.#part !== null) return this.#stop('out-of-order', part);
    this.#part = part;
    this.#at += tokens;
  }

  #wordAt(at: number): string | null {
    const token = this.#tokens[at];
    return token?.is === 'word' ? token.word.toLowerCase() : null;
  }

  #isHalf(at: number): boolean {
    return this.#wordAt(at) === 'and' && this.#wordAt(at + 1) === 'a' && this.#wordAt(at + 2) === 'half';
  }

  /** A run of number words, with digits among them where dictation writes `3 hundred` or `0 point 3`. */
  #spoken(): void {
    const run: string[] = [];
    while (true) {
      const token = this.#tokens[this.#at];
      if (token?.is === 'word') {
        const parts = token.word.toLowerCase().split('-');
        const next = this.#wordAt(this.#at + 1);
        const and =
          token.word.toLowerCase() === 'and' &&
          (this.#isHalf(this.#at) || next?.split('-').every(isNumeral) === true);
        const a = token.word.toLowerCase() === 'a' && next === 'half' && run.at(-1) === 'and';
        if (!and && !a && (parts.includes('and') || !parts.every(isNumeral))) break;
        run.push(...parts);
      } else if (token?.is === 'number' && /^\d+$/.test(token.typed)) {
        const last = run.at(-1);
        if (
          last !== undefined &&
          last !== 'point' &&
          last !== 'decimal' &&
          last !== 'dot' &&
          last !== 'hundred'
        )
          break;
        run.push(token.typed);
      } else break;
      this.#at += 1;
    }
    const words = run.join(' ');
    if (run.length === 0) {
      this.#unknown = true;
      this.#at += 1;
      return;
    }
    if (run.length > LONGEST_RUN) return this.#stop('two-numbers', '');
    if (this.#wanted.count !== 1) {
      const several = readNumerals(run);
      if (several === null) {
        const one = readNumeral(run);
        return this.#stop('because' in one ? one.because : 'two-numbers', words);
      }
      return this.#addAll(several);
    }
    const one = readNumeral(run);
    if ('because' in one) return this.#stop(one.because, words);
    const read = readDecimal(one.typed);
    // Spoken decimals are never thousands.
    this.#add(read.ok ? { ...read, thousands: null } : read, words);
  }

  /** Several numbers without anything between them: what stands behind belongs to the last. */
  #addAll(list: readonly string[]): void {
    for (const [i, typed] of list.entries()) {
      if (this.#fault === null) this.#add(readDecimal(typed), typed, i === list.length - 1);
    }
  }

  #add(read: Decimal, typed: string, last = true): void {
    if (!read.ok) return this.#stop(read.because, typed);
    const unit = last ? this.#unit() : null;
    if (unit === undefined) return;
    const value = this.#settled(read, unit ?? this.#wanted.unit);
    if (value === null) return this.#stop('kilo-or-not', `${read.value}, ${read.thousands}`);
    const signed = this.#negative ? (value === 0 ? 0 : -value) : value;
    this.#found.push({ value: signed, unit, bound: this.#bound });
    this.#parts.push(this.#part);
    this.#part = null;
    this.#negative = false;
    this.#bound = null;
    this.#before = null;
  }

  /** Which of 1.2 and 1200 it is, where only one of them can be what was measured. */
  #settled(read: Decimal & { ok: true }, unit: Unit | null): number | null {
    if (read.thousands === null) return read.value;
    const { plausible, unit: own } = this.#wanted;
    if (plausible === null || own === null || unit === null) return null;
    const fits = [read.value, read.thousands].filter((value) => {
      const here = valueIn({ value: this.#negative ? -value : value, unit }, own);
      return here >= plausible.from && here <= plausible.to;
    });
    return fits.length === 1 ? (fits[0] ?? null) : null;
  }

  /** The unit behind a number, the longest that the next words make; undefined after a fault. */
  #unit(): Unit | null | undefined {
    const words: string[] = [];
    while (words.length < 4) {
      const token = this.#tokens[this.#at + words.length];
      if (token?.is !== 'word') break;
      words.push(token.word);
    }
    for (let count = words.length; count > 0; count--) {
      const said = words.slice(0, count).join(' ');
      const measure = measureOf(said, this.#wanted.unit);
      if (measure === null) continue;
      if (!measure.ok) {
        this.#stop(measure.because, measure.detail);
        return undefined;
      }
      this.#at += count;
      return measure.unit;
    }
    return this.#before;
  }

  #stop(because: Unclear, detail: string): void {
    this.#fault = unclear(because, detail);
  }
}
