import {
  type Document,
  isAlias,
  isCollection,
  isMap,
  isNode,
  isPair,
  isScalar,
  LineCounter,
  type Node,
  parseDocument,
  Scalar,
  visit,
} from 'yaml';
import type { Fault } from './fault.js';

/** A flow file as it came in. */
export type FlowText = { readonly name: string; readonly text: string };
/** The way to a node: keys of maps, places in lists. */
export type Path = readonly (string | number)[];

/** A file read as YAML, with a way back from every value to its line. */
export type Source = {
  readonly name: string;
  readonly text: string;
  /** Plain data; null where the text could not be read at all. */
  readonly data: unknown;
  readonly faults: readonly Fault[];
  /** A fault at the value under a path, or at its nearest ancestor that exists; `key` points at the key. */
  readonly fault: (path: Path, problem: string, remedy: string, at?: 'value' | 'key') => Fault;
  readonly advice: (path: Path, problem: string, remedy: string) => Fault;
};

/**
 * Reads a file as strict YAML 1.2 and complains about all that reads differently from how it looks: anchors,
 * tags, tabs, curly quotes, sentences cut by ` #`, numbers and words that other readers take for something else.
 */
export function readSource(file: FlowText): Source {
  const lines = new LineCounter();
  const document = parseDocument(file.text, {
    version: '1.2',
    schema: 'core',
    strict: true,
    merge: false,
    stringKeys: true,
    uniqueKeys: true,
    prettyErrors: false,
    logLevel: 'silent',
    lineCounter: lines,
  });
  const faults: Fault[] = [];
  const complain = (offset: number, problem: string, remedy: string) => {
    const { line, col } = lines.linePos(Math.min(offset, file.text.length));
    faults.push({
      file: file.name,
      line: Math.max(1, line),
      column: Math.max(1, col),
      problem,
      remedy,
      severity: 'fault',
    });
  };

  for (const error of [...document.errors, ...document.warnings]) {
    const [problem, remedy] = wordsOf(error.code, error.message);
    complain(error.pos[0], problem, remedy);
  }
  const sound = document.errors.every((error) => error.code === 'DUPLICATE_KEY');
  complainOfCharacters(file.text, complain);
  const aliased = complainOfNodes(document, file.text, complain);

  const made = (
    path: Path,
    problem: string,
    remedy: string,
    at: 'value' | 'key',
    severity: Fault['severity'],
  ) => {
    const { line, col } = lines.linePos(offsetOf(document, path, at));
    return { file: file.name, line: Math.max(1, line), column: Math.max(1, col), problem, remedy, severity };
  };
  return {
    name: file.name,
    text: file.text,
    data: sound && !aliased ? document.toJS() : null,
    faults,
    fault: (path, problem, remedy, at = 'value') => made(path, problem, remedy, at, 'fault'),
    advice: (path, problem, remedy) => made(path, problem, remedy, 'value', 'advice'),
  };
}

type Complain = (offset: number, problem: string, remedy: string) => void;

function offsetOf(document: Document.Parsed, path: Path, at: 'value' | 'key'): number {
  let node: unknown = document.contents;
  let offset = startOf(node) ?? 0;
  for (const [index, part] of path.entries()) {
    if (!isCollection(node)) break;
    const last = index === path.length - 1;
    if (isMap(node)) {
      const pair = node.items.find(
        (item) => (isScalar(item.key) ? String(item.key.value) : null) === String(part),
      );
      if (pair === undefined) break;
      const key = startOf(pair.key);
      const value = startOf(pair.value);
      // An empty value has no place of its own.
      const empty = isScalar(pair.value) && pair.value.source === '';
      offset = (last && at === 'key') || value === null || empty ? (key ?? offset) : value;
      node = pair.value;
    } else {
      node = node.items[Number(part)];
      offset = startOf(node) ?? offset;
    }
  }
  return offset;
}

function startOf(node: unknown): number | null {
  return isNode(node) ? (node.range?.[0] ?? null) : null;
}

/** Characters that a reader cannot see, or that only look like what they are taken for. */
const UNSEEN = /[\u00a0\u00ad\u200b-\u200f\u2028-\u202e\u2060\ufeff]/g;

function complainOfCharacters(text: string, complain: Complain): void {
  for (const tab of text.matchAll(/^[^\n\t]*\t/gm)) {
    complain(tab.index + tab[0].length - 1, 'a tab', 'use blanks');
  }
  for (const unseen of text.matchAll(UNSEEN)) {
    const code = unseen[0].charCodeAt(0).toString(16).padStart(4, '0');
    complain(
      unseen.index,
      `an invisible character (U+${code.toUpperCase()})`,
      'delete it, write a plain blank',
    );
  }
  for (const directive of text.matchAll(/^%/gm)) {
    complain(directive.index, 'a YAML directive', 'delete the line');
  }
}

