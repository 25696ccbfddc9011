import type { FactId, Need } from '../rule/rules.js';
import { parseQuantity } from '../units/notation.js';
import { type Quantity, valueIn } from '../units/quantity.js';
import { type Amount, type Fact, type FigureRef, VALUE_SOURCES, type ValueRef } from './flow.js';
import type { FactText, NeedText, RefText } from './grammar.js';
import { type FlowFile, filesOf, type Shelf } from './text.js';

/** A declaration of a fact and the file that makes it. */
export type Declared = { readonly id: FactId; readonly text: FactText; readonly file: FlowFile };

/** Facts are one namespace over all files: the first declaration of each, by file name. */
export function declarations(shelf: Shelf): ReadonlyMap<FactId, Declared> {
  const found = new Map<FactId, Declared>();
  for (const file of filesOf(shelf)) {
    for (const [id, text] of Object.entries(file.head.facts ?? {})) {
      if (!found.has(id)) found.set(id, { id, text, file });
    }
  }
  return found;
}

/** The facts for the engine, in the order given. `instead-of` is made mutual; what is not among them is left out. */
export function compileFacts(
  ids: Iterable<FactId>,
  declared: ReadonlyMap<FactId, Declared>,
): ReadonlyMap<FactId, Fact> {
  const known = new Set([...ids].filter((id) => declared.has(id)));
  const instead = insteadOf(known, declared);
  const facts = new Map<FactId, Fact>();
  for (const id of known) {
    const text = declared.get(id)?.text;
    if (text !== undefined) facts.set(id, compileFact(id, text, known, [...(instead.get(id) ?? [])].sort()));
  }
  return facts;
}

function compileFact(
  id: FactId,
  text: FactText,
  known: ReadonlySet<FactId>,
  insteadOf: readonly FactId[],
): Fact {
  const silence = text.lapse?.silence;
  const checkIn = text['check-in'];
  return {
    id,
    kind: text.kind,
    opening: text.opening ?? false,
    restOn: (text['rest-on'] ?? []).filter((ground) => known.has(ground)),
    insteadOf,
    canLook: text.kind === 'state' && text.look !== undefined,
    canBeUndone: (text['undone-by'] ?? []).length > 0,
    clock: text.kind !== 'clock' ? null : text.after !== undefined ? 'after' : 'within',
    noStop: text['no-stop'] ?? false,
    look: text.look ?? null,
    label: text.label,
    undoneBy: text['undone-by'] ?? [],
    lapse: { silenceMinutes: silence === undefined ? null : minutesOf(silence), on: text.lapse?.on ?? [] },
    time: timeOf(text.after ?? text.within),
    checkIn:
      checkIn === undefined
        ? null
        : { everyMinutes: minutesOf(checkIn.every), open: checkIn.while.filter((open) => known.has(open)) },
    personal: text.personal ?? false,
    lasts: (text.lasts ?? []).map(refOf),
    warning: text.warning ?? null,
    makeStill: text['make-still'] ?? null,
  };
}

/** Who stands instead of whom, both ways round, among the facts known. */
function insteadOf(
  known: ReadonlySet<FactId>,
  declared: ReadonlyMap<FactId, Declared>,
): ReadonlyMap<FactId, ReadonlySet<FactId>> {
  const pairs = new Map<FactId, Set<FactId>>();
  const link = (a: FactId, b: FactId) => pairs.set(a, (pairs.get(a) ?? new Set()).add(b));
  for (const id of known) {
    for (const other of listOf(declared.get(id)?.text['instead-of'])) {
      if (!known.has(other) || other === id) continue;
      link(id, other);
      link(other, id);
    }
  }
  return pairs;
}

/** One or several, as a list. */
export function listOf(idOrIds: string | readonly string[] | undefined): readonly string[] {
  if (idOrIds === undefined) return [];
  return typeof idOrIds === 'string' ? [idOrIds] : idOrIds;
}

/** A need as the rules read it: any of several ways, each a list of facts that all stand. */
export function needOf(text: NeedText): Need {
  if (typeof text === 'string') return [[text]];
  return text.any.map((way) => listOf(way));
}

/** A quantity that the grammar has already let through. */
export function quantityOf(text: string): Quantity {
  const quantity = parseQuantity(text);
  if (quantity === null) throw new RangeError(`"${text}" is no quantity`);
  return quantity;
}

/** The value that a reference names; the grammar has seen to it that it names exactly one. */
export function refOf(text: RefText): ValueRef {
  for (const from of VALUE_SOURCES) {
    const name = text[from];
    if (name !== undefined) return { from, name };
  }
  throw new RangeError('a reference names no value');
}

/** A literal or a named value. */
export function amountOf(text: string | RefText | undefined): Amount | null {
  if (text === undefined) return null;
  return typeof text === 'string' ? quantityOf(text) : refOf(text);
}

function timeOf(text: string | RefText | undefined): Quantity | ValueRef | FigureRef | null {
  if (text === undefined) return null;
  if (typeof text === 'string') return quantityOf(text);
  return text.figure !== undefined ? { from: 'figure', name: text.figure } : refOf(text);
}

function minutesOf(text: string): number {
  return valueIn(quantityOf(text), 'min');
}
