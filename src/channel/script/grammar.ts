import { DateTime } from 'luxon';
import { FACT_VALUES } from '../../rule/rules.js';
import {
  type Act,
  CHANNEL_STATES,
  type Check,
  type Doing,
  isAct,
  type ScriptFault,
  type ScriptLine,
} from './line.js';
import { KEYWORDS, type Keyword, MARK_WORDS, SHAPES, VERBS } from './words.js';

/**
 * The grammar of thread scripts: text to lines and faults. One line does one thing.
 *
 * Where a comment begins: at a `#` that opens the line, or that follows two blanks or a tab. So `bolt #4` is text.
 * Where the text of a line begins: after the first colon and the blanks behind it; it ends before the blanks at the
 * line's end. In between it is left as it stands. A comment that opens with `##` is a chapter: it is printed as a heading.
 */

export type Parsed = {
  /** The claim: the comment that opens the file, else its name in words. */
  readonly title: string;
  readonly lines: readonly ScriptLine[];
  readonly faults: readonly ScriptFault[];
};

/** `work.thread:12: "maybe" is not understood. Write …` */
export function printScriptFault({ file, line, problem, remedy }: ScriptFault): string {
  return `${file}:${line}: ${problem}. ${remedy}`;
}

/** Reads a script; all faults of it at once. */
export function parseScript(text: string, file: string): Parsed {
  const lines: ScriptLine[] = [];
  const faults: ScriptFault[] = [];
  let acted = false;
  text.split(/\r?\n/).forEach((raw, index) => {
    const at = { file, line: index + 1 };
    const chapter = index > 0 ? /^##\s+(\S.*?)\s*$/.exec(raw)?.[1] : undefined;
    if (chapter !== undefined) {
      lines.push({ ...at, written: raw.trim(), clock: null, does: { do: 'chapter', text: chapter } });
      return;
    }
    const written = withoutComment(raw).trim();
    if (written === '') return;
    const read = parseLine(written);
    if ('problem' in read) {
      faults.push({ ...at, ...read });
      return;
    }
    const late = acted ? lateSetup(read) : null;
    if (late !== null) faults.push({ ...at, ...late });
    acted ||= isAct(read);
    lines.push({ ...at, written, ...read });
  });
  return { title: titleOf(text, file), lines, faults };
}

type Slip = { readonly problem: string; readonly remedy: string };
type Read = Pick<ScriptLine, 'clock' | 'does'>;

