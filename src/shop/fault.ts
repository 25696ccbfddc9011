import type * as z from 'zod';
import type { Path, Position } from './json.js';

/** What is wrong in a file of the register, where, and what to do about it. */
export type RegisterFault = Position & {
  /** The file's name in the register's folder. */
  readonly file: string;
  readonly problem: string;
  readonly remedy: string;
};

/** `gear.json:12:5: "tested" is missing. Add "tested": …` */
export function printRegisterFault({ file, line, column, problem, remedy }: RegisterFault): string {
  return `${file}:${line}:${column}: ${problem}. ${remedy}`;
}

/** Message of an own check in a schema: what is wrong, and what to do. */
export const say = (problem: string, remedy: string): string => `${problem}\n${remedy}`;

type Said = { readonly path: Path; readonly problem: string; readonly remedy: string };

/** What zod found in a document, in the words of the shop. */
export function saidOf(error: z.ZodError, document: unknown): readonly Said[] {
  return error.issues.flatMap((issue) => oneSaid(issue, document));
}

function oneSaid(issue: z.core.$ZodIssue, document: unknown): readonly Said[] {
  const { path } = issue;
  const [problem = '', remedy] = issue.message.split('\n');
  if (remedy !== undefined) return [{ path, problem, remedy }];
  if (issue.code === 'unrecognized_keys') {
    return issue.keys.map((key) => ({
      path: [...path, key],
      problem: `"${key}" is not known here`,
      remedy: 'Check its spelling, or take it out; remarks go under "note".',
    }));
  }
  const value = at(document, path);
  const name = String(path.at(-1) ?? 'the document');
  if (value === undefined) return [{ path, problem: `"${name}" is missing`, remedy: `Add "${name}": …` }];
  const found = JSON.stringify(value).slice(0, 40);
  switch (issue.code) {
    case 'invalid_type':
      return [
        {
          path,
          problem: `"${name}" is ${found}`,
          remedy: `Write ${KINDS[issue.expected] ?? issue.expected}.`,
        },
      ];
    case 'invalid_value':
      return [
        { path, problem: `"${name}" is ${found}`, remedy: `Write one of: ${issue.values.join(', ')}.` },
      ];
    case 'too_small':
      return [{ path, problem: `"${name}" is ${found}`, remedy: `At least ${issue.minimum} is needed.` }];
    case 'too_big':
      return [{ path, problem: `"${name}" is ${found}`, remedy: `At most ${issue.maximum} may be.` }];
    default:
      return [{ path, problem: `"${name}" is ${found}`, remedy: issue.message }];
  }
}

const KINDS: Readonly<Record<string, string>> = {
  string: 'text in double quotes',
  number: 'a number without quotes',
  int: 'a whole number without quotes',
  boolean: 'true or false',
  array: 'a list in [ ]',
  object: 'names and values in { }',
  record: 'names and values in { }',
};

function at(document: unknown, path: Path): unknown {
  let value = document;
  for (const key of path) {
    if (typeof value !== 'object' || value === null || typeof key === 'symbol') return undefined;
    value = (value as Readonly<Record<string | number, unknown>>)[key];
  }
  return value;
}
