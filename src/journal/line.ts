import { hash } from 'node:crypto';
import * as z from 'zod';
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

const SEQ = z.int().nonnegative();
const INSTANT = z.number();

const LINE = z.object({
  seq: SEQ,
  at: INSTANT,
  saidAt: INSTANT,
  by: z.string(),
  name: z.string(),
  via: z.string(),
  key: z.string(),
  words: z.string(),
  // What is inside an event is ours, and under the hash.
  events: z.array(z.custom(isEvent)),
});

const TOLD = z.object({
  seq: SEQ,
  told: z.object({ line: SEQ, thread: z.string(), place: z.string() }),
});

function isEvent(event: unknown): boolean {
  return isRecord(event) && typeof event.type === 'string';
}

function isRecord(value: unknown): value is Record<string, unknown> {
  return typeof value === 'object' && value !== null && !Array.isArray(value);
}

/** Reads a line, without its end of line, that follows one with the hash `before`. Only the envelope is checked. */
export function parseLine<E = Event>(text: string, before: string, lifts: Lifts = NO_LIFTS): Parsed<E> {
  const sum = hashIn(text);
  if (sum === null) return { is: 'bad', because: isJson(text) ? 'not-a-line' : 'not-json' };
  if (hash('sha256', before + text.slice(0, -TAIL_LENGTH)) !== sum) return { is: 'bad', because: 'bad-hash' };
  let raw: unknown;
  try {
    raw = JSON.parse(text);
  } catch {
    return { is: 'bad', because: 'not-json' };
  }
  if (!isRecord(raw) || typeof raw.v !== 'number') return { is: 'bad', because: 'not-a-line' };
  if (raw.v > FORMAT) return { is: 'newer', v: raw.v, hash: sum };
  for (let v = raw.v; v < FORMAT; v++) {
    const lift = lifts.get(v);
    if (lift === undefined) return { is: 'bad', because: 'not-a-line' };
    raw = lift(raw as Record<string, unknown>);
  }
  return checked(raw as Record<string, unknown>, sum);
}

function checked<E>(raw: Record<string, unknown>, sum: string): Parsed<E> {
  if ('told' in raw) {
    const told = TOLD.safeParse(raw);
    return told.success ? { is: 'told', ...told.data, hash: sum } : { is: 'bad', because: 'not-a-line' };
  }
  const line = LINE.safeParse(raw);
  if (!line.success) return { is: 'bad', because: 'not-a-line' };
  return { is: 'line', line: line.data as Line<E>, hash: sum };
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
