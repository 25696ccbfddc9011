import { writeDoubt } from '../rule/change.js';
import {
  type Course,
  completeStep,
  copyCourse,
  copyOver,
  endParking,
  factValue,
  inStretch,
  settleNext,
  sheetOf,
  shelve,
  showStep,
  viewOf,
} from '../rule/course.js';
import { firstOpen, type Next } from '../rule/next.js';
import { type FactId, stepAt } from '../rule/rules.js';
import { answerable, plainly } from './life.js';
import type { Likeness } from './likeness.js';
import type { Break, Findings, Ground } from './proof.js';
import { stuckWords, wordsOf } from './walk-words.js';

type Path = () => readonly string[];

/** One run under way: what it does to the course, the way it went, and whom to tell when it breaks. */
type Run = {
  readonly course: Course;
  readonly property: Break['property'];
  readonly path: Path;
  readonly trail: (string | Next)[];
};

/** Whether parking had to open steps again. */
type Parking = 'smooth' | 'rough';

/**
 * Runs in which nothing lapses and every answer is good, from states that the walk itself does not branch on: a job
 * parked, a job resumed, a job after a stop. What a run has passed is known to be good and is not run again.
 */
export class Runs {
  /** Steps that a run has shown. */
  readonly shown = new Set<number>();
  /** Questions to the end from states that were run through, by key. */
  private readonly left = new Map<string, number>();
  private readonly parked = new Map<string, Parking>();
  /** Jobs about to park that no parking opens a step of again (`Likeness.parkKeys`). */
  private readonly smooth = new Set<string>();
  /** How parking goes that opens no step again (`Likeness.smoothSign`). */
  private readonly routes = new Map<string, readonly Next[]>();
  /** States of the runs that are not at their end yet, one inside the other. */
  private readonly underWay = new Set<string>();
  /** Courses to run on, given back at the end: a run is not worth new ones. */
  private readonly spare: Course[] = [];
  /** What a stop puts in doubt. */
  private readonly shaky: readonly FactId[];
  private most = 0;

  constructor(
    private readonly ground: Ground,
    private readonly likeness: Likeness,
    private readonly findings: Findings,
  ) {
    const { rules, kept } = ground;
    this.shaky = rules.facts.filter(({ id, kind }) => kind !== 'clock' && !kept.has(id)).map(({ id }) => id);
  }

  /** The longest run of all, in questions. */
  get longest(): number {
    return this.most;
  }

  /** After a stop, or when reality was taken over anew: all but clocks is in doubt, and the job still comes to its end. */
  shaken(from: Course, path: Path): void {
    this.onCopy(from, (course) => {
      this.doubtAll(course);
      this.toEnd({ course, property: 'settle', path, trail: ['all in doubt'] });
    });
  }

  /** A look found something gone that nobody had reported. */
  denied(from: Course, path: Path): void {
    this.onCopy(from, (course) => {
      if (course.route === 'job') this.toEnd({ course, property: 'settle', path, trail: [] });
      else this.parkOn({ course, property: 'park', path, trail: [] }, null);
    });
  }

  /**
   * Parking, or the landing and then parking: it runs to its end, leaves open only what it lists, and the job that is
   * resumed from there still comes to its end.
   */
  park(from: Course, path: Path): void {
    if (!this.ground.parks) return;
    const { exact, smooth } = this.likeness.parkKeys(from);
    if (this.parked.has(exact) || (smooth !== null && this.smooth.has(smooth))) return;
    this.onCopy(from, (course) => {
      const run: Run = { course, property: 'park', path, trail: ['park'] };
      if (!this.land(run)) return;
      this.begin(course);
      const how = this.parkAll(run);
      if (how === null) return;
      this.parked.set(exact, how);
      if (smooth !== null && how === 'smooth') this.smooth.add(smooth);
    });
  }

  /** In a stretch without stops the moves to the landing come first; whether they come to an end. */
  private land(run: Run): boolean {
    const { rules } = this.ground;
    const wet = () => inStretch(rules, (fact) => factValue(rules, run.course, fact));
    for (let turn = 0; wet(); turn++) {
      if (turn > this.ground.bound) {
        this.bad(run, 'the landing goes round in a circle');
        return false;
      }
      const asked = this.turn(run);
      if (asked === null) return false;
      if (asked === 'end') break;
    }
    return true;
  }

  /** All of parking from its first step on; where it can only go as it went before it is not decided anew. */
  private parkAll(run: Run): Parking | null {
    const { rules } = this.ground;
    const { course, trail } = run;
    const sign = this.likeness.smoothSign(course);
    const known = this.routes.get(sign);
    if (known === undefined) return this.parkOn(run, sign);
    for (const turn of known) {
      trail.push(turn);
      if (turn.do === 'show') {
        showStep(rules, course, turn.index);
        this.complete(course, turn.index);
      } else settleNext(rules, course, turn);
    }
    this.atRest(run);
    return 'smooth';
  }

  private complete(course: Course, index: number): void {
    const { sets } = stepAt(this.ground.rules, index);
    completeStep(this.ground.rules, course, index, sets?.options[0]);
    if (sets !== null) course.choices = this.likeness.chosen(course.choices);
  }

