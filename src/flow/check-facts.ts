import type { FactId } from '../rule/rules.js';
import { openKey } from '../rule/rules.js';
import { closest, meant, oneOf } from './closest.js';
import { type Declared, declarations, listOf, needOf } from './facts.js';
import type { Fault } from './fault.js';
import type { FactText } from './grammar.js';
import { conditionsOf } from './route.js';
import { type FlowFile, filesOf, isBlind, type Shelf } from './text.js';

/** Faults of the declarations of facts, each by itself and all together over the files. */
export function checkFacts(shelf: Shelf): readonly Fault[] {
  const declared = declarations(shelf);
  const uses = usesOf(shelf, declared);
  const blind = isBlind(shelf);
  const faults: Fault[] = [];
  for (const file of filesOf(shelf)) {
    for (const [id, text] of Object.entries(file.head.facts ?? {})) {
      const first = declared.get(id);
      if (first !== undefined && first.file !== file) {
        if (JSON.stringify(sorted(first.text)) !== JSON.stringify(sorted(text))) {
          const remedy = `declare it in one file only, or alike; the first is in ${first.file.source.name}`;
          faults.push(
            file.source.fault(['facts', id], `fact "${id}" is declared twice and differs`, remedy, 'key'),
          );
        }
        continue;
      }
      faults.push(...checkFact(file, id, text, declared, blind));
      if (shelf.broken.size === 0) faults.push(...checkUse(file, id, uses));
    }
  }
  return faults;
}

/** The same declaration whatever the order of its keys. */
function sorted(value: unknown): unknown {
  if (typeof value !== 'object' || value === null || Array.isArray(value)) return value;
  return Object.entries(value)
    .sort(([a], [b]) => (a < b ? -1 : 1))
    .map(([key, inner]) => [key, sorted(inner)]);
}

/** Keys that only one kind of fact may have, and what to do with them elsewhere. */
const ONLY: readonly (readonly [keyof FactText, FactText['kind'], string])[] = [
  ['look', 'state', 'a proof comes back only by its maker, a clock by time: delete it'],
  ['opening', 'state', 'only a state can stand open: make it a state, or delete this'],
  ['no-stop', 'state', 'only a state can stand open: make it a state, or delete this'],
  ['undone-by', 'state', 'only a state is undone by an act: make it a state, or delete this'],
  ['personal', 'state', 'a proof lapses for a newcomer anyway: delete it'],
  ['instead-of', 'state', 'only a state stands instead of another: delete it'],
  ['lapse', 'proof', 'silence never touches a state or a clock: make it a proof, or delete this'],
  ['check-in', 'proof', 'only a proof is checked in: make it a proof, or delete this'],
  ['after', 'clock', 'make it a clock, or delete this'],
  ['within', 'clock', 'make it a clock, or delete this'],
];

function checkFact(
  file: FlowFile,
  id: FactId,
  text: FactText,
  declared: ReadonlyMap<FactId, Declared>,
  blind: boolean,
): readonly Fault[] {
  const faults: Fault[] = [];
  const unknown = (other: FactId) => isUnknown(other, declared, blind);
  const complain = (key: keyof FactText | null, problem: string, remedy: string) =>
    faults.push(file.source.fault(key === null ? ['facts', id] : ['facts', id, key], problem, remedy, 'key'));
  for (const [key, kind, remedy] of ONLY) {
    if (text[key] !== undefined && text.kind !== kind) complain(key, `"${key}" on a ${text.kind}`, remedy);
  }
  if (text.kind === 'state' && text.look === undefined) {
    complain(
      null,
      `state "${id}" can be doubted and has no look`,
      'give it look: a question that one look answers yes',
    );
  }
  if (text.kind === 'clock') {
    const times = [text.after, text.within].filter((time) => time !== undefined).length;
    if (times === 0) complain(null, `clock "${id}" has no time`, 'give it after: or within:');
    if (times === 2) complain('within', `clock "${id}" has two times`, 'keep after: or within:');
    if (text.after !== undefined && (text['rest-on'] ?? []).length === 0) {
      complain(
        'after',
        `clock "${id}" rests on nothing`,
        'say under rest-on: what has to stay so while it runs',
      );
    }
  }
  if (text['no-stop'] === true && text.opening !== true) {
    complain('no-stop', `"${id}" has no end that could be told`, 'make it an opening too: opening: true');
  }
  if (text.lasts !== undefined && text['no-stop'] !== true) {
    complain('lasts', `"${id}" can be left at any time`, 'delete it, or add no-stop: true');
  }
  for (const key of ['rest-on', 'instead-of'] as const) {
    for (const other of listOf(text[key])) {
      if (other === id) complain(key, `"${id}" refers to itself`, 'delete it');
      else if (unknown(other)) complain(key, `no fact "${other}"`, unknownFact(other, declared));
    }
  }
  for (const other of listOf(text['instead-of'])) {
    const kind = declared.get(other)?.text.kind;
    if (kind !== undefined && kind !== 'state')
      complain('instead-of', `"${other}" is a ${kind}`, 'name a state');
  }
  for (const open of text['check-in']?.while ?? []) {
    const other = declared.get(open);
    if (other === undefined && !unknown(open)) continue;
    if (other === undefined) complain('check-in', `no fact "${open}"`, unknownFact(open, declared));
    else if (other.text.opening !== true) complain('check-in', `"${open}" is no opening`, 'name an opening');
  }
  const circle = circleFrom(id, declared);
  if (circle !== null) complain('rest-on', `rests on itself: ${circle.join(' on ')}`, 'take one of them out');
  return faults;
}

