import type { Line, Part, Post } from '../../talk/post.js';
import { renderInstant } from '../script/render.js';
import { type DrawnButton, drawButtons } from './button.js';
import { cut, LIMITS } from './limits.js';
import { escaped, MARKUP } from './text.js';

export type TextObject =
  | { readonly type: 'mrkdwn'; readonly text: string; readonly verbatim: true }
  | { readonly type: 'plain_text'; readonly text: string; readonly emoji: false };
export type Block =
  | { readonly type: 'section'; readonly text: TextObject }
  | { readonly type: 'actions'; readonly block_id: string; readonly elements: readonly DrawnButton[] }
  | { readonly type: 'header'; readonly text: TextObject & { readonly type: 'plain_text' } }
  | { readonly type: 'context'; readonly elements: readonly TextObject[] }
  | { readonly type: 'divider' };

/** A message as it is sent: all of it in `text` for notices and screen readers, the same in blocks for the eye. */
export type Drawn = { readonly text: string; readonly blocks: readonly Block[] };

export type Look = {
  readonly zone: string;
  readonly again: boolean;
  readonly job: string;
  /** Whom the question is for. */
  readonly person: string;
  /** Set before the first line, such as a mention of whom an alert calls; already in the platform's own form. */
  readonly before?: string;
};

/** Draws a post within the platform's limits. Instants show in the reader's own time. */
export function drawPost(post: Post, look: Look): Drawn {
  const lines = shownLines(post);
  const plain = lines.map((line) => line.map((part) => partText(part, look.zone)).join(''));
  if (look.again) plain[0] = `${plain[0] ?? ''} (again)`.trimStart();
  const formats = plain.some((line) => MARKUP.test(line));
  const marked = lines.map((line) => line.map((part) => partMarked(part, look.zone)).join(''));
  if (look.again) marked[0] = `${marked[0] ?? ''} (again)`.trimStart();
  const sections = sectionsOf(formats ? plain : marked, formats);
  const before = look.before === undefined ? [] : [section(look.before, false)];
  const buttons = drawButtons(post.buttons, { job: look.job, visit: post.visit ?? '', person: look.person });
  const actions: Block[] =
    buttons.length === 0
      ? []
      : [
          {
            type: 'actions',
            block_id: cut(`${look.job}:${post.visit ?? ''}`, LIMITS.blockId),
            elements: buttons,
          },
        ];
  const room = LIMITS.blocks - before.length - actions.length;
  const text = [...(look.before === undefined ? [] : [look.before]), ...plain.map(escaped)].join('\n').trim();
  return { text: cut(text, LIMITS.text), blocks: [...before, ...sections.slice(0, room), ...actions] };
}

/** The lines that belong in the conversation. A job's whole record goes along as a file. */
function shownLines(post: Post): readonly Line[] {
  if (post.kind !== 'summary') return post.lines;
  const end = post.lines.findIndex(isBlank);
  return end < 0 ? post.lines : post.lines.slice(0, end);
}

/** The whole record in a summary, as text; empty when it has none. */
export function recordText(post: Post, zone: string): string {
  if (post.kind !== 'summary') return '';
  const from = post.lines.findIndex(isBlank);
  if (from < 0) return '';
  const lines = post.lines.slice(from + 1).map((line) => line.map((part) => partText(part, zone)).join(''));
  return `${lines.join('\n')}\n`;
}

const isBlank = (line: Line) => line.every((part) => part === '');

/** The same message without its buttons. */
export function withoutButtons({ text, blocks }: Drawn): Drawn {
  return { text, blocks: blocks.filter(({ type }) => type !== 'actions') };
}

/** The same message with one line more, above its buttons. */
export function withLine({ text, blocks }: Drawn, line: string): Drawn {
  const at = blocks.findIndex(({ type }) => type === 'actions');
  const end = at < 0 ? blocks.length : at;
  const room = blocks.length < LIMITS.blocks;
  return {
    text: cut(`${text}\n${line}`, LIMITS.text),
    blocks: room ? [...blocks.slice(0, end), section(line, true), ...blocks.slice(end)] : blocks,
  };
}

/** Lines as sections: as many in one as it holds, broken at line ends. */
export function sectionsOf(lines: readonly string[], plain: boolean): readonly Block[] {
  const texts: string[] = [];
  let open = '';
  const close = () => {
    if (open.trim() !== '') texts.push(open.replace(/^\n+|\s+$/g, ''));
    open = '';
  };
  for (const line of lines.flatMap((one) => pieces(one, LIMITS.sectionText))) {
    if (open.length + 1 + line.length > LIMITS.sectionText) close();
    open = open === '' ? line : `${open}\n${line}`;
  }
  close();
  return texts.map((text) => section(text, plain));
}

function section(text: string, plain: boolean): Block {
  return {
    type: 'section',
    text: plain ? { type: 'plain_text', text, emoji: false } : { type: 'mrkdwn', text, verbatim: true },
  };
}

function pieces(text: string, most: number): string[] {
  const found: string[] = [];
  for (let rest = text; ; rest = rest.slice(most)) {
    found.push(rest.slice(0, most));
    if (rest.length <= most) return found;
  }
}

function partText(part: Part, zone: string): string {
  return typeof part === 'string' ? part : renderInstant(part.instant, part.as, zone);
}

const DATES = { time: '{time}', 'day-time': '{date_short} {time}', date: '{date_num}' } as const;

/** The workshop's own time stands in for readers whose app cannot show theirs. */
export function partMarked(part: Part, zone: string): string {
  if (typeof part === 'string') return escaped(part);
  const { instant, as } = part;
  return `<!date^${Math.floor(instant / 1000)}^${DATES[as]}|${renderInstant(instant, as, zone)}>`;
}