  /** From within parking to its end and on; null when it broke. With a sign from its first step on. */
  private parkOn(run: Run, sign: string | null): Parking | null {
    const { course, trail } = run;
    const passed: string[] = [];
    const went: Next[] = [];
    let how = 'smooth' as Parking;
    for (let turn = 0; ; turn++) {
      const key = this.likeness.parkKey(course);
      // To its very end where it is not known yet how it goes.
      const known = sign === null || how === 'rough' ? this.parked.get(key) : undefined;
      if (known === 'rough') how = known;
      if (known !== undefined) break;
      passed.push(key);
      if (turn > this.ground.bound) {
        this.bad(run, 'parking goes round in a circle');
        return null;
      }
      const asked = this.turn(run);
      if (asked === null) return null;
      if (asked === 'end') {
        if (sign !== null && how === 'smooth') this.routes.set(sign, went);
        this.atRest(run);
        break;
      }
      const last = trail.at(-1);
      if (typeof last !== 'object') continue;
      went.push(last);
      if (last.do === 'reopen') how = 'rough';
    }
    for (const key of passed) this.parked.set(key, how);
    return how;
  }

  /** Begins parking in place, with the choices that the walk keeps. */
  begin(course: Course): void {
    course.choices = this.likeness.openAtParking(course);
    shelve(this.ground.rules, course);
  }

  /** At the end of parking: what is open is listed, and the job goes on from here once it is resumed. */
  atParkEnd(from: Course, path: Path): void {
    this.onCopy(from, (course) => this.atRest({ course, property: 'park', path, trail: [] }));
  }

  private atRest(run: Run): void {
    const { rules, parkLeaves } = this.ground;
    const { course } = run;
    for (const fact of rules.facts) {
      if (!fact.opening || parkLeaves.has(fact.id)) continue;
      if (factValue(rules, course, fact.id) !== 'gone') this.bad(run, `${fact.id} is left open by parking`);
    }
    endParking(course);
    course.choices = this.likeness.afterParking(course.choices);
    this.doubtAll(course);
    run.trail.push('resume');
    this.toEnd(run);
  }

  private doubtAll(course: Course): void {
    const { rules } = this.ground;
    writeDoubt(rules, this.shaky, sheetOf(rules, course));
  }

  /**
   * Questions to the end, over every way that the vehicle's choices leave open. A state that is met again before the
   * runs from it are at their end is a circle, also where the vehicle was another in between: told too often rather
   * than not.
   */
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
      if (this.underWay.has(key)) {
        this.bad(run, 'the job goes round in a circle');
        break;
      }
      passed.set(key, asked);
      this.underWay.add(key);
      all = Math.max(all, asked + this.others(run, this.likeness.ahead(course)));
      let more = this.turn(run);
      // A step opened again is shown at once: nothing is decided in between, and no circle is without a question.
      while (more === 0 && this.isDecided(course)) more = this.turn(run);
      if (more === null) break;
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

  /** Whether the next step is the same whatever the vehicle, because it belongs to every job. */
  private isDecided(course: Course): boolean {
    const { rules } = this.ground;
    const index = firstOpen(rules, viewOf(rules, course));
    return index !== null && index <= course.front && stepAt(rules, index).when.length === 0;
  }

  /** The same run with the vehicle's choices made otherwise: the most questions to an end. */
  private others(run: Run, ways: readonly Course[]): number {
    let most = 0;
    // The first is the run's own.
    for (let at = 1; at < ways.length; at++) {
      const way = ways[at];
      if (way === undefined) continue;
      this.onCopy(way, (course) => {
        // Held as it is until its step has come: else it would be let go again at once.
        const other = { ...run, course, trail: [...run.trail] };
        const more = this.turn(other);
        if (more !== 'end' && more !== null) most = Math.max(most, more + this.toEnd(other));
      });
    }
    return most;
  }

  /** One good turn in place: the questions it asked, `end` at the end, null when it broke. */
  private turn(run: Run): number | 'end' | null {
    const { rules } = this.ground;
    const { course, trail } = run;
    const what = plainly(rules, course, true);
    switch (what.do) {
      case 'end':
        return 'end';
      case 'stuck':
        this.bad(run, stuckWords(rules, what), stepAt(rules, what.index).id);
        return null;
      case 'show': {
        this.shown.add(what.index);
        trail.push(what);
        showStep(rules, course, what.index);
        // Else it is shown once more, and the circle is told.
        if (!answerable(rules, course, what.index)) return 1;
        this.complete(course, what.index);
        return 1;
      }
      default:
        this.otherWaysBack(run, what);
        trail.push(what);
        settleNext(rules, course, what);
        return what.do === 'look' ? 1 : 0;
    }
  }

  /** How a need is met again may turn on choices of the vehicle that lie behind: each other way is run too. */
  private otherWaysBack(run: Run, what: Next): void {
    const { rules } = this.ground;
    for (const { what: other, course: from } of this.likeness.waysBack(run.course, what, true)) {
      if (other === what) continue;
      const trail = [...run.trail, other];
      if (other.do === 'stuck') {
        this.bad({ ...run, trail }, stuckWords(rules, other), stepAt(rules, other.index).id);
        continue;
      }
      this.onCopy(from, (course) => {
        settleNext(rules, course, other);
        this.toEnd({ ...run, course, trail });
      });
    }
  }

  private onCopy(from: Course, act: (course: Course) => void): void {
    const spare = this.spare.pop();
    if (spare !== undefined) copyOver(from, spare);
    const course = spare ?? copyCourse(from);
    act(course);
    this.spare.push(course);
  }

  private bad(run: Run, problem: string, step: string | null = null): void {
    const { rules } = this.ground;
    const words = (turn: string | Next) => {
      if (typeof turn === 'string') return turn;
      return turn.do === 'show' ? `${stepAt(rules, turn.index).id} answered` : wordsOf(rules, turn);
    };
    this.findings.report(run.property, problem, step, [...run.path(), ...run.trail.map(words)]);
  }
}
