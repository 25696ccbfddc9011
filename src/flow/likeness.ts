import {
  appliesIn,
  type Course,
  copyCourse,
  copyOver,
  givenBy,
  newCourse,
  openChoices,
  viewOf,
} from '../rule/course.js';
import { type Next, next } from '../rule/next.js';
import { type Choices, FACT_VALUES, openKey, placeOf, stepAt } from '../rule/rules.js';
import { type BroughtChoice, waysOf } from './brought.js';
import { type FactPlan, openingsEnded, planFacts, readByParking, readBySmoothParking } from './fact-plan.js';
import type { Lapse } from './life.js';
import type { Ground } from './proof.js';
import { Turning } from './turning.js';
import { wayWords } from './walk-words.js';

const RUNNING = FACT_VALUES.indexOf('running');
const STANDS = FACT_VALUES.indexOf('stands');
const DOUBT = FACT_VALUES.indexOf('doubt');
const GONE = FACT_VALUES.indexOf('gone');

/** Choices, with what is asked of them again and again. */
type Made = {
  readonly number: number;
  /** By index of step: 1 where it belongs to the job. */
  readonly applies: Uint8Array;
  /** By group of `Ground.brought` and how many of its readers are passed: the choices that need not be known. */
  readonly free: (readonly BroughtChoice[])[][];
  /** The choices at parking, by what stands open. */
  readonly open: Map<string, Choices>;
  /** The choices without what stood open at parking. */
  closed: Choices | null;
};

/** A way on, and the course with the choices that lead to it. */
export type WayBack = { readonly what: Next; readonly course: Course };

