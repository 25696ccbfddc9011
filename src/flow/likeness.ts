import { appliesIn, type Course } from '../rule/course.js';
import type { Next } from '../rule/next.js';
import { type Choices, FACT_VALUES, stepAt } from '../rule/rules.js';
import { type Brought, type BroughtChoice, waysOf } from './brought.js';
import { type FactPlan, openingsEnded, planFacts, readByParking } from './fact-plan.js';
import type { Lapse } from './life.js';
import type { Ground } from './proof.js';

const RUNNING = FACT_VALUES.indexOf('running');
const STANDS = FACT_VALUES.indexOf('stands');
const DOUBT = FACT_VALUES.indexOf('doubt');
const GONE = FACT_VALUES.indexOf('gone');

/**
 * Which courses the checker takes for one another. Everything here must leave the verdict as it is; a property test
 * holds it against a walk that leaves nothing out.
 */
export class Likeness {
  private readonly facts: readonly FactPlan[];
  /** For each step of the job the openings it ends, by number. */
  private readonly closes: readonly (readonly number[])[];
  /** Steps whose conditions can come true later in the job, because a step of it makes a choice they read. */
  private readonly mayApply: readonly boolean[];
  /** Facts that parking turns on: needs of its steps, what those rest on, and what their makers need in turn. */
  private readonly parkReads: Uint8Array;
  private readonly choices = new Map<string, Choices>();
  private readonly names = new Map<Choices, number>();
  private readonly ways = new Map<string, readonly Choices[]>();

  constructor(private readonly ground: Ground) {
    const { rules } = ground;
    this.facts = planFacts(ground);
    this.closes = openingsEnded(rules);
    this.parkReads = readByParking(ground);
    this.mayApply = rules.steps.map((step) =>
      step.when.some((condition) => ground.made.has(condition.reads)),
    );
  }

  /** The choices that some step reads, one object for all that are alike. */
  chosen(choices: Choices): Choices {
    const kept = this.ground.reads.flatMap((name) => {
      const made = choices[name];
      return made === undefined ? [] : [[name, made] as const];
    });
    const text = kept.map((pair) => pair.join('=')).join(',');
    let known = this.choices.get(text);
    if (known === undefined) {
      known = Object.fromEntries(kept);
      this.choices.set(text, known);
      this.names.set(known, this.names.size);
    }
    return known;
  }

  /**
   * A choice of the vehicle is let go where it makes no difference: while none of its steps is reached, and where those
   * passed make and end the same facts whichever way it was made and none of them is open. It matters again when one
   * of its steps comes next (`ahead`) or may be opened again (`behind`), and is then taken in every way. A job may so
   * seem to change its vehicle between two detours, which is more than can happen and never less.
   */
  letGo(course: Course): void {
    this.letGoOf(course, () => true);
  }

  private letGoOf(course: Course, which: (group: Brought) => boolean): void {
    let choices: Record<string, string> | null = null;
    for (const group of this.ground.brought) {
      const free = this.freeIn(course, group);
      if (free.length === 0 || !which(group)) continue;
      for (const choice of free) {
        const first = choice.options[0];
        for (const reader of choice.readers) if (reader <= course.front) course.closed[reader] = 1;
        if (first === undefined || course.choices[choice.name] === first) continue;
        choices = { ...(choices ?? course.choices), [choice.name]: first };
      }
    }
    if (choices !== null) course.choices = this.chosen(choices);
  }

  /**
   * The course with every way to have made the choices, of those let go, whose step may be the very next; itself first.
   * All share its arrays: copy before a change.
   */
  ahead(course: Course): readonly Course[] {
    return this.inEveryWay(course, (choice) => this.comesNext(course, choice));
  }

  /** The course with every way to have made the choices, of those let go, that a step behind has read; itself first. */
  behind(course: Course): readonly Course[] {
    return this.inEveryWay(course, ({ readers }) => (readers[0] ?? 0) <= course.front);
  }

