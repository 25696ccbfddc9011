import type { Flow } from '../../flow/flow.js';
import type { Body, Marks } from '../../job/input.js';
import type { ReadMessage } from './reading.js';
import { unescaped } from './text.js';

/** Subtypes that are somebody's own words; all others are news of the platform's. */
const WORDS = new Set([undefined, null, '', 'file_share', 'thread_broadcast', 'bot_message', 'me_message']);

/** Whether somebody says something with it. */
export function isSaying({ subtype }: Pick<ReadMessage, 'subtype'>): boolean {
  return WORDS.has(subtype);
}

/** What tells these words from plain ones that were typed here and now. */
export function marksOf(message: ReadMessage, edited = false): Marks {
  const forwarded = (message.attachments ?? []).some(
    (one) => one.is_share === true || one.is_msg_unfurl === true,
  );
  const quoted = (message.text ?? '').trimStart().startsWith('&gt;') || hasQuote(message.blocks ?? []);
  return {
    ...(edited ? { edited: true } : {}),
    ...(forwarded ? { forwarded: true } : {}),
    ...(quoted ? { quoted: true } : {}),
    ...(message.bot_id != null || message.subtype === 'bot_message' ? { bot: true } : {}),
    ...((message.files ?? []).length > 0 ? { attachment: true } : {}),
  };
}

function hasQuote(blocks: readonly unknown[]): boolean {
  return JSON.stringify(blocks).includes('"rich_text_quote"');
}

/**
 * The words as they were typed. A mention of ours before them is how one speaks to us, and no part of what is said;
 * before a gate word it stays: that word has to be the whole message.
 */
export function wordsOf(text: string, self: string, gateWords: ReadonlySet<string>): string {
  const words = unescaped(text);
  const mention = `<@${self}>`;
  if (!words.trimStart().startsWith(mention)) return words;
  const rest = words
    .trimStart()
    .slice(mention.length)
    .replace(/^[\s:,]+/, '');
  return gateWords.has(rest.trim().toLowerCase()) ? words : rest;
}

const words = new WeakMap<Flow, ReadonlySet<string>>();

/** The words of all gates of a flow, in small letters. */
export function gateWordsOf(flow: Flow): ReadonlySet<string> {
  const known = words.get(flow);
  if (known !== undefined) return known;
  const asked = flow.steps.flatMap(({ asks }) =>
    asks.flatMap((ask) => (ask.ask === 'word' ? ask.words : [])),
  );
  const found = new Set(asked.map((word) => word.toLowerCase()));
  words.set(flow, found);
  return found;
}

export const textBody = (text: string): Body => ({ is: 'text', text });