const NONE: readonly BroughtChoice[] = [];

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
  private readonly smoothReads: Uint8Array;
  private readonly smoothNeeds: readonly number[];
  private readonly noStops: readonly number[];
  private readonly turning: Turning;
  /** A course to work on. */
  private readonly plainest: Course;
  /** `madeToPark`, by group and how many readers are passed. */
  private readonly parkMade: (readonly number[])[][];
  private readonly choices = new Map<string, Choices>();
  private readonly madeOf = new Map<Choices, Made>();
  private readonly openings: readonly number[];
  /** Steps with a need that can be met in several ways. */
  private readonly several: readonly boolean[];
  private readonly ways = new Map<string, readonly Choices[]>();

  constructor(private readonly ground: Ground) {
    const { rules } = ground;
    this.facts = planFacts(ground);
    this.closes = openingsEnded(rules);
    this.parkReads = readByParking(ground);
    const smooth = readBySmoothParking(ground);
    this.smoothReads = smooth.asIs;
    this.smoothNeeds = smooth.all;
    this.noStops = rules.facts.flatMap((fact, index) => (fact.noStop ? [index] : []));
    this.turning = new Turning(ground);
    this.plainest = newCourse(rules, {}, []);
    this.parkMade = ground.brought.map(() => []);
    this.several = rules.steps.map(({ needs }) => needs.some((need) => need.length > 1));
    this.openings = rules.facts.flatMap((fact, index) => (fact.opening ? [index] : []));
    this.mayApply = rules.steps.map((step) =>
      step.when.some((condition) => ground.made.has(condition.reads)),
    );
  }

  /** The choices that some step reads, one object for all that are alike. */
  chosen(choices: Choices): Choices {
    if (this.madeOf.has(choices)) return choices;
    const kept = this.ground.reads.flatMap((name) => {
      const made = choices[name];
      return made === undefined ? [] : [[name, made] as const];
    });
    const text = kept.map((pair) => pair.join('=')).join(',');
    let known = this.choices.get(text);
    if (known === undefined) {
      known = Object.fromEntries(kept);
      this.choices.set(text, known);
      this.made(known);
    }
    return known;
  }

  /** The choices with what stands open now, as the steps of parking read it. */
  openAtParking({ values, choices }: Course): Choices {
    let bits = '';
    for (const opening of this.openings) bits += values[opening] === GONE ? 0 : 1;
    const { open } = this.made(choices);
    let known = open.get(bits);
    if (known === undefined) {
      const { rules } = this.ground;
      known = this.chosen({
        ...choices,
        ...openChoices(rules, (fact) => FACT_VALUES[values[placeOf(rules, fact)] ?? GONE] ?? 'gone'),
      });
      open.set(bits, known);
    }
    return known;
  }

  /** The choices without what stood open when parking began. */
  afterParking(choices: Choices): Choices {
    const made = this.made(choices);
    if (made.closed === null) {
      const others = Object.entries(choices).filter(([name]) => !name.startsWith(openKey('')));
      made.closed = this.chosen(Object.fromEntries(others));
    }
    return made.closed;
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

  private letGoOf(course: Course, which: (group: number) => boolean): void {
    if (course.route !== 'job') return;
    let choices: Record<string, string> | null = null;
    for (let at = 0; at < this.ground.brought.length; at++) {
      const free = this.freeIn(course, at);
      if (free.length === 0 || !which(at)) continue;
      for (const choice of free) {
        const first = choice.options[0];
        for (const reader of choice.readers) {
          if (reader > course.front) break;
          course.closed[reader] = 1;
        }
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

  /** The course with every way to have made the choices that are let go; itself first. */
  inAllWays(course: Course): readonly Course[] {
    return this.inEveryWay(course, () => true);
  }

  /**
   * How it goes on from here: `what`, found in `course`, and each other way that there is with the choices made
   * otherwise that were let go. They decide which maker is the last one and whether it can be shown: so which step is
   * opened again, and of a need with several ways also which of them is taken. That a need stands they do not decide,
   * and where another step comes next it is a matter of `ahead`.
   */
  waysBack(course: Course, what: Next, together: boolean): readonly WayBack[] {
    const ways: WayBack[] = [{ what, course }];
    if (what.do !== 'reopen' && what.do !== 'stuck' && what.do !== 'look' && what.do !== 'wait') return ways;
    if ((what.do === 'look' || what.do === 'wait') && !this.several[what.index]) return ways;
    const turning = this.turning.of(course, what.index);
    if (turning.size === 0) return ways;
    const all = this.inEveryWay(
      course,
      ({ name, readers }) => turning.has(name) && (readers[0] ?? 0) <= course.front,
    );
    if (all.length === 1) return ways;
    const known = new Set([wayWords(what)]);
    for (const one of all) {
      if (one === course) continue;
      // As it is: a timer that still runs is what went wrong here.
      const other = next(this.ground.rules, viewOf(this.ground.rules, one), together);
      if (other.do === 'end' || other.do === 'show' || other.do === 'close') continue;
      if (other.index !== what.index || known.has(wayWords(other))) continue;
      known.add(wayWords(other));
      ways.push({ what: other, course: copyCourse(one) });
    }
    return ways;
  }

  private inEveryWay(
    course: Course,
    which: (choice: BroughtChoice, group: number) => boolean,
  ): readonly Course[] {
    let part: BroughtChoice[] | null = null;
    for (let at = 0; at < this.ground.brought.length; at++) {
      for (const choice of this.freeIn(course, at)) {
        if (!which(choice, at)) continue;
        part ??= [];
        part.push(choice);
      }
    }
    if (part === null) return [course];
    return this.waysIn(part, course.choices).map((choices) =>
      choices === course.choices ? course : { ...course, choices },
    );
  }

  private waysIn(part: readonly BroughtChoice[], made: Choices): readonly Choices[] {
    const key = `${this.made(made).number} ${part.map(({ name }) => name).join(' ')}`;
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

  private freeIn(course: Course, at: number): readonly BroughtChoice[] {
    const group = this.ground.brought[at];
    if (group === undefined || course.route !== 'job') return NONE;
    const { front, closed } = course;
    const { applies, free } = this.made(course.choices);
    let passed = 0;
    for (const reader of group.readers) {
      if (reader > front) break;
      if (closed[reader] === 0 && applies[reader] === 1) return NONE;
      passed++;
    }
    const known = free[at]?.[passed];
    if (known !== undefined) return known;
    const found = group.free(passed, course.choices);
    const ofGroup = free[at];
    if (ofGroup !== undefined) ofGroup[passed] = found;
    return found;
  }

  /** What is asked of choices again and again; they must come from `chosen`. */
  private made(choices: Choices): Made {
    const known = this.madeOf.get(choices);
    if (known !== undefined) return known;
    const made: Made = {
      number: this.madeOf.size,
      applies: givenBy(this.ground.rules, choices).applies,
      free: this.ground.brought.map(() => []),
      open: new Map(),
      closed: null,
    };
    this.madeOf.set(choices, made);
    return made;
  }

  /** Two courses with the same key go on alike. Their choices must come from `chosen`. */
  key(course: Course): string {
    return this.keyWith(course, null);
  }

  /**
   * Two courses with the same key are parked alike and go on alike once resumed. The resume puts in doubt all that is
   * not gone, so of a fact that parking itself does not turn on it matters only whether it is gone.
   */
  parkKey(course: Course): string {
    return this.keyWith(course, this.parkReads);
  }

  /**
   * The same for a job that is about to park, and also a key under which it is parked like every other as long as
   * parking opens no step again: what the makers of its needs turn on says nothing then.
   */
  parkKeys(course: Course): { readonly exact: string; readonly smooth: string | null } {
    // A landing comes first, and turns on all that its steps need.
    if (this.isWet(course)) return { exact: this.keyWith(course, null), smooth: null };
    copyOver(course, this.plainest);
    this.letGoToPark(this.plainest);
    return {
      exact: this.keyWith(this.plainest, this.parkReads),
      smooth: this.keyWith(this.plainest, this.smoothReads),
    };
  }

  /**
   * Of a job that has just begun to park. As long as parking opens no step again, it turns on nothing else: on what
   * stood open, and on the facts that its steps depend on, whose grounds are all among them.
   */
  smoothSign({ values, choices }: Course): string {
    const codes = [this.made(choices).number];
    for (const index of this.smoothNeeds) codes.push(values[index] ?? 0);
    return String.fromCharCode(...codes);
  }

  private isWet({ values }: Course): boolean {
    for (const index of this.noStops) if (values[index] !== GONE) return true;
    return false;
  }

  /** Lets go of the choices that parking does not turn on; the resume takes them in every way. */
  private letGoToPark(course: Course): void {
    this.letGoOf(course, (group) => this.untouched(course, group));
  }

  /** The same for a parking with lapses in it: only of choices that say nothing of any maker parking could call for. */
  letGoToParkAtAll(course: Course): void {
    this.letGoOf(course, (at) => this.madeToPark(at, this.passedOf(course, at)).length === 0);
  }

  /** The course with every way to have made the choices, of those let go, that parking turns on; itself first. */
  toPark(course: Course): readonly Course[] {
    return this.inEveryWay(course, (_, group) => !this.untouched(course, group));
  }

  /** Nothing that the steps of these choices have made will have to be made again while parking. */
  private untouched(course: Course, at: number): boolean {
    const { values } = course;
    for (const index of this.madeToPark(at, this.passedOf(course, at))) {
      const fact = this.facts[index];
      if (fact === undefined || values[index] === GONE || !(fact.clock || fact.canLook)) return false;
    }
    return true;
  }

  private passedOf({ front }: Course, at: number): number {
    const readers = this.ground.brought[at]?.readers ?? [];
    let passed = 0;
    while ((readers[passed] ?? front + 1) <= front) passed++;
    return passed;
  }

  /** Facts that parking turns on and that the first so many readers of a group make. */
  private madeToPark(at: number, passed: number): readonly number[] {
    const ofGroup = this.parkMade[at];
    let found = ofGroup?.[passed];
    if (found === undefined) {
      const { rules, brought } = this.ground;
      const readers = brought[at]?.readers.slice(0, passed) ?? [];
      const made = new Set(readers.flatMap((reader) => stepAt(rules, reader).makes));
      found = rules.facts.flatMap(({ id }, index) =>
        this.parkReads[index] === 1 && made.has(id) ? [index] : [],
      );
      if (ofGroup !== undefined) ofGroup[passed] = found;
    }
    return found;
  }

  private keyWith(course: Course, reads: Uint8Array | null): string {
    const { values, closed, shelved, front } = course;
    const { steps } = this.ground.rules;
    const { number, applies } = this.made(course.choices);
    const codes: number[] = [course.route === 'job' ? 1 : 2, front + 2, number];
    // The steps of parking come after those of the job.
    const last = course.route === 'job' ? front : closed.length - 1;
    for (let index = 0; index <= last; index++) {
      if (closed[index] === 1 || (index > front && steps[index]?.route !== 'park')) continue;
      // A step left out for good is neither open nor closed.
      if (applies[index] === 0 && !this.mayApply[index]) continue;
      codes.push(2 * index + (shelved[index] ?? 0) + 8);
    }
    codes.push(7);
    let packed = 1;
    for (let index = 0; index < values.length; index++) {
      let value = values[index] ?? 0;
      if (value === DOUBT && reads !== null && reads[index] === 0) value = STANDS;
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
    return (
      index <= course.front && course.closed[index] === 0 && this.made(course.choices).applies[index] === 1
    );
  }
}
