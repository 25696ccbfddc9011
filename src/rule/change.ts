import { type FactId, type FactRule, type FactValue, factOf, type Rules, type StepRule } from './rules.js';

/** What a fact becomes. `starts` marks a clock that starts now; who knows the time sets its instant. */
export type Change = { readonly fact: FactId; readonly to: FactValue; readonly starts?: true };

/** The stored value of a fact: of a clock without regard to its ground, which `read` adds. */
export type Values = (fact: FactId) => FactValue;

/** Where what an act does is written down, and read again while it is still being worked out. */
export type Sheet = {
  readonly value: Values;
  /** `starts` as in a change. */
  readonly write: (fact: FactId, to: FactValue, starts: boolean) => void;
};

/**
 * What an act does to the facts, with everything that follows from it: what rests on a fact in doubt or gone is in
 * doubt, a clock whose ground is gone is gone, what stands instead of a fact ends it.
 */
class Ripple {
  constructor(
    private readonly rules: Rules,
    private readonly sheet: Sheet,
  ) {}

  value(fact: FactId): FactValue {
    return this.sheet.value(fact);
  }

  set(fact: FactId, to: FactValue): void {
    if (this.value(fact) === to) return;
    this.sheet.write(fact, to, false);
    if (to === 'doubt' || to === 'gone') this.shake(fact, to);
  }

  /** A clock that runs `after` starts afresh; one that runs `within` keeps its earlier instant. */
  start(fact: FactRule): void {
    if (fact.clock === 'within' && this.value(fact.id) !== 'gone') return;
    this.sheet.write(fact.id, fact.clock === 'within' ? 'stands' : 'running', true);
  }

  doubt(fact: FactId): void {
    if (factOf(this.rules, fact).kind !== 'clock' && this.value(fact) !== 'gone') this.set(fact, 'doubt');
  }

  private shake(ground: FactId, to: FactValue): void {
    for (const id of this.rules.above.get(ground) ?? []) {
      if (this.value(id) === 'gone') continue;
      if (factOf(this.rules, id).kind !== 'clock') this.set(id, 'doubt');
      // A clock in doubt keeps its instant and its doubt is read off its ground; without ground it is gone.
      else if (to === 'gone') this.set(id, 'gone');
      else this.shake(id, 'doubt');
    }
  }
}

/** Collects what is written, each fact once; what comes out as it was is no change. */
function collect(values: Values, act: (sheet: Sheet) => void): Change[] {
  const changed = new Map<FactId, FactValue>();
  const started = new Set<FactId>();
  act({
    value: (fact) => changed.get(fact) ?? values(fact),
    write: (fact, to, starts) => {
      changed.set(fact, to);
      if (starts) started.add(fact);
      else started.delete(fact);
    },
  });
  const changes: Change[] = [];
  for (const [fact, to] of changed) {
    if (started.has(fact)) changes.push({ fact, to, starts: true });
    else if (values(fact) !== to) changes.push({ fact, to });
  }
  return changes;
}

/**
 * Showing a step puts in doubt all that it makes or ends: the hand may be quicker than the answer.
 * What is gone already stays gone when it would be ended. Clocks start at showing only when they run
 * `within`: open time counts from the first drop, not from the answer.
 */
export function changesOfShowing(rules: Rules, step: StepRule, values: Values): Change[] {
  return collect(values, (sheet) => writeShowing(rules, step, sheet));
}

/** The same, written where it belongs. */
export function writeShowing(rules: Rules, step: StepRule, sheet: Sheet): void {
  const ripple = new Ripple(rules, sheet);
  for (const id of step.ends) ripple.doubt(id);
  for (const id of step.makes) {
    const fact = factOf(rules, id);
    for (const other of fact.insteadOf) ripple.doubt(other);
    if (fact.clock === 'within') ripple.start(fact);
    else if (fact.clock === null) ripple.set(id, 'doubt');
  }
}

/** Completing a step: what it ends is gone, what it makes stands, `after` clocks start. */
export function changesOfCompleting(rules: Rules, step: StepRule, values: Values): Change[] {
  return collect(values, (sheet) => writeCompleting(rules, step, sheet));
}

/** The same, written where it belongs. */
export function writeCompleting(rules: Rules, step: StepRule, sheet: Sheet): void {
  const ripple = new Ripple(rules, sheet);
  for (const id of step.ends) ripple.set(id, 'gone');
  const clocks: FactRule[] = [];
  for (const id of step.makes) {
    const fact = factOf(rules, id);
    for (const other of fact.insteadOf) ripple.set(other, 'gone');
    if (fact.clock === null) ripple.set(id, 'stands');
    else clocks.push(fact);
  }
  // Last, so that a clock does not fall with what the same act ended.
  for (const fact of clocks) ripple.start(fact);
}

/** Puts facts in doubt. What is gone stays gone; clocks cannot be doubted for themselves. */
export function changesOfDoubt(rules: Rules, facts: readonly FactId[], values: Values): Change[] {
  return collect(values, (sheet) => writeDoubt(rules, facts, sheet));
}

/** The same, written where it belongs. */
export function writeDoubt(rules: Rules, facts: readonly FactId[], sheet: Sheet): void {
  const ripple = new Ripple(rules, sheet);
  for (const id of facts) ripple.doubt(id);
}

/** A look found them still true: they stand again, lowest ground first, where what they rest on does. */
export function changesOfLook(rules: Rules, facts: readonly FactId[], values: Values): Change[] {
  return collect(values, (sheet) => writeLook(rules, facts, sheet));
}

/** The same, written where it belongs. */
export function writeLook(rules: Rules, facts: readonly FactId[], sheet: Sheet): void {
  const ripple = new Ripple(rules, sheet);
  let left = [...facts];
  while (left.length > 0) {
    const lifted = left.filter((id) =>
      factOf(rules, id).restOn.every((ground) => {
        const value = ripple.value(ground);
        return value !== 'doubt' && value !== 'gone';
      }),
    );
    if (lifted.length === 0) break;
    for (const id of lifted) ripple.set(id, 'stands');
    left = left.filter((id) => !lifted.includes(id));
  }
}

/** It was undone, or a look found it gone, or its deadline has passed. */
export function changesOfLoss(rules: Rules, facts: readonly FactId[], values: Values): Change[] {
  return collect(values, (sheet) => writeLoss(rules, facts, sheet));
}

/** The same, written where it belongs. */
export function writeLoss(rules: Rules, facts: readonly FactId[], sheet: Sheet): void {
  const ripple = new Ripple(rules, sheet);
  for (const id of facts) ripple.set(id, 'gone');
}
