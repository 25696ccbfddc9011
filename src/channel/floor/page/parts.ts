import type { Line } from '../../../talk/post.js';

/**
 * A question taken apart for the eye: what was heard, what to do and with what, the small print, what is asked. Only
 * the weight on the page follows from it; every line of the post is drawn, in its order, whatever is found here.
 */
export type Parts = {
  /** Before the question: what was heard and what it was judged to be. */
  readonly heard: readonly string[];
  /** `Gate`, `Again`, `Look` or a person's name: whom or what it is for. */
  readonly tags: readonly string[];
  /** The tool or the person's place, where the line begins with one. */
  readonly tool: string | null;
  /** The sentence to be read at arm's length. */
  readonly head: string;
  readonly small: readonly string[];
  /** What is to be said, such as `Humidity, in %?`. */
  readonly ask: readonly string[];
  /** The word of a gate. */
  readonly word: string | null;
  /** What can be answered where the post has no buttons for it. */
  readonly options: readonly string[];
  readonly photo: boolean;
};

const WORD = /^Type or say(?: it alone)?: (\S+)$/;
const OPTIONS = /^1 [^,]+(?:, \d+ [^,]+)+$/;
const CLOSING = /^(?:OK when done\.|Say the name\.|LIST says what else can be done\.|Photo\.)$/;
const PHOTO = /^Photo\b/;
const MARKS = /^(Again|Afresh|Gate|Look): /;

/** Titles of steps are cut at 62 characters by the desk. */
const CUT = '…';

/**
 * @param texts the lines of the post, instants printed
 * @param step the title of the step as the board has it, or null
 * @param people names that a line may be addressed to
 */
export function partsOf(texts: readonly string[], step: string | null, people: readonly string[]): Parts {
  const last = texts.at(-1) ?? '';
  const word = WORD.exec(last)?.[1] ?? null;
  const options = OPTIONS.test(last) ? last.split(', ').map((one) => one.replace(/^\d+ /, '')) : [];
  const from = startOf(texts, step);
  const heard = texts.slice(0, from);
  const own = texts.slice(from);
  const first = own[0] ?? '';
  const { tags, rest } = unmarked(first);
  const addressed = people.find((name) => rest.startsWith(`${name}: `));
  const bare = addressed === undefined ? rest : rest.slice(addressed.length + 2);
  const { tool, head } = toolOf(bare);
  const asks = askCount(own, word !== null, options.length > 0);
  return {
    heard,
    tags: addressed === undefined ? tags : [...tags, addressed],
    tool: addressed === undefined ? tool : null,
    head: addressed === undefined ? head : bare,
    small: own.slice(1, own.length - asks),
    // Options without buttons are drawn as keys that fill the box.
    ask: asks === 0 || word !== null || options.length > 0 ? [] : own.slice(own.length - asks),
    word,
    options,
    photo: own.some((line) => PHOTO.test(line)),
  };
}

/** How an answer to the message before is worded: what was kept, judged, seen, or set running. */
const HEARD = [
  /^(?:Kept:|Photo kept\.|Own look:|Seen:|Standby:|Time is up|Runs:|Still stands:|In doubt|On again|Worse air:|Air:)/,
  /^\d+ steps?\b|^An aid to trained people|\. Job \S+, /,
  /\bIn limits\b|^In limits|\bstill stands: \d\d:\d\d|\bgood to \d{4}-/,
  /^-?\d[\d.,]*\s?[^\s\d]{0,4}\.$/,
  /: \d\d:\d\d, .+\.$|^Prove \d|^All five good\.$/,
] as const;

/**
 * Where the question begins: at a gate, a look or a line to a person; at the step's own line; else after the lines that
 * are surely an answer. What is not surely an answer is never made small.
 */
function startOf(texts: readonly string[], step: string | null): number {
  const title = step === null ? null : (step.endsWith(CUT) ? step.slice(0, -1) : step).toLowerCase();
  const at = texts.findIndex((text) => {
    if (/^(?:(?:Again|Afresh): )?(?:Gate: |Look: |Look at all of these:)/.test(text)) return true;
    if (title === null || title === '') return false;
    return unmarked(text).rest.toLowerCase().startsWith(title);
  });
  const asking = texts.findLastIndex((text) =>
    /your own (?:look|reading)\b|still (?:here|there)\?/.test(text),
  );
  // At a gate, the second person's part is the newest thing and is read first.
  if (asking > at) return asking;
  if (at >= 0) return at;
  const begins = texts.findIndex((text) =>
    /^(?:Again|Afresh): |^Waiting, not before|^Which one is not so/.test(text),
  );
  if (begins >= 0) return begins;
  const fresh = texts.findIndex((text) => !HEARD.some((heard) => heard.test(text)));
  return fresh >= 0 && !CLOSING.test(texts[fresh] ?? '') ? fresh : Math.max(0, fresh - 1);
}

function unmarked(text: string): { tags: string[]; rest: string } {
  const tags: string[] = [];
  let rest = text;
  for (let mark = MARKS.exec(rest); mark !== null; mark = MARKS.exec(rest)) {
    tags.push(mark[1] ?? '');
    rest = rest.slice(mark[0].length);
  }
  return { tags, rest };
}

/** `Two-pole tester: volts across the gap` begins with its tool; a long sentence with a colon does not. */
function toolOf(text: string): { tool: string | null; head: string } {
  const found = /^([^:.?!]{3,44}): (.+)$/.exec(text);
  if (found?.[1] === undefined || found[2] === undefined) return { tool: null, head: text };
  return { tool: found[1], head: found[2].charAt(0).toUpperCase() + found[2].slice(1) };
}

/** How many lines at the end are what is to be said, not what is to be known. */
function askCount(own: readonly string[], word: boolean, options: boolean): number {
  if (own.length < 2) return 0;
  if (word || options) return 1;
  const last = own.at(-1) ?? '';
  if (/^\(/.test(last)) return Math.min(2, own.length - 1);
  if (/^LIST says/.test(last)) return 0;
  if (CLOSING.test(last) || /[?]$/.test(last) || /message|Photo|Answer|yes or no/i.test(last)) return 1;
  return /\?\s+Such as /.test(last) ? 1 : 0;
}

/** The text of a line, its instants printed by `print`. */
export function textOf(line: Line, print: (part: Exclude<Line[number], string>) => string): string {
  return line.map((part) => (typeof part === 'string' ? part : print(part))).join('');
}
