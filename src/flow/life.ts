import { changesOfDoubt, changesOfLoss } from '../rule/change.js';
import { applyChanges, type Course, copyCourse, factValue, setValue } from '../rule/course.js';
import { type FactId, type FactValue, factOf, type Rules } from '../rule/rules.js';

/** A course after life has had its way with the facts that were looked at, and what happened to them. */
export type Turn<T> = { readonly course: Course; readonly result: T; readonly happened: readonly string[] };

/**
 * Runs a decision once for every way in which the facts that it looks at may have gone: a state or proof in
 * doubt, one that can be undone gone, a timer at its end, a deadline passed. A fact that is not looked at is
 * left for the look that comes, which is what keeps the number of states small: nothing could have told the
 * difference before. At most `most` things go wrong in one turn; what else has gone is found at the next look,
 * one turn later. The first turn is the one in which nothing goes wrong.
 */
export function turns<T>(
  rules: Rules,
  from: Course,
  kept: ReadonlySet<FactId>,
  most: number,
  decide: (course: Course, look: (fact: FactId) => FactValue) => T,
): Turn<T>[] {
  const found: Turn<T>[] = [];
  const script: number[] = [];
  for (;;) {
    const course = copyCourse(from);
    const happened: string[] = [];
    const widths: number[] = [];
    const look = (fact: FactId): FactValue => {
      // A timer may end at each look; while it runs nothing else is decided that a look could not still undo.
      if (factValue(rules, course, fact) === 'running') setValue(rules, course, fact, 'stands');
      const now = factValue(rules, course, fact);
      const ways = waysOf(rules, fact, now, kept);
      if (ways.length === 1 || happened.length >= most) return now;
      const picked = script[widths.length] ?? 0;
      if (script.length === widths.length) script.push(0);
      widths.push(ways.length);
      const to = ways[picked] ?? now;
      if (to !== now) happen(rules, course, fact, to, happened);
      return to;
    };
    found.push({ result: decide(course, look), course, happened });
    // The next script: the last look that has another way left takes it.
    while (script.length > 0 && (script[script.length - 1] ?? 0) + 1 >= (widths[script.length - 1] ?? 1)) {
      script.pop();
    }
    const last = script.length - 1;
    if (last < 0) return found;
    script[last] = (script[last] ?? 0) + 1;
  }
}

const ONLY: readonly FactValue[] = ['stands'];
const DOUBT: readonly FactValue[] = ['stands', 'doubt'];
const UNDONE: readonly FactValue[] = ['stands', 'doubt', 'gone'];
const DEADLINE: readonly FactValue[] = ['stands', 'gone'];

function waysOf(rules: Rules, id: FactId, now: FactValue, kept: ReadonlySet<FactId>): readonly FactValue[] {
  const fact = factOf(rules, id);
  if (now !== 'stands' || kept.has(id)) return ONLY;
  if (fact.clock === 'after') return ONLY;
  if (fact.clock === 'within') return DEADLINE;
  return fact.canBeUndone ? UNDONE : DOUBT;
}

function happen(rules: Rules, course: Course, fact: FactId, to: FactValue, happened: string[]): void {
  const values = (id: FactId) => factValue(rules, course, id);
  if (to === 'stands') {
    setValue(rules, course, fact, 'stands');
    return;
  }
  happened.push(`${fact} ${to === 'gone' ? 'is gone' : 'is in doubt'}`);
  const changes =
    to === 'gone' ? changesOfLoss(rules, [fact], values) : changesOfDoubt(rules, [fact], values);
  applyChanges(rules, course, changes);
}
