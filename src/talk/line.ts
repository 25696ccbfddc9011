import type { Line, Part } from './post.js';

type Piece = string | number | Part | Line;

/** How long a line of a post may be before it is folded; about 80 is aimed at, names and lists may need more. */
const WIDTH = 110;
/** An instant takes about this many characters once a channel has printed it. */
const INSTANT_WIDTH = { time: 5, date: 10, 'day-time': 16 } as const;
/** An instant further away than this is said with its day. */
const DAY_AFTER_MS = 8 * 3_600_000;

/** A line written as a template: instants and other lines stay what they are, strings are joined. */
export function ln(strings: TemplateStringsArray, ...pieces: readonly Piece[]): Line {
  const parts: Part[] = [];
  strings.forEach((text, at) => {
    push(parts, text);
    const piece = pieces[at];
    if (piece === undefined) return;
    if (typeof piece === 'number') push(parts, String(piece));
    else if (isLine(piece)) for (const part of piece) push(parts, part);
    else push(parts, piece);
  });
  return parts;
}

function isLine(piece: Part | Line): piece is Line {
  return Array.isArray(piece);
}

function push(parts: Part[], part: Part): void {
  const last = parts.at(-1);
  if (part === '') return;
  if (typeof part === 'string' && typeof last === 'string') parts[parts.length - 1] = last + part;
  else parts.push(part);
}

/** An instant as the clock on the wall shows it. */
export function time(instant: number): Part {
  return { instant, as: 'time' };
}

/** An instant of a job: with its day where the time alone could be taken for another day's. */
export function when(instant: number, now: number): Part {
  return { instant, as: Math.abs(instant - now) > DAY_AFTER_MS ? 'day-time' : 'time' };
}

/** Several pieces as a list: `a, b, c`. */
export function listed(items: readonly (string | Line)[]): Line {
  return items.reduce<Line>((line, item, at) => (at === 0 ? ln`${item}` : ln`${line}, ${item}`), []);
}

/** How wide a line is when read. */
export function widthOf(line: Line): number {
  return line.reduce(
    (sum, part) => sum + (typeof part === 'string' ? part.length : INSTANT_WIDTH[part.as]),
    0,
  );
}

/** Folds a line between words so that none is wider than `width` characters. Line ends in what people typed go. */
export function wrap(line: Line, width: number = WIDTH): readonly Line[] {
  if (widthOf(line) <= width && !line.some((part) => typeof part === 'string' && /[\r\n\t]/.test(part))) {
    return [line];
  }
  const lines: Line[] = [];
  let open: Part[] = [];
  let used = 0;
  for (const token of tokensOf(line, width)) {
    const size = widthOf([token]);
    if (used > 0 && used + size > width) {
      lines.push(trimmed(open));
      open = [];
      used = 0;
    }
    if (used === 0 && token === ' ') continue;
    push(open, token);
    used += size;
  }
  if (open.length > 0) lines.push(trimmed(open));
  return lines;
}

/** A warning in capitals is not torn apart. */
const TOKEN = /[A-Z]{2,}(?: [A-Z]{2,})+[.,;:!?]?|\S+|\s+/g;

/** Words, blanks and instants; a word wider than a line is cut. */
function* tokensOf(line: Line, width: number): Generator<Part> {
  for (const part of line) {
    if (typeof part !== 'string') {
      yield part;
      continue;
    }
    for (const word of part.match(TOKEN) ?? []) {
      if (word.trim() === '') yield ' ';
      else for (let at = 0; at < word.length; at += width) yield word.slice(at, at + width);
    }
  }
}

function trimmed(parts: readonly Part[]): Line {
  const last = parts.at(-1);
  return typeof last === 'string' ? [...parts.slice(0, -1), last.trimEnd()] : parts;
}

/** A text with its first letter large. */
export function cap(text: string): string {
  return text.charAt(0).toUpperCase() + text.slice(1);
}

/** A text with its first letter small, unless its first word is an abbreviation or a letter. */
export function uncap(text: string): string {
  return /^\p{Lu}\p{Ll}/u.test(text) ? text.charAt(0).toLowerCase() + text.slice(1) : text;
}

/** A text without the sign at its end. */
export function bare(text: string): string {
  return text.trim().replace(/[?.:]$/, '');
}

/** A text that ends like a sentence. */
export function stopped(text: string): string {
  return /[.?!:…]$/.test(text.trim()) ? text.trim() : `${text.trim()}.`;
}

/** A line that ends like a sentence. */
export function sentence(line: Line): Line {
  const last = line.at(-1);
  return typeof last === 'string' ? [...line.slice(0, -1), stopped(last)] : ln`${line}.`;
}