function withoutComment(raw: string): string {
  if (/^\s*#/.test(raw)) return '';
  const at = raw.search(/(?:\s{2,}|\t)#/);
  return at < 0 ? raw : raw.slice(0, at);
}

function titleOf(text: string, file: string): string {
  const claim = /^#+\s*(\S.*?)\s*$/m.exec(text.split(/\r?\n/, 1)[0] ?? '')?.[1];
  if (claim !== undefined) return claim;
  const name = file.split('/').at(-1) ?? file;
  return name.replace(/\.thread$/, '').replaceAll('-', ' ');
}

function lateSetup({ does }: Read): Slip | null {
  if (does?.do !== 'shop' && does?.do !== 'at' && does?.do !== 'like') return null;
  return {
    problem: `"${does.do}" comes after the first act`,
    remedy: 'Move it to the top of the script.',
  };
}

function parseLine(written: string): Read | Slip {
  const timed = /^(\d{1,2}:\d{2})(?=\s|$)\s*(.*)$/.exec(written);
  const clock = timed?.[1] ?? null;
  const rest = timed?.[2] ?? written;
  if (clock !== null && !/^(?:[01]\d|2[0-3]):[0-5]\d$/.test(clock)) {
    return { problem: `"${clock}" is no time of day`, remedy: 'Write it with four digits, like 09:14.' };
  }
  if (rest === '') return { clock, does: null };
  const does = parseDoing(rest);
  if ('problem' in does) return does;
  if (clock !== null && (does.do === 'shop' || does.do === 'at' || does.do === 'like')) {
    return { problem: `"${does.do}" takes no time`, remedy: `Take ${clock} away.` };
  }
  return { clock, does };
}

function parseDoing(rest: string): Doing | Slip {
  const check = /^(>>|>|<)(\s*)(.*)$/.exec(rest);
  if (check !== null) return textCheck(check[1] ?? '', check[2] ?? '', check[3] ?? '');
  if (rest.startsWith('+')) return pass(rest);
  const first = /^[^\s:]+/.exec(rest)?.[0] ?? '';
  const keyword = KEYWORDS.find((word) => word === first);
  if (keyword !== undefined) return keywordLine(keyword, rest.slice(first.length));
  return personLine(rest);
}

function textCheck(sign: string, blank: string, text: string): Check | Slip {
  if (text === '') {
    return {
      problem: `nothing to look for after "${sign}"`,
      remedy: `Write some words of the post: ${sign} TEXT.`,
    };
  }
  if (blank === '') return { problem: `"${sign}${text}" has no blank`, remedy: `Write ${sign} ${text}` };
  const does = sign === '>>' ? 'newest' : sign === '>' ? 'has' : 'lacks';
  return { do: does, text };
}

const SPANS: Readonly<Record<string, number>> = { s: 1000, m: 60_000, h: 3_600_000, d: 86_400_000 };

/** `+12m`, `+90s`, `+2h`, `+1d` in milliseconds; a day is 24 hours. */
export function parseSpan(said: string): number | null {
  const found = /^\+(\d{1,5})([smhd])$/.exec(said);
  const ms = Number(found?.[1] ?? 0) * (SPANS[found?.[2] ?? ''] ?? 0);
  return ms > 0 ? ms : null;
}

function pass(rest: string): Act | Slip {
  const ms = parseSpan(rest);
  if (ms !== null) return { do: 'pass', ms };
  return { problem: `"${rest}" is no span of time`, remedy: 'Write one like +12m, +90s, +2h or +1d.' };
}

function keywordLine(keyword: Keyword, after: string): Doing | Slip {
  if (after.startsWith(':')) {
    return {
      problem: `"${keyword}" is a word of scripts, nobody's name`,
      remedy: `Write ${SHAPES[keyword]}, without the colon.`,
    };
  }
  const said = after.trim();
  const slip = {
    problem: `"${keyword} ${said}" is not understood`.replace(' "', '"'),
    remedy: `Write ${SHAPES[keyword]}.`,
  };
  switch (keyword) {
    case 'shop':
      return said === '' ? slip : { do: 'shop', name: said };
    case 'at':
      return isLocal(said) ? { do: 'at', local: said.replace('T', ' ') } : slip;
    case 'like':
      return said === '' ? slip : { do: 'like', file: said };
    case 'bay':
      return /^\S+$/.test(said) ? { do: 'bay', thread: said } : slip;
    case 'again':
      return /^(?:[1-9]\d?)?$/.test(said) ? { do: 'again', back: Number(said === '' ? 1 : said) } : slip;
    case 'channel': {
      const to = CHANNEL_STATES.find((state) => state === said);
      return to === undefined ? slip : { do: 'channel', to };
    }
    case 'disk':
      return said === 'full' || said === 'ok' ? { do: 'disk', to: said } : slip;
    case 'step':
      return /^\S+$/.test(said) ? { do: 'step', step: said === '-' ? null : said } : slip;
    case 'fact': {
      const [fact = '', is, ...more] = said.split(/\s+/);
      const value = FACT_VALUES.find((one) => one === is);
      return value === undefined || more.length > 0 ? slip : { do: 'fact', fact, value };
    }
    case 'restart':
    case 'stay':
      return said === '' ? { do: keyword } : slip;
    default:
      return said === '' ? { do: 'mode', mode: keyword } : slip;
  }
}

function isLocal(said: string): boolean {
  return (
    /^\d{4}-\d\d-\d\d[ T]\d\d:\d\d$/.test(said) &&
    DateTime.fromFormat(said.replace('T', ' '), 'yyyy-MM-dd HH:mm', { zone: 'utc' }).isValid
  );
}

/** A name has three words at most; more is a sentence that lacks its colon, or has it too late. */
const WHO = /^\S+(?: \S+){0,2}$/;

function personLine(rest: string): Act | Slip {
  const acts = /^([^:]+?) (taps|reacts|photo) +(\S.*)$/.exec(rest);
  if (acts !== null && WHO.test(acts[1] ?? '')) {
    const who = acts[1] ?? '';
    if (who === 'bot') return botSlip;
    return verbLine(who, acts[2] ?? '', acts[3] ?? '');
  }
  const colon = rest.indexOf(':');
  if (colon < 0) {
    return {
      problem: `"${rest}" is not understood`,
      remedy: `Write WHO: TEXT, WHO ${VERBS.join(' or WHO ')} …, ${OTHERS}.`,
    };
  }
  const words = rest.slice(0, colon).trim().split(/\s+/);
  const mark = words.length > 1 ? MARK_WORDS.find((word) => word === words.at(-1)) : undefined;
  const who = (mark === undefined ? words : words.slice(0, -1)).join(' ');
  const text = rest.slice(colon + 1).trim();
  if (!WHO.test(who)) {
    return {
      problem: `"${who}" is no name`,
      remedy: 'Begin with a register id or name and a colon: mara: ok.',
    };
  }
  if (text === '') return { problem: `${who} says nothing`, remedy: 'Write words after the colon.' };
  if (who !== 'bot') return { do: 'say', who, text, mark: mark ?? null };
  return mark === undefined ? { do: 'say', who, text, mark: 'bot' } : botSlip;
}

const OTHERS = `or one of: ${KEYWORDS.join(', ')}, > < >> or +12m`;
const botSlip: Slip = { problem: 'a bot only says things', remedy: 'Write bot: TEXT.' };

function verbLine(who: string, verb: string, said: string): Act {
  if (verb === 'photo') return { do: 'photo', who, name: said };
  const [, what = said, on = null] = /^(.+?) on (\S.*)$/.exec(said) ?? [];
  return verb === 'taps' ? { do: 'tap', who, label: what, on } : { do: 'react', who, name: what, on };
}
