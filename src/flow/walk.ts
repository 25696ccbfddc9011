import { writeLoss } from '../rule/change.js';
import {
  type Course,
  completeStep,
  copyCourse,
  settleNext,
  sheetOf,
  showStep,
  viewOf,
} from '../rule/course.js';
import { type Next, next } from '../rule/next.js';
import { type FactId, stepAt } from '../rule/rules.js';
import { answerable, endTimers, plainly, type Turn, turns } from './life.js';
import type { Likeness } from './likeness.js';
import { type Findings, type Ground, openAtEnd } from './proof.js';
import type { Runs } from './runs.js';
import { lapseWords, stuckWords, wayWords, wordsOf } from './walk-words.js';

/** A state of the walk: where the job is before the rules are asked what comes next. */
export type Node = {
  readonly course: Course;
  readonly from: Node | null;
  readonly how: () => readonly string[];
  /** The good ways on: nothing lapses and every answer is good. */
  readonly good: { readonly to: Node; readonly asked: number }[];
};

export function pathOf(node: Node): string[] {
  const path: string[] = [];
  for (let at: Node | null = node; at !== null; at = at.from) path.unshift(...at.how());
  return path;
}

/**
 * Where a proof is given up and the flow refused. The largest shipped flow takes a ninth of it; a flow that comes
 * near has facts that can be gone in any mixture, and should have its openings closed sooner.
 */
const MOST_STATES = 60_000;

/**
 * Walks all states of a flow, breadth first. Of each state the good way on is followed as it is. What may lapse is
 * tried once for all states that look the same once earlier lapses are forgotten (`Likeness.forget`) and that show
 * the same step.
 */
export class Walk {
  readonly nodes = new Map<string, Node>();
  readonly shown = new Set<number>();
  /** Steps closed without being shown, because what they make stood already. */
  readonly unshown = new Set<number>();
  private readonly queue: Node[] = [];
  private readonly tried = new Set<string>();

  constructor(
    private readonly ground: Ground,
    private readonly likeness: Likeness,
    private readonly runs: Runs,
    private readonly findings: Findings,
  ) {}

  enter(course: Course, from: Node | null, how: () => readonly string[]): Node {
    this.likeness.plain(course);
    this.likeness.letGo(course);
    const key = this.likeness.key(course);
    const known = this.nodes.get(key);
    if (known !== undefined) return known;
    const node: Node = { course, from, how, good: [] };
    this.nodes.set(key, node);
    this.queue.push(node);
    return node;
  }

  run(): void {
    for (let at = 0; at < this.queue.length; at++) {
      const node = this.queue[at];
      if (node === undefined || this.findings.done) return;
      if (this.nodes.size > MOST_STATES) {
        const problem = `more than ${MOST_STATES} states: too tangled to prove`;
        this.findings.report('settle', problem, null, pathOf(node));
        return;
      }
      const before = new Set<string>();
      for (const course of this.likeness.ahead(node.course)) {
        const what = this.goOn(node, course, before);
        if (what.do !== 'end') this.lapse(node, course, what.index);
      }
    }
  }

  /** The good way on, unless another variant of the node went the same way before. */
  private goOn(node: Node, from: Course, before: Set<string>): Next {
    const { rules } = this.ground;
    const course = copyCourse(from);
    const what = plainly(rules, course, false);
    const way = wayWords(what);
    if (before.has(way)) return what;
    before.add(way);
    this.parkFrom(node, from, what);
    switch (what.do) {
      case 'end':
        if (course.route === 'park') this.runs.atParkEnd(course, () => pathOf(node));
        else openAtEnd(this.ground, this.findings, node.course, () => pathOf(node));
        break;
      case 'show':
        this.answer(node, course, what.index, [], true);
        break;
      default:
        if (what.do === 'close') this.unshown.add(what.index);
        for (const one of this.likeness.waysBack(course, what, false)) {
          if (one.what.do === 'stuck') {
            this.stuck(node, [], one.what);
            continue;
          }
          if (one.what.do === 'look') this.denied(node, one.course, one.what.facts);
          settleNext(rules, one.course, one.what);
          const to = this.enter(one.course, node, () => [wordsOf(rules, one.what)]);
          node.good.push({ to, asked: one.what.do === 'look' ? 1 : 0 });
        }
    }
    return what;
  }

  /** A look that finds it gone. */
  private denied(node: Node, course: Course, facts: readonly FactId[]): void {
    const { rules } = this.ground;
    const lost = copyCourse(course);
    writeLoss(rules, facts, sheetOf(rules, lost));
    this.runs.denied(lost, () => [...pathOf(node), `look at ${facts.join(', ')}: no`]);
  }

