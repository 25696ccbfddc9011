import { writeDoubt, writeLoss } from '../rule/change.js';
import { type Course, factValue, setValue, sheetOf, viewOf } from '../rule/course.js';
import { lackingAtAnswer, type Next, next } from '../rule/next.js';
import { FACT_VALUES, type FactId, type FactValue, factOf, type Rules } from '../rule/rules.js';

/** A course after life has had its way with the facts that were looked at, and what happened to them. */
export type Turn<T> = { readonly course: Course; readonly result: T; readonly happened: readonly Lapse[] };

export type Lapse = { readonly fact: FactId; readonly to: FactValue };

/**
 * Runs a decision once for every way in which the facts that it looks at may have gone: a proof in doubt, a state
 * gone (seen at a look, or reported), a deadline passed. A fact that is not looked at is left for the look that
 * comes, which is what keeps the number of states small: nothing could have told the difference before. At most
 * `most` things go wrong in one turn; what else has gone is found at the next look, one turn later. With `timers` a
 * wait may also still run. The first turn is the one in which nothing goes wrong.
 */
export function turns<T>(
  rules: Rules,
  from: Course,
  kept: ReadonlySet<FactId>,
  most: number,
  timers: boolean,
  decide: (course: Course, look: (fact: FactId) => FactValue) => T,
): Turn<T>[] {
  const found: Turn<T>[] = [];
  const script: number[] = [];
  for (;;) {
    // Deciding closes and opens nothing: only the values are this turn's own.
    const course = { ...from, values: from.values.slice() };
    const happened: Lapse[] = [];
    const widths: number[] = [];
    const look = (fact: FactId): FactValue => {
      const now = lookPlainly(rules, course, fact);
      if (now !== 'stands' || happened.length >= most) return now;
      const ways = waysOf(rules, fact, kept, timers);
      if (ways.length === 1) return now;
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

const RUNNING = FACT_VALUES.indexOf('running');
const STANDS = FACT_VALUES.indexOf('stands');

/**
 * What comes next when nothing goes wrong. Every timer that runs is ended first, in place: while it runs nothing is
 * decided for good.
 */
export function plainly(rules: Rules, course: Course, together: boolean): Next {
  endTimers(course);
  return next(rules, viewOf(rules, course), together);
}

/** Whether the answer is taken when it comes at once: what showing put in doubt may be what the step needs. */
export function answerable(rules: Rules, asked: Course, index: number): boolean {
  endTimers(asked);
  return lackingAtAnswer(rules, viewOf(rules, asked), index) === null;
}

export function endTimers({ values }: Course): void {
  for (let index = 0; index < values.length; index++) if (values[index] === RUNNING) values[index] = STANDS;
}

/** A look at which nothing goes wrong. */
function lookPlainly(rules: Rules, course: Course, fact: FactId): FactValue {
  const now = factValue(rules, course, fact);
  if (now !== 'running') return now;
  setValue(rules, course, fact, 'stands');
  return 'stands';
}

const ONLY: readonly FactValue[] = ['stands'];
const DOUBT: readonly FactValue[] = ['stands', 'doubt'];
const RUNS: readonly FactValue[] = ['stands', 'running'];
const GONE: readonly FactValue[] = ['stands', 'gone'];
const BOTH: readonly FactValue[] = ['stands', 'doubt', 'gone'];

function waysOf(rules: Rules, id: FactId, kept: ReadonlySet<FactId>, timers: boolean): readonly FactValue[] {
  const fact = factOf(rules, id);
  if (kept.has(id)) return ONLY;
  if (fact.clock === 'after') return timers ? RUNS : ONLY;
  if (fact.clock === 'within') return GONE;
  // A doubt that a look lifts comes to the same as none; what the look may find is that it is gone.
  if (fact.canLook) return GONE;
  return fact.canBeUndone ? BOTH : DOUBT;
}

function happen(rules: Rules, course: Course, fact: FactId, to: FactValue, happened: Lapse[]): void {
  happened.push({ fact, to });
  if (to === 'running') {
    setValue(rules, course, fact, 'running');
    return;
  }
  const sheet = sheetOf(rules, course);
  if (to === 'gone') writeLoss(rules, [fact], sheet);
  else writeDoubt(rules, [fact], sheet);
}
