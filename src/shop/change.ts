import type { DocumentName } from './documents.js';

/** What can stand in a document. */
export type Json =
  | null
  | boolean
  | number
  | string
  | readonly Json[]
  | { readonly [name: string]: Json | undefined };

/** The way to a value, by names and never by numbers: a list's entry is the one whose field `by` has this value. */
export type Way = readonly (string | { readonly by: string; readonly is: string })[];

/** One change of a document of the register, as it is kept in the shop journal. */
export type RegisterChange = {
  readonly file: DocumentName;
  readonly at: Way;
  /** What stood there, null for nothing. */
  readonly before: Json;
  /** What is to stand there; null takes it away. */
  readonly after: Json;
};

type Fields = Readonly<Record<string, Json | undefined>>;

const isFields = (value: Json | undefined): value is Fields =>
  typeof value === 'object' && value !== null && !Array.isArray(value);

const isList = (value: Json | undefined): value is readonly Json[] => Array.isArray(value);

/** The value at a way, null where there is none. */
export function valueAt(document: Json, at: Way): Json {
  let value: Json | undefined = document;
  for (const step of at) {
    if (typeof step === 'string') value = isFields(value) ? value[step] : undefined;
    else value = isList(value) ? value.find((one) => isFields(one) && one[step.by] === step.is) : undefined;
  }
  return value ?? null;
}

/** The document with a value in place of the one at a way; null takes it away. Nothing of the old one is touched. */
export function withValue(document: Json, at: Way, value: Json): Json {
  const [step, ...rest] = at;
  if (step === undefined) return value;
  if (typeof step === 'string') {
    const fields = isFields(document) ? document : {};
    const next = withValue(fields[step] ?? null, rest, value);
    if (next !== null) return { ...fields, [step]: next };
    const { [step]: _, ...others } = fields;
    return others;
  }
  const list = isList(document) ? document : [];
  const index = list.findIndex((one) => isFields(one) && one[step.by] === step.is);
  const next = withValue(list[index] ?? null, rest, value);
  if (next === null) return list.filter((_, place) => place !== index);
  return index < 0 ? [...list, next] : list.with(index, next);
}

/** The document with changes in it. */
export function withChanges(document: Json, changes: readonly RegisterChange[]): Json {
  return changes.reduce((now, { at, after }) => withValue(now, at, after), document);
}

/**
 * The first change whose place holds neither what it held when the change was agreed, nor what it is to hold: somebody
 * has edited it by hand since. Null where there is none.
 */
export function clashIn(document: Json, changes: readonly RegisterChange[]): RegisterChange | null {
  const clashes = ({ at, before, after }: RegisterChange) => {
    const stands = valueAt(document, at);
    return !same(stands, before) && !same(stands, after);
  };
  return changes.find(clashes) ?? null;
}

/** Whether two values of documents are the same; the order of names does not count. */
export function same(one: Json | undefined, other: Json | undefined): boolean {
  if (isList(one) && isList(other))
    return one.length === other.length && one.every((item, place) => same(item, other[place]));
  if (!isFields(one) || !isFields(other)) return (one ?? null) === (other ?? null);
  const names = new Set([...Object.keys(one), ...Object.keys(other)]);
  return [...names].every((name) => same(one[name], other[name]));
}

/** By what an entry of a list is told from the others. */
const KEYS = ['id', 'registration', 'batch'] as const;

function keyOf(list: readonly Json[]): string | null {
  for (const key of KEYS)
    if (list.length > 0 && list.every((one) => isFields(one) && typeof one[key] === 'string')) return key;
  return null;
}

/** What is different between two states of a document, entry by entry and field by field. */
export function changesBetween(
  file: DocumentName,
  before: Json,
  after: Json,
  at: Way = [],
): readonly RegisterChange[] {
  if (same(before, after)) return [];
  if (isFields(before) && isFields(after)) {
    const names = [...new Set([...Object.keys(before), ...Object.keys(after)])];
    return names.flatMap((name) =>
      changesBetween(file, before[name] ?? null, after[name] ?? null, [...at, name]),
    );
  }
  const key = isList(before) && isList(after) ? keyOf([...before, ...after]) : null;
  if (key === null || !isList(before) || !isList(after)) return [{ file, at, before, after }];
  const ids = new Set(
    [...before, ...after].flatMap((one) => (isFields(one) && typeof one[key] === 'string' ? one[key] : [])),
  );
  return [...ids].flatMap((is) => {
    const way = [...at, { by: key, is }];
    const of = (list: readonly Json[]) => valueAt(list, [{ by: key, is }]);
    const [old, now] = [of(before), of(after)];
    if (old === null || now === null) return [{ file, at: way, before: old, after: now }];
    return changesBetween(file, old, now, way);
  });
}
