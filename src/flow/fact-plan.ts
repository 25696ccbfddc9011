import { type FactId, type FactRule, factOf, placeOf, type Rules, stepAt } from '../rule/rules.js';
import type { Ground } from './proof.js';

/** A fact by number, for what the checker asks of every state. */
export type FactPlan = {
  readonly clock: boolean;
  /** Brought by the using flow. */
  readonly kept: boolean;
  readonly canLook: boolean;
  readonly noStop: boolean;
  /** Being gone says no more of it than a lapse would: proofs, and clocks, which fall with their ground. */
  readonly loses: boolean;
  readonly grounds: readonly number[];
  readonly makers: readonly number[];
};

export function planFacts(ground: Ground): readonly FactPlan[] {
  const { rules, kept } = ground;
  return rules.facts.map((fact) => ({
    clock: fact.clock !== null,
    kept: kept.has(fact.id),
    canLook: fact.canLook,
    noStop: fact.noStop,
    loses: !fact.opening && !fact.noStop && (fact.clock === null ? !fact.canLook : follows(ground, fact)),
    grounds: numbersOf(rules, fact.restOn),
    makers: rules.makers.get(fact.id) ?? [],
  }));
}

/** A deadline may pass at any look; a wait is gone only with a ground whose every maker starts it again. */
function follows({ rules, kept }: Ground, clock: FactRule): boolean {
  if (clock.clock === 'within') return true;
  return clock.restOn.every(
    (on) =>
      kept.has(on) ||
      (rules.makers.get(on) ?? []).every((maker) => stepAt(rules, maker).makes.includes(clock.id)),
  );
}

/** For each step the openings it ends, by number. */
export function openingsEnded(rules: Rules): readonly (readonly number[])[] {
  return rules.steps.map((step) =>
    numbersOf(
      rules,
      step.ends.filter((id) => rules.fact.get(id)?.opening === true),
    ),
  );
}

/**
 * The facts that parking turns on, marked by number: the needs of its steps, what those rest on, what the makers of
 * those need, make and end in turn; what is given, which a resume leaves alone; and what forbids parking at all.
 */
export function readByParking({ rules, kept }: Ground): Uint8Array {
  const marked = new Uint8Array(rules.facts.length);
  const read = (id: FactId): void => {
    for (const index of numbersOf(rules, [id])) {
      if (marked[index] === 1) return;
      marked[index] = 1;
    }
    for (const ground of rules.fact.get(id)?.restOn ?? []) read(ground);
    for (const index of rules.makers.get(id) ?? []) {
      const maker = stepAt(rules, index);
      for (const other of [...maker.needs.flat(2), ...maker.makes, ...maker.ends]) read(other);
    }
  };
  for (const step of rules.steps) {
    if (step.route === 'park') for (const id of [...step.needs.flat(2), ...step.makes]) read(id);
  }
  for (const id of kept) read(id);
  for (const fact of rules.facts) if (fact.noStop) read(fact.id);
  return marked;
}

/**
 * What turns a parking in which no step is opened again. `all`: the facts that its steps depend on, and those that
 * decide whether one of them is closed unshown. `asIs`, marked by number: those of which it matters more than whether
 * they are gone, and what is given, which a resume leaves alone. A state in doubt is not among these: it is looked at
 * before it counts and stands then. With a need that can be met in several ways it is all of `readByParking`.
 */
export function readBySmoothParking(ground: Ground): {
  readonly all: readonly number[];
  readonly asIs: Uint8Array;
} {
  const { rules, kept } = ground;
  const steps = rules.steps.filter(({ route }) => route === 'park');
  const weighs = steps.some(({ needs }) => needs.some((need) => need.length > 1));
  const asIs = weighs ? readByParking(ground) : new Uint8Array(rules.facts.length);
  const all = new Set(rules.facts.flatMap((_, index) => (asIs[index] === 1 ? [index] : [])));
  const depend = (id: FactId): void => {
    const fact = factOf(rules, id);
    all.add(placeOf(rules, id));
    if (!fact.canLook) asIs[placeOf(rules, id)] = 1;
    for (const below of fact.restOn) depend(below);
  };
  for (const { needs, makes, ends } of steps) {
    for (const id of needs.flat(2)) depend(id);
    if (makes.length === 0) continue;
    for (const id of [...makes, ...ends]) {
      depend(id);
      asIs[placeOf(rules, id)] = 1;
    }
  }
  for (const id of kept) asIs[placeOf(rules, id)] = 1;
  return { all: [...all], asIs };
}

function numbersOf(rules: Rules, ids: readonly FactId[]): number[] {
  return ids.flatMap((id) => {
    const index = rules.facts.findIndex((fact) => fact.id === id);
    return index < 0 ? [] : [index];
  });
}
