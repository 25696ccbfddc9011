import type { FactId, StepId } from '../rule/rules.js';
import { type Dimension, dimensionOf } from '../units/unit.js';
import { CALCULATIONS, SETTLINGS } from './calc.js';
import type { Ask, Fact, Flow, Step } from './flow.js';

/** A value that a flow reads, with what it has to be. Null where it is only said, as it stands in the register. */
export type UsedValue = {
  /** `SOURCE.NAME`. */
  readonly key: string;
  readonly dimension: Dimension | 'text' | null;
  readonly optional: boolean;
  /** Steps that read it, in route order. */
  readonly steps: readonly StepId[];
};

/** One reading of a value by a step. */
export type ValueUse = {
  readonly key: string;
  readonly dimension: Dimension | 'text' | null;
  readonly optional: boolean;
};

/** Every value of vehicle, shop, sealant and lift that the flow reads, by key, so that what is missing can be asked. */
export function valuesUsed(flow: Flow): readonly UsedValue[] {
  const found = new Map<string, UsedValue>();
  for (const step of flow.steps) {
    for (const use of valuesOfStep(flow.facts, step)) {
      const known = found.get(use.key);
      found.set(use.key, {
        key: use.key,
        dimension: known?.dimension ?? use.dimension,
        optional: (known?.optional ?? true) && use.optional,
        steps: [...new Set([...(known?.steps ?? []), step.id])],
      });
    }
  }
  return [...found.values()].sort((a, b) => (a.key < b.key ? -1 : 1));
}

/** The values one step reads: its limits, tests, torque, clocks, calculation, gloves and what its texts say. */
export function valuesOfStep(facts: ReadonlyMap<FactId, Fact>, step: Step): readonly ValueUse[] {
  const found: ValueUse[] = [];
  const add = (key: string, dimension: ValueUse['dimension'], optional = false) =>
    found.push({ key, dimension, optional });
  if (step.tighten !== null) {
    add(keyOf(step.tighten.torque), 'torque');
    add(keyOf(step.tighten.bolts), 'count');
    add(keyOf(step.tighten.pattern), 'text');
    // Values that are told are judged against the maker's tolerance on this very torque.
    if (step.judge === 'joint-torque') add(`${keyOf(step.tighten.torque)}-tolerance`, 'fraction');
  }
  for (const ask of step.asks) found.push(...valuesOfAsk(ask));
  for (const id of step.makes) {
    const time = facts.get(id)?.time ?? null;
    if (time !== null && 'from' in time && time.from !== 'figure') add(keyOf(time), 'time');
    for (const part of facts.get(id)?.lasts ?? []) add(keyOf(part), 'time');
  }
  for (const value of CALCULATIONS[step.judge ?? '']?.values ?? []) {
    add(value.key, value.dimension, value.optional ?? false);
  }
  if (step.gear.includes('gloves')) add('vehicle.max-voltage', 'voltage');
  for (const text of textsOfStep(step)) for (const key of placeholdersIn(text).keys) add(key, null);
  return found;
}

function valuesOfAsk(ask: Ask): readonly ValueUse[] {
  const volts = (key: string): ValueUse => ({ key, dimension: 'voltage', optional: false });
  if (ask.ask === 'dead-test') {
    return [
      volts(keyOf(ask.source)),
      volts(keyOf(ask.pack)),
      volts('shop.dead-limit'),
      { key: 'shop.proving-tolerance', dimension: 'fraction', optional: false },
    ];
  }
  if (ask.ask === 'watch') {
    const { values } = SETTLINGS[ask.until] ?? { values: [] };
    return values.map(({ key, dimension, optional }) => ({ key, dimension, optional: optional ?? false }));
  }
  if (ask.ask === 'choice') {
    return ask.options.flatMap(({ namedIn }) =>
      namedIn === null ? [] : [{ key: keyOf(namedIn.ref), dimension: 'text', optional: false }],
    );
  }
  if (ask.ask !== 'reading' || ask.limits === null) return [];
  if (ask.limits.is === 'same') return [];
  if (ask.limits.is === 'nil') return [volts('shop.dead-limit'), volts('vehicle.pack-voltage')];
  const dimension = dimensionOf(ask.unit);
  return [ask.limits.min, ask.limits.max].flatMap((amount) =>
    amount !== null && 'from' in amount ? [{ key: keyOf(amount), dimension, optional: false }] : [],
  );
}

function keyOf(ref: { readonly from: string; readonly name: string }): string {
  return `${ref.from}.${ref.name}`;
}

/** All texts of a step in which a value may be said. */
export function textsOfStep(step: Step): readonly string[] {
  const asked = step.asks.flatMap((ask) => ('text' in ask ? [ask.text] : []));
  return [step.text, ...step.card, ...step.meanwhile, ...asked];
}

/** The values that a text says, and braces in it that name none. */
export function placeholdersIn(text: string): {
  readonly keys: readonly string[];
  readonly broken: readonly string[];
} {
  const keys: string[] = [];
  const broken: string[] = [];
  for (const [whole, inner = ''] of text.matchAll(/\{([^{}]*)\}?|\}/g)) {
    const named = /^(?:vehicle|shop|sealant|lift)\.[a-z][a-z0-9]*(?:-[a-z0-9]+)*$/.test(inner);
    if (named && whole.startsWith('{') && whole.endsWith('}')) keys.push(inner);
    else broken.push(whole);
  }
  return { keys, broken };
}