  private inEveryWay(
    course: Course,
    which: (choice: BroughtChoice, group: Brought) => boolean,
  ): readonly Course[] {
    const part = this.ground.brought.flatMap((group) =>
      this.freeIn(course, group).filter((choice) => which(choice, group)),
    );
    if (part.length === 0) return [course];
    return this.waysIn(part, course.choices).map((choices) =>
      choices === course.choices ? course : { ...course, choices },
    );
  }

  private waysIn(part: readonly BroughtChoice[], made: Choices): readonly Choices[] {
    const key = `${this.names.get(made) ?? 0} ${part.map(({ name }) => name).join(' ')}`;
    let found = this.ways.get(key);
    if (found === undefined) {
      found = waysOf(part, made).map((choices) => (choices === made ? made : this.chosen(choices)));
      this.ways.set(key, found);
    }
    return found;
  }

  /** No other step is open before the first of its steps that is still to come. */
  private comesNext({ front, closed }: Course, { readers }: BroughtChoice): boolean {
    const reader = readers.find((one) => one > front);
    if (reader === undefined) return false;
    for (let index = 0; index < reader; index++) {
      if (closed[index] === 0 && this.ground.rules.steps[index]?.when.length === 0) return false;
    }
    return true;
  }

  private freeIn(course: Course, { readers, free }: Brought): readonly BroughtChoice[] {
    if (course.route !== 'job') return [];
    let passed = 0;
    for (const reader of readers) {
      if (reader > course.front) break;
      if (this.isOpen(course, reader)) return [];
      passed++;
    }
    return free(passed, course.choices);
  }

  /** Two courses with the same key go on alike. Their choices must come from `chosen`. */
  key(course: Course): string {
    return this.keyWith(course, false);
  }

  /**
   * Two courses with the same key are parked alike and go on alike once resumed. The resume puts in doubt all that is
   * not gone, so of a fact that parking itself does not turn on it matters only whether it is gone.
   */
  parkKey(course: Course): string {
    // A landing comes first, and turns on all that its steps need.
    const wet = this.facts.some((fact, index) => fact.noStop && course.values[index] !== GONE);
    if (course.route === 'job' && wet) return this.keyWith(course, false);
    if (course.route !== 'job') return this.keyWith(course, true);
    const plainest = { ...course, closed: course.closed.slice() };
    this.letGoToPark(plainest);
    return this.keyWith(plainest, true);
  }

  /** Lets go of the choices that parking does not turn on; the resume takes them in every way. */
  letGoToPark(course: Course): void {
    this.letGoOf(course, (group) => this.untouched(course, group));
  }

  /** The course with every way to have made the choices, of those let go, that parking turns on; itself first. */
  toPark(course: Course): readonly Course[] {
    return this.inEveryWay(course, (_, group) => !this.untouched(course, group));
  }

  /** Nothing that the steps of these choices have made will have to be made again while parking. */
  private untouched(course: Course, { readers }: Brought): boolean {
    const { rules } = this.ground;
    const made = new Set(
      readers.flatMap((reader) => (reader <= course.front ? (rules.steps[reader]?.makes ?? []) : [])),
    );
    return rules.facts.every(({ id }, index) => {
      if (this.parkReads[index] === 0 || !made.has(id)) return true;
      const fact = this.facts[index];
      return fact !== undefined && course.values[index] !== GONE && (fact.clock || fact.canLook);
    });
  }

  private keyWith(course: Course, parking: boolean): string {
    const { values, closed, shelved, front } = course;
    const { steps } = this.ground.rules;
    const codes: number[] = [course.route === 'job' ? 1 : 2, front + 2, this.names.get(course.choices) ?? 0];
    for (let index = 0; index < closed.length; index++) {
      if (closed[index] === 1) continue;
      if (steps[index]?.route === 'park' ? course.route === 'job' : index > front) continue;
      // A step left out for good is neither open nor closed.
      if (!this.mayApply[index] && !appliesIn(this.ground.rules, course, index)) continue;
      codes.push(2 * index + (shelved[index] ?? 0) + 8);
    }
    codes.push(7);
    let packed = 1;
    for (let index = 0; index < values.length; index++) {
      let value = values[index] ?? 0;
      if (parking && value === DOUBT && this.parkReads[index] === 0) value = STANDS;
      // A timer that runs and one that has ended go on alike: it may end at each look.
      packed = packed * 4 + (value === RUNNING ? STANDS : value);
      if (packed >= 16384) {
        codes.push(packed);
        packed = 1;
      }
    }
    codes.push(packed);
    return String.fromCharCode(...codes);
  }

