import type { z } from 'zod';
import { parseUnit } from '../units/notation.js';
import { UNITS } from '../units/unit.js';
import { meant, oneOf } from './closest.js';
import type { Path } from './source.js';

/** A fault of grammar before it has a line. */
export type Complaint = {
  readonly path: Path;
  readonly at: 'value' | 'key';
  readonly problem: string;
  readonly remedy: string;
};

/** Reads data by a schema; what does not fit becomes complaints in plain words, all at once. */
export function readBy<T>(
  schema: z.ZodType<T>,
  data: unknown,
): { readonly value: T | null; readonly complaints: readonly Complaint[] } {
  const result = schema.safeParse(data, { error: wordsOf });
  if (result.success) return { value: result.data, complaints: [] };
  const complaints = result.error.issues.flatMap((issue) => complaintsOf(issue, []));
  return { value: null, complaints: complaints.filter((one) => !explained(one, complaints)) };
}

/** A key is only missing because it is mistyped: one complaint is enough. */
function explained(one: Complaint, all: readonly Complaint[]): boolean {
  if (!one.problem.endsWith('is missing')) return false;
  const block = one.path.slice(0, -1).join('/');
  return all.some(
    (other) =>
      other.remedy === `did you mean "${String(one.path.at(-1))}"?` &&
      other.path.slice(0, -1).join('/') === block,
  );
}

type Issue = z.core.$ZodIssue;

function complaintsOf(issue: Issue, above: Path): Complaint[] {
  const path: Path = [
    ...above,
    ...issue.path.map((part) => (typeof part === 'number' ? part : String(part))),
  ];
  if (issue.code === 'invalid_union') {
    const best = likeliest(issue.errors);
    if (best !== null) return best.flatMap((inner) => complaintsOf(inner, path));
  }
  const [problem = '', remedy = ''] = issue.message.split('\n');
  if (issue.code === 'invalid_key') {
    const [inner = problem, then = remedy] = (issue.issues[0]?.message ?? '').split('\n');
    return [{ path, at: 'key', problem: `"${String(path.at(-1))}": ${inner}`, remedy: then }];
  }
  if (issue.code === 'unrecognized_keys') {
    // Each unknown key has a message of its own: the lines are in the order of the keys.
    const lines = issue.message.split('\n');
    return issue.keys.map((key, index) => ({
      path: [...path, key],
      at: 'key' as const,
      problem: `unknown key "${key}"`,
      remedy: lines[index] ?? '',
    }));
  }
  return [{ path, at: 'value', problem, remedy }];
}

/** Of the forms a value may take the one that was most likely meant: of the right type, with the fewest faults. */
function likeliest(forms: readonly (readonly Issue[])[]): readonly Issue[] | null {
  let best: readonly Issue[] | null = null;
  let least = Number.POSITIVE_INFINITY;
  for (const issues of forms) {
    if (issues.some((issue) => issue.path.length === 0 && issue.code === 'invalid_type')) continue;
    if (issues.some((issue) => issue.path.length === 0 && issue.code === 'invalid_value')) continue;
    const cost = issues.reduce(
      (sum, issue) => sum + (issue.code === 'unrecognized_keys' ? 2 * issue.keys.length : 1),
      0,
    );
    if (cost < least) [best, least] = [issues, cost];
  }
  return best;
}

function wordsOf(issue: z.core.$ZodRawIssue): string | undefined {
  switch (issue.code) {
    case 'unrecognized_keys': {
      const known = keysOf(issue.inst);
      return issue.keys
        .map((key) => meant(key, known, known.length === 0 ? 'delete it' : `known here: ${oneOf(known, 40)}`))
        .join('\n');
    }
    case 'invalid_type':
      return ofType(String(issue.expected), issue.input, issue.path?.at(-1));
    case 'invalid_value': {
      const allowed = issue.values.map(String);
      const written = String(issue.input);
      if (issue.input === undefined)
        return `"${String(issue.path?.at(-1))}" is missing\nwrite ${oneOf(allowed)}`;
      const unit = allowed.length === UNITS.length ? parseUnit(written) : null;
      if (unit !== null) return `"${written}" is not how we write this unit\nwrite ${unit}`;
      const what = allowed.length === UNITS.length ? 'unit' : 'word';
      return `"${written}" is not a ${what} known here\n${meant(written, allowed, `write ${oneOf(allowed, 20)}`)}`;
    }
    case 'too_small':
      if (issue.origin === 'array') return `too short a list\nat least ${String(issue.minimum)} entries`;
      return undefined;
    case 'too_big':
      return `too long a list\nat most ${String(issue.maximum)} entries`;
    default:
      return undefined;
  }
}

function keysOf(schema: unknown): readonly string[] {
  if (typeof schema !== 'object' || schema === null || !('shape' in schema)) return [];
  const { shape } = schema;
  return typeof shape === 'object' && shape !== null ? Object.keys(shape) : [];
}

const TYPES: Readonly<Record<string, string>> = {
  string: 'a text',
  number: 'a number',
  boolean: 'true or false',
  array: 'a list',
  tuple: 'a list of two numbers',
  object: 'a block of keys',
  record: 'a block of keys',
};

function ofType(expected: string, input: unknown, key: PropertyKey | undefined): string {
  const wanted = TYPES[expected] ?? expected;
  const name = typeof key === 'string' ? `"${key}"` : 'this';
  if (input === undefined) return `${name} is missing\nwrite ${wanted}`;
  if (input === null)
    return `${name} is empty\nwrite ${wanted}${expected === 'object' ? ', {} for nothing more' : ''}`;
  if (expected === 'string' && (typeof input === 'number' || typeof input === 'boolean')) {
    return `${name} has to be a text and ${String(input)} is not\nwrite '${String(input)}' in quotes`;
  }
  if (expected === 'boolean') return `${name} has to be true or false\nwrite true or false, without quotes`;
  if (expected === 'array')
    return `${name} has to be a list\nwrite [${typeof input === 'object' ? '...' : String(input)}]`;
  if (expected === 'string' && typeof input === 'object') {
    return `${name} has to be a text\nput a text with a colon or a bracket in quotes`;
  }
  return `${name} has to be ${wanted}\nwrite ${wanted}`;
}
