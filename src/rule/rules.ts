/**
 * The vocabulary of the fact rules: what a flow means once its wording, its readings and its people are
 * left out. The engine (`job/`) and the checker (`flow/prove.ts`) both run on exactly this.
 */

/** `state`: true until an act undoes it. `proof`: dies with an interruption. `clock`: physics, never pauses. */
export const FACT_KINDS = ['state', 'proof', 'clock'] as const;
export type FactKind = (typeof FACT_KINDS)[number];

/**
 * `running` is a clock not yet at its instant. `doubt` is neither true nor false: it was true, or may have
 * become true, and somebody has to look or prove again.
 */
export const FACT_VALUES = ['stands', 'running', 'doubt', 'gone'] as const;
export type FactValue = (typeof FACT_VALUES)[number];

export type FactId = string;
export type StepId = string;

/** The part of a fact that the rules read. */
export type FactRule = {
  readonly id: FactId;
  readonly kind: FactKind;
  /** Must be gone at the end of the job. Doubt about an opening is still open. */
  readonly opening: boolean;
  /** In doubt or gone below is in doubt above. */
  readonly restOn: readonly FactId[];
  /** Making this ends those, and making one of those ends this. */
  readonly insteadOf: readonly FactId[];
  /** A state in doubt stands again by one look; without a look only its maker brings it back. */
  readonly canLook: boolean;
  /** People may report at any time that it was undone. */
  readonly canBeUndone: boolean;
  /** `after`: stands from an instant on. `within`: stands until one. */
  readonly clock: 'after' | 'within' | null;
  /** While it is not gone the job is between two places where it could be left: no pause, park or handover. */
  readonly noStop: boolean;
};

/** One way to meet a need: all of these facts stand. */
export type Way = readonly FactId[];
/** A need is met when any of its ways is. */
export type Need = readonly Way[];

/** What a step depends on, as far as worked out, by where it was asked; by the ways in which its needs are met. */
export type Known = Map<number, { readonly ways: readonly Way[]; readonly facts: readonly FactRule[] }[]>;

/** A step applies when every one of its conditions does. `reads` names a choice made earlier in the job. */
export type Condition = { readonly reads: string; readonly is: readonly string[] };

export const ROUTES = ['job', 'park'] as const;
export type Route = (typeof ROUTES)[number];

/** The part of a step that the rules read. */
export type StepRule = {
  readonly id: StepId;
  readonly needs: readonly Need[];
  readonly makes: readonly FactId[];
  readonly ends: readonly FactId[];
  readonly when: readonly Condition[];
  /** The choice that answering makes, with the answers after which the job goes on. */
  readonly sets: { readonly choice: string; readonly options: readonly string[] } | null;
  /** A physical act that is done again even when what it makes already stands. */
  readonly again: boolean;
  /** Parking is a route of its own on the same facts; its steps come after those of the job. */
  readonly route: Route;
};

/** Facts and steps in route order, with the indexes that the rules look up on every message. */
export type Rules = {
  readonly facts: readonly FactRule[];
  readonly fact: ReadonlyMap<FactId, FactRule>;
  /** Where a fact stands in `facts`. */
  readonly places: ReadonlyMap<FactId, number>;
  readonly steps: readonly StepRule[];
  readonly indexOf: ReadonlyMap<StepId, number>;
  /** Steps that make a fact, in route order. */
  readonly makers: ReadonlyMap<FactId, readonly number[]>;
  /** Facts that rest on a fact, directly. */
  readonly above: ReadonlyMap<FactId, readonly FactId[]>;
};

/** Builds the indexes once; everything else reads them. Ids are taken as already checked to be unique. */
export function rulesOf(facts: readonly FactRule[], steps: readonly StepRule[]): Rules {
  const makers = new Map<FactId, number[]>();
  const above = new Map<FactId, FactId[]>();
  const push = <T>(map: Map<string, T[]>, key: string, value: T) => {
    const list = map.get(key);
    if (list === undefined) map.set(key, [value]);
    else list.push(value);
  };
  steps.forEach((step, index) => {
    for (const fact of step.makes) push(makers, fact, index);
  });
  for (const fact of facts) {
    for (const ground of fact.restOn) push(above, ground, fact.id);
  }
  return {
    facts,
    fact: new Map(facts.map((fact) => [fact.id, fact])),
    places: new Map(facts.map((fact, index) => [fact.id, index])),
    steps,
    indexOf: new Map(steps.map((step, index) => [step.id, index])),
    makers,
    above,
  };
}

/** The rule of a fact. Throws a `RangeError` for an id that the flow does not declare: a slip of ours. */
export function factOf(rules: Rules, id: FactId): FactRule {
  const fact = rules.fact.get(id);
  if (fact === undefined) throw new RangeError(`no fact "${id}" in this flow`);
  return fact;
}

/** Where a fact stands in `rules.facts`. Throws like `factOf`. */
export function placeOf(rules: Rules, id: FactId): number {
  const place = rules.places.get(id);
  if (place === undefined) throw new RangeError(`no fact "${id}" in this flow`);
  return place;
}

/** The step at an index of the route. Throws a `RangeError` outside it: a slip of ours. */
export function stepAt(rules: Rules, index: number): StepRule {
  const step = rules.steps[index];
  if (step === undefined) throw new RangeError(`no step ${index} in this flow`);
  return step;
}

/** The choices of a job so far: those made by its steps, the vehicle's variant, what stood open at parking. */
export type Choices = Readonly<Record<string, string>>;

/** Whether a step belongs to the job, given its choices. A choice not yet made meets no condition. */
export function applies(step: StepRule, choices: Choices): boolean {
  return step.when.every((condition) => {
    const made = choices[condition.reads];
    return made !== undefined && condition.is.includes(made);
  });
}

/** The name under which the choices keep whether a fact stood open when parking began. */
export function openKey(fact: FactId): string {
  return `open:${fact}`;
}
