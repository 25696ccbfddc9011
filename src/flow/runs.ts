import { changesOfDoubt } from '../rule/change.js';
import {
  applyChanges,
  beginParking,
  type Course,
  completeStep,
  copyCourse,
  endParking,
  factValue,
  inStretch,
  settleNext,
  showStep,
  viewOf,
} from '../rule/course.js';
import { type Next, next } from '../rule/next.js';
import { type FactId, stepAt } from '../rule/rules.js';
import { answerable, lookPlainly } from './life.js';
import type { Likeness } from './likeness.js';
import type { Break, Findings, Ground } from './proof.js';
import { stuckWords, wayWords, wordsOf } from './walk-words.js';

type Path = () => readonly string[];

/** One run under way: what it does to the course, the words for it, and whom to tell when it breaks. */
type Run = {
  readonly course: Course;
  readonly property: Break['property'];
  readonly path: Path;
  readonly trail: string[];
};

/**
 * Runs in which nothing lapses and every answer is good, from states that the walk itself does not branch on: a job
 * parked, a job resumed, a job after a stop. What a run has passed is known to be good and is not run again.
 */
export class Runs {
  /** Steps that a run has shown. */
  readonly shown = new Set<number>();
  /** Questions to the end from states that were run through, by key. */
  private readonly left = new Map<string, number>();
  private readonly parked = new Set<string>();
  private readonly underWay = new Set<string>();
  private most = 0;

  constructor(
    private readonly ground: Ground,
    private readonly likeness: Likeness,
    private readonly findings: Findings,
  ) {}

  /** The longest run of all, in questions. */
  get longest(): number {
    return this.most;
  }

  /** After a stop, or when reality was taken over anew: all but clocks is in doubt, and the job still comes to its end. */
  shaken(from: Course, path: Path): void {
    const run: Run = { course: copyCourse(from), property: 'settle', path, trail: ['all in doubt'] };
    this.doubtAll(run.course);
    this.toEnd(run);
  }

  /** A look found something gone that nobody had reported. */
  denied(from: Course, path: Path): void {
    const course = copyCourse(from);
    if (course.route === 'job') this.toEnd({ course, property: 'settle', path, trail: [] });
    else this.parkOn({ course, property: 'park', path, trail: [] });
  }

  /**
   * Parking, or the landing and then parking: it runs to its end, leaves open only what it lists, and the job that is
   * resumed from there still comes to its end.
   */
  park(from: Course, path: Path): void {
    if (!this.ground.parks) return;
    const { rules } = this.ground;
    const key = this.likeness.parkKey(from);
    if (this.parked.has(key)) return;
    const run: Run = { course: copyCourse(from), property: 'park', path, trail: ['park'] };
    const { course } = run;
    const wet = () => inStretch(rules, (fact) => factValue(rules, course, fact));
    for (let turn = 0; wet(); turn++) {
      if (turn > this.ground.bound) return this.bad(run, 'the landing goes round in a circle');
      const asked = this.turn(run);
      if (asked === null) return;
      if (asked === 'end') break;
    }
    this.begin(course);
    if (this.parkOn(run)) this.parked.add(key);
  }

  /** From within parking to its end and on; whether it was found good. */
  private parkOn(run: Run): boolean {
    const { course } = run;
    const passed: string[] = [];
    for (let turn = 0; ; turn++) {
      const key = this.likeness.parkKey(course);
      if (this.parked.has(key)) break;
      passed.push(key);
      if (turn > this.ground.bound) {
        this.bad(run, 'parking goes round in a circle');
        return false;
      }
      const asked = this.turn(run);
      if (asked === null) return false;
      if (asked !== 'end') continue;
      this.atRest(run);
      break;
    }
    for (const key of passed) this.parked.add(key);
    return true;
  }

  /** Begins parking in place, with the choices that the walk keeps. */
  begin(course: Course): void {
    beginParking(this.ground.rules, course);
    course.choices = this.likeness.chosen(course.choices);
  }

  /** At the end of parking: what is open is listed, and the job goes on from here once it is resumed. */
  atParkEnd(from: Course, path: Path): void {
    this.atRest({ course: copyCourse(from), property: 'park', path, trail: [] });
  }

  private atRest(run: Run): void {
    const { rules, parkLeaves } = this.ground;
    const { course } = run;
    for (const fact of rules.facts) {
      if (!fact.opening || parkLeaves.has(fact.id)) continue;
      if (factValue(rules, course, fact.id) !== 'gone') this.bad(run, `${fact.id} is left open by parking`);
    }
    endParking(course);
    const made = Object.entries(course.choices).filter(([name]) => !name.startsWith('open:'));
    course.choices = this.likeness.chosen(Object.fromEntries(made));
    this.doubtAll(course);
    run.trail.push('resume');
    this.toEnd(run);
  }