/** Returns whether there is an alias, after which the data mean nothing. */
function complainOfNodes(document: Document.Parsed, text: string, complain: Complain): boolean {
  let aliased = false;
  visit(document, (key, node) => {
    if (isPair(node)) {
      if (isScalar(node.key) && node.key.value === '<<') {
        complain(startOf(node.key) ?? 0, 'a merge key', 'write the keys out where they are used');
      }
      return;
    }
    if (!isNode(node)) return;
    const at = startOf(node) ?? 0;
    if (isAlias(node)) {
      aliased = true;
      complain(at, 'an alias', 'write the value out where it is used');
      return;
    }
    if (node.anchor !== undefined)
      complain(at, 'an anchor', 'delete it, write the value out where it is used');
    if (node.tag !== undefined && hasTag(node, text)) complain(at, 'a tag', 'delete it');
    if (isScalar(node) && node.type === Scalar.PLAIN) complainOfPlain(node, key === 'key', text, complain);
  });
  return aliased;
}

/** The parser gives some nodes their tag without one being written. */
function hasTag(node: Node, text: string): boolean {
  const at = startOf(node) ?? 0;
  return /![^\s]*\s*(?:&\S+\s*)?$/.test(text.slice(Math.max(0, at - 80), at)) || text[at] === '!';
}

const QUOTES = /^["'“”„‟«»‘’‚‛`]|[“”„‟«»‘’‚‛`]$/;

function complainOfPlain(node: Scalar, isKey: boolean, text: string, complain: Complain): void {
  const written = node.source ?? '';
  const [start, end] = node.range ?? [0, 0];
  const quoted = `'${written.replaceAll("'", "''")}'`;
  if (QUOTES.test(written)) {
    const inner = written.replace(/^[“”„‟«»‘’‚‛`]+|[“”„‟«»‘’‚‛`]+$/g, '');
    complain(start, `curly quotes do not quote: ${written}`, `write '${inner.replaceAll("'", "''")}'`);
  }
  if (isKey) return;
  const comment = /^([ \t]+)#(.?)/.exec(text.slice(end, end + 200));
  if (comment !== null) {
    const [, gap = '', next = ''] = comment;
    const glued = next !== '' && next !== ' ' && next !== '#' && next !== '\n' && next !== '\r';
    if (glued || (gap.length === 1 && /\s/.test(written))) {
      complain(
        end,
        `" #" cuts the text after "${written}"`,
        'put the whole text in quotes, or two blanks before a comment and one after the #',
      );
    }
  }
  if (/^(?:yes|no|on|off|y|n)$/i.test(written)) {
    complain(
      start,
      `a bare ${written} is text here and true or false elsewhere`,
      `write ${quoted}, or true or false`,
    );
  } else if (/^-?\d+:\d\d(?::\d\d)?$/.test(written)) {
    complain(
      start,
      `a bare ${written} is text here and a number elsewhere`,
      `write ${quoted}, a time as '90 min'`,
    );
  } else if (typeof node.value === 'number' && !/^-?(?:0|[1-9]\d*)(?:\.\d+)?$/.test(written)) {
    complain(
      start,
      `${written} would be read as the number ${node.value}`,
      `write ${quoted} if it is a text`,
    );
  }
}

function wordsOf(code: string, message: string): [problem: string, remedy: string] {
  switch (code) {
    case 'DUPLICATE_KEY':
      return ['the same key twice in one block', 'keep one of them; only the last would count'];
    case 'TAB_AS_INDENT':
      return ['a tab as indent', 'use blanks'];
    case 'BAD_INDENT':
    case 'MULTILINE_IMPLICIT_KEY':
      return [
        'the indent does not fit',
        'line it up with the lines of its block; look at the line above too',
      ];
    case 'MISSING_CHAR':
      return [
        `something is missing here (${message})`,
        'close the quote or bracket, put a comma between the parts',
      ];
    case 'BLOCK_IN_FLOW':
      return [
        'a comma is missing before this, or a text has a colon',
        'put a comma there, or the text in quotes',
      ];
    case 'UNEXPECTED_TOKEN':
      return ['this does not belong here', 'look for a missing comma, quote or bracket before it'];
    case 'BAD_ALIAS':
    case 'ALIAS_PROPS':
      return ['an alias', 'put a text that begins with * in quotes'];
    case 'MULTIPLE_DOCS':
      return ['a second document in the file', 'one flow per file: delete the ---'];
    case 'BAD_SCALAR_START':
      return ['a text cannot begin with this character', 'put it in quotes'];
    case 'BAD_DQ_ESCAPE':
      return ['a backslash in double quotes', 'use single quotes'];
    case 'NON_STRING_KEY':
      return ['a key has to be a word', 'write key: value'];
    case 'TAG_RESOLVE_FAILED':
      return ['a tag', 'delete it, or put a text that begins with ! in quotes'];
    case 'BAD_DIRECTIVE':
      return ['a YAML directive', 'delete the line; a text that begins with % goes in quotes'];
    case 'BLOCK_AS_IMPLICIT_KEY':
      return ['two colons in one line', 'put a text with a colon in quotes'];
    default:
      return [
        `cannot be read as YAML (${message.replace(/\s+/g, ' ')})`,
        'look at quotes, brackets and indent here',
      ];
  }
}
