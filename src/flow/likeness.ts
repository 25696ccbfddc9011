import { appliesIn, type Course } from '../rule/course.js';
import type { Next } from '../rule/next.js';
import { type Choices, FACT_VALUES, stepAt } from '../rule/rules.js';
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
   * A choice of the vehicle that lies behind, all its steps passed and none of them open, is let go: it matters again
   * only when one of those steps is opened again, and is then taken in every way (`variants`). A job may so seem to
   * change its vehicle between two detours, which is more than can happen and never less.
   */
  letGo(course: Course): void {
    let choices: Record<string, string> | null = null;
    for (const { name, options, readers } of this.ground.brought) {
      if (!this.isBehind(course, readers)) continue;
      for (const reader of readers) course.closed[reader] = 1;
      const first = options[0];
      if (first === undefined || course.choices[name] === first) continue;
      choices = { ...(choices ?? course.choices), [name]: first };
    }
    if (choices !== null) course.choices = this.chosen(choices);
  }

  /** The course with every way in which the choices that were let go may have been made; itself first. */
  variants(course: Course): Course[] {
    let found = [course];
    for (const { name, options, readers } of this.ground.brought) {
      if (!this.isBehind(course, readers)) continue;
      found = found.flatMap((one) =>
        options.map((option) =>
          one.choices[name] === option
            ? one
            : { ...one, choices: this.chosen({ ...one.choices, [name]: option }) },
        ),
      );
    }
    return found;
  }

  private isBehind(course: Course, readers: readonly number[]): boolean {
    if (course.route !== 'job' || readers.some((reader) => reader > course.front)) return false;
    return !readers.some((reader) => this.isOpen(course, reader));
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
    if (course.route !== 'job' || !this.untouched(course)) return this.keyWith(course, true);
    const plainest = { ...course, closed: course.closed.slice() };
    this.letGo(plainest);
    return this.keyWith(plainest, true);
  }

  /** Nothing that the steps of a choice have made will have to be made again while parking or after the resume. */
  untouched(course: Course): boolean {
    return this.facts.every(
      (fact, index) => !fact.chosen || (course.values[index] !== GONE && (fact.clock || fact.canLook)),
    );
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