  private doubtAll(course: Course): void {
    const { rules, kept } = this.ground;
    const shaken = rules.facts.filter((fact) => fact.kind !== 'clock' && !kept.has(fact.id));
    const values = (fact: FactId) => factValue(rules, course, fact);
    const facts = shaken.map((fact) => fact.id);
    applyChanges(rules, course, changesOfDoubt(rules, facts, values));
  }

  /** Questions to the end; `null` when it breaks on the way, which is told. */
  private toEnd(run: Run): number {
    const { course } = run;
    const passed = new Map<string, number>();
    let asked = 0;
    let all = 0;
    for (;;) {
      this.likeness.letGo(course);
      const key = this.likeness.key(course);
      const known = this.left.get(key);
      if (known !== undefined) {
        all = Math.max(all, asked + known);
        break;
      }
      if (passed.has(key)) {
        this.bad(run, 'the job goes round in a circle');
        return all;
      }
      // Under way further up, where the vehicle was another: that run tells its own circles.
      if (this.underWay.has(key)) break;
      passed.set(key, asked);
      this.underWay.add(key);
      all = Math.max(all, asked + this.others(run, this.likeness.ahead(course)));
      const more = this.turn(run);
      if (more === null) return all;
      if (more === 'end') {
        all = Math.max(all, asked);
        break;
      }
      asked += more;
    }
    for (const [key, before] of passed) {
      this.left.set(key, all - before);
      this.underWay.delete(key);
    }
    this.most = Math.max(this.most, all);
    if (all > this.ground.bound) this.bad(run, `more than ${this.ground.bound} questions to the end`);
    return all;
  }

  /** The same run with the vehicle's choices made otherwise: the most questions to an end. */
  private others(run: Run, [own, ...others]: readonly Course[]): number {
    let most = 0;
    if (own === undefined) return most;
    for (const one of others) {
      const course = copyCourse(one);
      // Held as it is until its step has come: else it would be let go again at once.
      const other = { ...run, course, trail: [...run.trail] };
      const more = this.turn(other);
      if (more === 'end' || more === null) continue;
      most = Math.max(most, more + this.toEnd(other));
    }
    return most;
  }

  /** One good turn in place: the questions it asked, `end` at the end, null when it broke. */
  private turn(run: Run): number | 'end' | null {
    const { rules } = this.ground;
    const { course, trail } = run;
    const what = next(
      rules,
      viewOf(rules, course, (fact) => lookPlainly(rules, course, fact)),
    );
    switch (what.do) {
      case 'end':
        return 'end';
      case 'stuck':
        this.bad(run, stuckWords(rules, what), stepAt(rules, what.index).id);
        return null;
      case 'show': {
        const step = stepAt(rules, what.index);
        this.shown.add(what.index);
        trail.push(`${step.id} answered`);
        showStep(rules, course, what.index);
        // Else it is shown once more, and the circle is told.
        if (!answerable(rules, course, what.index)) return 1;
        completeStep(rules, course, what.index, step.sets?.options[0]);
        if (step.sets !== null) course.choices = this.likeness.chosen(course.choices);
        return 1;
      }
      case 'reopen':
        if (course.route === 'job') this.otherWaysBack(run, what);
        trail.push(wordsOf(rules, what));
        settleNext(rules, course, what);
        return 0;
      default:
        trail.push(wordsOf(rules, what));
        settleNext(rules, course, what);
        return what.do === 'look' ? 1 : 0;
    }
  }

  /** Which step is opened again may turn on choices of the vehicle that lie behind: each other way is run too. */
  private otherWaysBack(run: Run, what: Next): void {
    const { rules } = this.ground;
    const known = new Set([wayWords(what)]);
    for (const one of this.likeness.behind(run.course)) {
      if (one === run.course) continue;
      const course = copyCourse(one);
      const other = next(
        rules,
        viewOf(rules, course, (fact) => lookPlainly(rules, course, fact)),
      );
      if (known.has(wayWords(other))) continue;
      known.add(wayWords(other));
      const trail = [...run.trail, wordsOf(rules, other)];
      if (other.do === 'stuck') {
        this.bad({ ...run, trail }, stuckWords(rules, other), stepAt(rules, other.index).id);
        continue;
      }
      settleNext(rules, course, other);
      this.toEnd({ ...run, course, trail });
    }
  }

  private bad(run: Run, problem: string, step: string | null = null): void {
    this.findings.report(run.property, problem, step, [...run.path(), ...run.trail]);
  }
}