/** The way from a fact back to itself over what it rests on; told by the first of the circle only. */
function circleFrom(id: FactId, declared: ReadonlyMap<FactId, Declared>): readonly FactId[] | null {
  const visit = (at: FactId, path: readonly FactId[]): readonly FactId[] | null => {
    for (const ground of declared.get(at)?.text['rest-on'] ?? []) {
      if (ground === id) return path.length === 1 ? null : [...path, id];
      if (path.includes(ground)) continue;
      const found = visit(ground, [...path, ground]);
      if (found !== null) return found;
    }
    return null;
  };
  const circle = visit(id, [id]);
  return circle !== null && [...circle].sort()[0] === id ? circle : null;
}

/** What to do about a fact that no file declares. */
export function unknownFact(written: string, declared: ReadonlyMap<FactId, Declared>): string {
  return meant(
    written,
    declared.keys(),
    `declare it under facts:, or use ${oneOf(declared.keys(), 8) || 'another'}`,
  );
}

/** Whether a name is to be blamed. While a file cannot be read only a slip of a known name is: it may be declared there. */
export function isUnknown(written: string, declared: ReadonlyMap<FactId, Declared>, blind: boolean): boolean {
  return !declared.has(written) && (!blind || closest(written, declared.keys()) !== null);
}

type Uses = { readonly made: ReadonlySet<FactId>; readonly read: ReadonlySet<FactId> };

function usesOf(shelf: Shelf, declared: ReadonlyMap<FactId, Declared>): Uses {
  const made = new Set<FactId>();
  const read = new Set<FactId>();
  const add = (set: Set<FactId>, ids: Iterable<FactId>) => {
    for (const id of ids) set.add(id);
  };
  for (const { text, id } of declared.values()) {
    add(read, text['rest-on'] ?? []);
    add(read, text['check-in']?.while ?? []);
    add(read, listOf(text['instead-of']));
    if (text['instead-of'] !== undefined) read.add(id);
  }
  for (const hazard of Object.values(shelf.hazards?.text.hazards ?? {})) {
    for (const demand of hazard.demands ?? []) add(read, needOf(demand).flat());
  }
  for (const file of filesOf(shelf)) {
    add(made, file.head.given ?? []);
    for (const line of file.lines) {
      const { when } = line.is === 'use' ? line.use : line.step;
      for (const condition of conditionsOf(file, '', when)) {
        if (condition.reads.startsWith(openKey(''))) read.add(condition.reads.slice(openKey('').length));
      }
      if (line.is === 'use') continue;
      add(made, line.step.makes ?? []);
      add(read, [
        ...(line.step.ends ?? []),
        ...(line.step.for ?? []),
        ...(line.step.alarm ?? []),
        ...(line.step.needs ?? []).map(needOf).flat(2),
      ]);
    }
  }
  return { made, read };
}

function checkUse(file: FlowFile, id: FactId, uses: Uses): readonly Fault[] {
  const at = ['facts', id];
  if (!uses.made.has(id)) {
    return [file.source.fault(at, `no step makes "${id}"`, 'let a step make it, or delete it', 'key')];
  }
  if (!uses.read.has(id)) {
    return [
      file.source.fault(
        at,
        `nothing needs or ends "${id}"`,
        'let a step need or end it, or delete it',
        'key',
      ),
    ];
  }
  return [];
}