  /**
   * A doubt that one look lifts, or whose own step is open before the front anyway, makes no difference to where the
   * job can go: the look, or the step, comes first. It is taken as standing, which the next look may still deny.
   */
  plain(course: Course): void {
    const { values } = course;
    for (let index = 0; index < values.length; index++) {
      if (values[index] !== DOUBT) continue;
      const fact = this.facts[index];
      if (fact === undefined || fact.kept) continue;
      const looked = fact.canLook && fact.grounds.every((ground) => values[ground] !== GONE);
      if (looked || fact.makers.some((maker) => this.isOpen(course, maker))) values[index] = STANDS;
    }
  }

  /**
   * When something lapses, what was in doubt before is left to be found again: whatever needs it looks at it first,
   * and it may then be in doubt once more. The same goes for steps that were opened again for it and are still open.
   * Kept are what acts have ended, clocks that fell, doubts about what cannot lapse by itself, and steps that have an
   * opening to close. This is what keeps lapses within lapses from multiplying: every real run is still a run of the
   * walk, with the same lapse found once more.
   */
  forget(course: Course): void {
    const { values } = course;
    for (let index = 0; index < values.length; index++) {
      const fact = this.facts[index];
      if (fact === undefined || fact.kept || values[index] === STANDS) continue;
      if (fact.grounds.some((ground) => values[ground] === GONE)) continue;
      if (values[index] === DOUBT && !fact.clock) values[index] = STANDS;
      // A proof that is gone and one in doubt are both made again; so is a clock that fell with its ground.
      else if (values[index] === GONE && fact.loses && this.wasMade(course, fact)) values[index] = STANDS;
    }
    for (let index = 0; index < course.front; index++) {
      if (!this.isOpen(course, index) || stepAt(this.ground.rules, index).route === 'park') continue;
      const closing = this.closes[index]?.some((fact) => values[fact] !== GONE) ?? false;
      if (!closing) course.closed[index] = 1;
    }
  }

  private wasMade(course: Course, fact: FactPlan): boolean {
    const { rules } = this.ground;
    return fact.makers.some((maker) => maker <= course.front && appliesIn(rules, course, maker));
  }

  /** Waits that are gone in one course are gone in the other too, if no lapse of their own would find that again. */
  fall(from: Course, to: Course): void {
    this.facts.forEach((fact, index) => {
      if (fact.clock && !fact.loses && from.values[index] === GONE) to.values[index] = GONE;
    });
  }

  /**
   * Of the steps that were forgotten, those that close an opening which the steps opened now will make: the rules
   * opened no second time what was open then.
   */
  remember(before: Course, course: Course, what: Next): void {
    if (what.do !== 'reopen') return;
    const { rules } = this.ground;
    const made = new Set(what.steps.flatMap((index) => stepAt(rules, index).makes));
    for (let index = 0; index <= course.front; index++) {
      if (before.closed[index] === 1 || course.closed[index] === 0) continue;
      const closes = this.closes[index]?.some((fact) => made.has(rules.facts[fact]?.id ?? '')) ?? false;
      if (closes) course.closed[index] = 0;
    }
  }

  /** Seen gone only by a look, not by what people report: it is followed to the end, without further lapses. */
  isDenial({ fact, to }: Lapse): boolean {
    const rule = this.ground.rules.fact.get(fact);
    return to === 'gone' && rule !== undefined && rule.canLook && !rule.canBeUndone;
  }

  private isOpen(course: Course, index: number): boolean {
    return index <= course.front && course.closed[index] === 0 && appliesIn(this.ground.rules, course, index);
  }
}