  /** All that may have lapsed when the step at `index` is to be shown. */
  private lapse(node: Node, from: Course, index: number): void {
    const { rules, kept } = this.ground;
    const before = copyCourse(from);
    this.likeness.forget(before);
    endTimers(before);
    const key = `${this.likeness.key(before)} ${index}`;
    if (this.tried.has(key)) return;
    this.tried.add(key);
    // The step itself may be one of those that were opened again, and is still to be shown.
    const at = { ...before, closed: before.closed.slice() };
    at.closed[index] = 0;
    const step = stepAt(rules, index);
    const closable = index > at.front && step.makes.length > 0 && !step.again;
    const several = step.needs.some((need) => need.length > 1);
    // One thing goes wrong in a turn, and one more for every other way to show or to close the step.
    const most = step.needs.reduce((sum, need) => sum + Math.max(0, need.length - 1), closable ? 2 : 1);
    const timers = closable && step.makes.some((fact) => rules.fact.get(fact)?.clock === 'after');
    const found = turns(rules, at, kept, most, timers, (course, look) =>
      next(rules, viewOf(rules, course, look), false),
    );
    const smooth = found[0]?.result;
    for (const turn of found) {
      if (turn.happened.length === 0) continue;
      // Which of several ways is taken turns on all that has lapsed, also on what was looked at after it.
      const what = several ? next(rules, viewOf(rules, turn.course), false) : turn.result;
      // A look answered no is the last thing that goes wrong (`Runs.denied`).
      if (turn.happened.slice(0, -1).some((lapse) => this.likeness.isDenial(lapse))) continue;
      switch (what.do) {
        case 'end':
          break;
        case 'show':
          // What lapsed was not needed after all, unless it would have closed the step unshown.
          if (smooth?.do === 'close')
            this.answer(node, turn.course, what.index, lapseWords(turn.happened), false);
          break;
        default:
          for (const way of this.likeness.waysBack(turn.course, what, false)) {
            if (way.what.do === 'wait') continue;
            if (way.what.do === 'stuck') this.stuck(node, lapseWords(turn.happened), way.what);
            else this.goBack(node, before, turn, { ...way, from }, smooth?.do === 'close');
          }
      }
    }
  }

  /** After something lapsed: the detour begins, from where earlier lapses are forgotten. */
  private goBack(
    node: Node,
    before: Course,
    turn: Turn<Next>,
    way: { readonly what: Next; readonly course: Course; readonly from: Course },
    closed: boolean,
  ): void {
    const { what } = way;
    const { rules } = this.ground;
    if (turn.happened.some((lapse) => this.likeness.isDenial(lapse))) {
      this.runs.denied(way.course, () => [...pathOf(node), ...lapseWords(turn.happened)]);
      return;
    }
    // Else the step would be closed unshown after the detour, as if nothing had lapsed.
    const course = copyCourse(closed ? way.course : before);
    course.choices = way.course.choices;
    this.likeness.fall(turn.course, course);
    settleNext(rules, course, what);
    this.likeness.remember(way.from, course, what);
    this.enter(course, node, () => [[...lapseWords(turn.happened), wordsOf(rules, what)].join('; ')]);
  }

  /** From the step shown to its answer, in which facts may lapse once more. */
  private answer(node: Node, course: Course, index: number, lapsed: readonly string[], good: boolean): void {
    const { rules } = this.ground;
    this.shown.add(index);
    const step = stepAt(rules, index);
    const words = (then: string) => () => [[...lapsed, `${step.id} ${then}`].join('; ')];
    const asked = copyCourse(course);
    showStep(rules, asked, index);
    if (!good) this.parkAsked(node, course, index);
    // A need that lapsed, or a visit that ran out: it is shown afresh, with what the step itself put in doubt.
    const again = this.enter(copyCourse(asked), node, words('shown, not answered'));
    if (!answerable(rules, asked, index)) {
      if (good) node.good.push({ to: again, asked: 1 });
      return;
    }
    for (const option of step.sets?.options ?? [undefined]) {
      const done = copyCourse(asked);
      completeStep(rules, done, index, option);
      done.choices = this.likeness.chosen(done.choices);
      const to = this.enter(done, node, words(option === undefined ? 'answered' : `answered ${option}`));
      if (good) node.good.push({ to, asked: 1 });
    }
  }

  /** Parking before the next question, and between shown and answered. */
  private parkFrom(node: Node, from: Course, what: Next): void {
    // What is decided without anybody saying a word leaves no moment in which somebody could park.
    if (from.route !== 'job' || (what.do !== 'show' && what.do !== 'look' && what.do !== 'end')) return;
    for (const one of this.likeness.toPark(from)) this.runs.park(one, () => pathOf(node));
    if (what.do === 'show') this.parkAsked(node, from, what.index);
  }

  /** Parking between shown and answered. */
  private parkAsked(node: Node, course: Course, index: number): void {
    if (course.route !== 'job') return;
    const { rules } = this.ground;
    const asked = copyCourse(course);
    showStep(rules, asked, index);
    for (const one of this.likeness.toPark(asked)) {
      this.runs.park(one, () => [...pathOf(node), `${stepAt(rules, index).id} shown`]);
    }
  }

  private stuck(node: Node, lapsed: readonly string[], what: Next & { readonly do: 'stuck' }): void {
    const { rules } = this.ground;
    const step = stepAt(rules, what.index).id;
    this.findings.report('remake', stuckWords(rules, what), step, [...pathOf(node), ...lapsed]);
  }
}
