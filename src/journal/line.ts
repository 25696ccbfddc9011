import { hash } from 'node:crypto';
import type { Event } from '../job/event.js';
import type { Place } from '../job/input.js';

/**
 * One line of a journal. `{v, seq, at, saidAt, by, name, via, key, words, events, hash}` stands for an input and
 * what was concluded from it, `{v, seq, told, hash}` for a post that is known to have arrived.
 *
 * `seq` counts the inputs of the file from 1; a told line repeats the number of the last input before it, so told
 * lines never stand in the way of the next input. `hash` is SHA-256, in hex, over the hash of the line before and
 * the bytes of this line before `,"hash":`. That rule and `v` stay as they are in every later format.
 */

/** The format that is written. */
export const FORMAT = 1;

/** Stands in for the hash of the line before the first. */
export const GENESIS = '0'.repeat(64);

/** An input and what was concluded from it, before it has its number. */
export type NewLine<E = Event> = {
  /** When it was judged, ms since 1970. */
  readonly at: number;
  /** When it was said. */
  readonly saidAt: number;
  /** Register id. */
  readonly by: string;
  /** The name shown at the time. */
  readonly name: string;
  readonly via: string;
  /** The same for every delivery of the same message. */
  readonly key: string;
  /** The words as they were typed. */
  readonly words: string;
  readonly events: readonly E[];
};

export type Line<E = Event> = NewLine<E> & { readonly seq: number };

/** The post of line `line` stands at `place` of a thread. */
export type Told = { readonly line: number; readonly thread: string; readonly place: Place };

/** Rewrites what an older format wrote into the next one, by the older format's number. */
export type Lifts = ReadonlyMap<number, (line: Readonly<Record<string, unknown>>) => Record<string, unknown>>;

// Format 1 is the first.
const NO_LIFTS: Lifts = new Map();

export const DAMAGES = ['not-text', 'not-json', 'not-a-line', 'bad-hash', 'seq-gap'] as const;
export type Damage = (typeof DAMAGES)[number];

export type Parsed<E> =
  | { readonly is: 'line'; readonly line: Line<E>; readonly hash: string }
  | { readonly is: 'told'; readonly seq: number; readonly told: Told; readonly hash: string }
  /** Written by a later version of this program. */
  | { readonly is: 'newer'; readonly v: number; readonly hash: string }
  | { readonly is: 'bad'; readonly because: Damage };

type Printed = { readonly text: string; readonly hash: string };

/** The line as it is written, its end of line included. */
export function printLine<E>(seq: number, line: NewLine<E>, before: string): Printed {
  const { at, saidAt, by, name, via, key, words, events } = line;
  return seal(JSON.stringify({ v: FORMAT, seq, at, saidAt, by, name, via, key, words, events }), before);
}

/** A told line as it is written. */
export function printTold(seq: number, { line, thread, place }: Told, before: string): Printed {
  return seal(JSON.stringify({ v: FORMAT, seq, told: { line, thread, place } }), before);
}

function seal(json: string, before: string): Printed {
  const body = json.slice(0, -1);
  const sum = hash('sha256', before + body);
  return { text: `${body},"hash":"${sum}"}\n`, hash: sum };
}

const TAIL = ',"hash":"';
const TAIL_LENGTH = TAIL.length + 64 + '"}'.length;
const SUM = /^[0-9a-f]{64}$/;

/** Reads a line, without its end of line, that follows one with the hash `before`. Only the envelope is checked. */
export function parseLine<E = Event>(text: string, before: string, lifts: Lifts = NO_LIFTS): Parsed<E> {
  const end = text.length - TAIL_LENGTH;
  const sum = hash('sha256', before + text.slice(0, Math.max(0, end)));
  const sealed = text.startsWith(TAIL, end) && text.startsWith(sum, end + TAIL.length) && text.endsWith('"}');
  if (!sealed) {
    if (hashIn(text) !== null) return { is: 'bad', because: 'bad-hash' };
    return { is: 'bad', because: isJson(text) ? 'not-a-line' : 'not-json' };
  }
  let raw: unknown;
  try {
    raw = JSON.parse(text);
  } catch {
    return { is: 'bad', because: 'not-json' };
  }
  if (!isRecord(raw) || typeof raw.v !== 'number') return { is: 'bad', because: 'not-a-line' };
  if (raw.v > FORMAT) return { is: 'newer', v: raw.v, hash: sum };
  let current: Readonly<Record<string, unknown>> = raw;
  for (let v = raw.v; v < FORMAT; v++) {
    const lift = lifts.get(v);
    if (lift === undefined) return { is: 'bad', because: 'not-a-line' };
    current = lift(current);
  }
  return checked(current, sum);
}

/** Copied by hand: a start reads tens of thousands of lines, and a schema would make each of them anew. */
function checked<E>(raw: Readonly<Record<string, unknown>>, sum: string): Parsed<E> {
  const bad = { is: 'bad', because: 'not-a-line' } as const;
  const { seq, at, saidAt, by, name, via, key, words, events } = raw;
  if (!isCount(seq)) return bad;
  if ('told' in raw) {
    const told = toldIn(raw.told);
    return told === null ? bad : { is: 'told', seq, told, hash: sum };
  }
  if (!isInstant(at) || !isInstant(saidAt) || !isText(by) || !isText(name) || !isText(via)) return bad;
  // What is inside an event is ours, and under the hash.
  if (!isText(key) || !isText(words) || !Array.isArray(events) || !events.every(isEvent)) return bad;
  return { is: 'line', line: { seq, at, saidAt, by, name, via, key, words, events }, hash: sum };
}

function toldIn(raw: unknown): Told | null {
  if (!isRecord(raw)) return null;
  const { line, thread, place } = raw;
  return isCount(line) && isText(thread) && isText(place) ? { line, thread, place } : null;
}

function isCount(value: unknown): value is number {
  return Number.isSafeInteger(value) && Number(value) >= 0;
}

function isInstant(value: unknown): value is number {
  return Number.isFinite(value);
}

function isText(value: unknown): value is string {
  return typeof value === 'string';
}

function isEvent(event: unknown): boolean {
  return isRecord(event) && typeof event.type === 'string';
}

function isRecord(value: unknown): value is Record<string, unknown> {
  return typeof value === 'object' && value !== null && !Array.isArray(value);
}

/** The hash that a line says it has; null when it does not end in one. */
export function hashIn(text: string): string | null {
  const at = text.length - TAIL_LENGTH;
  if (at < 0 || !text.startsWith(TAIL, at) || !text.endsWith('"}')) return null;
  const sum = text.slice(at + TAIL.length, -2);
  return SUM.test(sum) ? sum : null;
}

function isJson(text: string): boolean {
  try {
    JSON.parse(text);
    return true;
  } catch {
    return false;
  }
}

/** Chance from 0 to below 1 for drawing a gate word: the same for the same journal. */
export function drawOf(sum: string): number {
  return Number.parseInt(sum.slice(0, 12), 16) / 2 ** 48;
}
