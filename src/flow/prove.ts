import { changesOfDoubt, changesOfLoss } from '../rule/change.js';
import {
  applyChanges,
  beginParking,
  type Course,
  completeStep,
  copyCourse,
  endParking,
  factValue,
  inStretch,
  newCourse,
  settleNext,
  setValue,
  showStep,
  viewOf,
} from '../rule/course.js';
import { type Next, next } from '../rule/next.js';
import {
  applies,
  type Choices,
  FACT_VALUES,
  type FactId,
  type FactValue,
  type Rules,
  stepAt,
} from '../rule/rules.js';
import type { Flow } from './flow.js';
import { turns } from './life.js';

/** A property that does not hold, with the shortest way there in words. */
export type Break = {
  readonly property: 'straight run' | 'remake' | 'settle' | 'closed' | 'park' | 'dead';
  readonly problem: string;
  readonly path: readonly string[];
  /** The step that a reader should look at first. */
  readonly step: string | null;
};

export type Proof = {
  readonly flow: string;
  readonly states: number;
  /** Longest run without lapses from anywhere, in questions asked. */
  readonly longest: number;
  readonly breaks: readonly Break[];
};

/** A state of the walk: where the job is before the rules are asked what comes next. */
type Node = {
  readonly course: Course;
  readonly key: string;
  readonly from: Node | null;
  readonly how: string;
  /** The good ways on: nothing lapses and every answer is good. */
  readonly good: { readonly to: string; readonly asked: number }[];
};

/** What a prover knows of its flow on every turn. */
type Ground = {
  readonly rules: Rules;
  readonly kept: ReadonlySet<FactId>;
  readonly reads: readonly string[];
  readonly leaves: ReadonlySet<FactId>;
  readonly parkLeaves: ReadonlySet<FactId>;
  readonly parks: boolean;
  readonly bound: number;
  readonly most: number;
};

/**
 * Proves the properties of design section 2 over every path of a flow, or gives the shortest breaking path of
 * each. `parkLeaves` is what parking may leave open, `most` how much may go wrong between two looks (see
 * `turns`). Breadth first, so the first break found is the shortest.
 */
export function prove(flow: Flow, parkLeaves: readonly FactId[], most = 1): Proof {
  const ground = groundOf(flow, parkLeaves, most);
  const nodes = new Map<string, Node>();
  const queue: Node[] = [];
  const breaks = new Map<string, Break>();
  const shown = new Uint8Array(ground.rules.steps.length);
  const report = (property: Break['property'], problem: string, step: string | null, path: string[]) => {
    const id = `${property} ${problem}`;
    if (!breaks.has(id)) breaks.set(id, { property, problem, step, path });
  };

  const enter = (course: Course, from: Node | null, how: string): Node => {
    plain(ground.rules, course);
    const key = keyOf(ground, course);
    const known = nodes.get(key);
    if (known !== undefined) return known;
    const node: Node = { course, key, from, how, good: [] };
    nodes.set(key, node);
    queue.push(node);
    return node;
  };

  const starts = startsOf(flow, ground);
  for (const choices of starts)
    enter(newCourse(ground.rules, choices, flow.given), null, startWords(choices));

  const runs = new Runs(ground, report);
  for (let at = 0; at < queue.length; at++) {
    const node = queue[at];
    if (node === undefined) break;
    expand(ground, node, enter, shown, report, runs);
  }

  straightRun(ground, nodes, starts, flow, report);
  const longest = settle(ground, nodes, report);
  for (const [index, step] of ground.rules.steps.entries()) {
    if (shown[index] === 0 && !runs.shown.has(index)) {
      report('dead', `step ${step.id} is never shown`, step.id, []);
    }
  }
  return { flow: flow.id, states: nodes.size, longest, breaks: [...breaks.values()] };
}

type Report = (property: Break['property'], problem: string, step: string | null, path: string[]) => void;
type Enter = (course: Course, from: Node | null, how: string) => Node;

function groundOf(flow: Flow, parkLeaves: readonly FactId[], most: number): Ground {
  const reads = new Set<string>();
  for (const step of flow.steps) for (const condition of step.when) reads.add(condition.reads);
  return {
    rules: flow.rules,
    kept: new Set(flow.given),
    reads: [...reads].sort(),
    leaves: new Set(flow.leaves),
    parkLeaves: new Set(parkLeaves),
    parks: flow.steps.some((step) => step.route === 'park'),
    bound: 4 * flow.steps.length,
    most,
  };
}

/** Every combination of what the vehicle may bring. */
function startsOf(flow: Flow, ground: Ground): Choices[] {
  let starts: Choices[] = [{}];
  for (const choice of flow.choices.values()) {
    if (choice.from !== 'vehicle' || !ground.reads.includes(choice.name)) continue;
    starts = starts.flatMap((made) => choice.options.map((option) => ({ ...made, [choice.name]: option })));
  }
  return starts;
}

function startWords(choices: Choices): string {
  const words = Object.entries(choices).map(([name, option]) => `${name} ${option}`);
  return words.length === 0 ? 'start' : `start with ${words.join(', ')}`;
}

const RUNNING = FACT_VALUES.indexOf('running');
const STANDS = FACT_VALUES.indexOf('stands');

/** Two courses with the same key go on alike: what is open up to the front, the facts, the choices still read. */
function keyOf(ground: Ground, course: Course): string {
  const open: number[] = [];
  for (let index = 0; index < course.closed.length; index++) {
    const park = stepAt(ground.rules, index).route === 'park';
    if (park ? course.route === 'job' : index > course.front) continue;
    if (course.closed[index] === 0) open.push(course.shelved[index] === 1 ? -index - 1 : index);
  }
  const made = ground.reads.map((name) => course.choices[name] ?? '').join(',');
  // A timer that runs and one that has ended go on alike: it may end at each look.
  const values = course.values.map((value) => (value === RUNNING ? STANDS : value));
  return `${course.route[0]}${course.front}|${open.join(',')}|${values.join('')}|${made}`;
}

function expand(
  ground: Ground,
  node: Node,
  enter: Enter,
  shown: Uint8Array,
  report: Report,
  runs: Runs,
): void {
  const { rules } = ground;
  runs.park(node.course, () => pathOf(node));
  const before = turns(rules, node.course, ground.kept, ground.most, (course, look) =>
    next(rules, viewOf(rules, course, look), false),
  );
  before.forEach((turn) => {
    const smooth = turn.happened.length === 0;
    const words = (then: string) => [...turn.happened, then].join('; ');
    const what = turn.result;
    switch (what.do) {
      case 'end':
        closedAtEnd(ground, turn.course, () => pathOf(node), report);
        return;
      case 'stuck': {
        const step = stepAt(rules, what.index).id;
        const problem = `nothing brings back ${what.fact}, which ${step} needs`;
        report('remake', problem, step, [...pathOf(node), ...turn.happened]);
        return;
      }
      case 'show':
        shown[what.index] = 1;
        // What lapsed was not needed after all, another way standing: it comes to the same as the smooth turn.
        if (smooth) answer(ground, node, turn.course, what.index, enter, runs);
        return;
      default: {
        const course = copyCourse(smooth ? turn.course : node.course);
        if (!smooth) forget(rules, course);
        settleNext(rules, course, what);
        if (what.do !== 'look' || smooth) {
          const to = enter(course, node, words(wordsOf(rules, what)));
          if (smooth) node.good.push({ to: to.key, asked: what.do === 'look' ? 1 : 0 });
        }
        if (what.do !== 'look') return;
        const lost = copyCourse(turn.course);
        const values = (fact: FactId) => factValue(rules, lost, fact);
        applyChanges(rules, lost, changesOfLoss(rules, what.facts, values));
        runs.toEnd(lost, () => [...pathOf(node), words(`look at ${what.facts.join(', ')}: no`)]);
      }
    }
  });
}

/**
 * A doubt that one look lifts, or whose own step is open before the front anyway, makes no difference to where the
 * job can go: the look, or the step, comes first. It is taken as standing, which the next look may still deny.
 */
function plain(rules: Rules, course: Course): void {
  for (const fact of rules.facts) {
    if (factValue(rules, course, fact.id) !== 'doubt') continue;
    const grounded = fact.restOn.every((ground) => factValue(rules, course, ground) !== 'gone');
    const looked = fact.canLook && grounded;
    if (looked || (rules.makers.get(fact.id) ?? []).some((maker) => isOpen(rules, course, maker))) {
      setValue(rules, course, fact.id, 'stands');
    }
  }
}

function isOpen(rules: Rules, course: Course, index: number): boolean {
  return index <= course.front && course.closed[index] === 0 && applies(stepAt(rules, index), course.choices);
}

/**
 * When something lapses on the way back from an earlier lapse, the earlier one is left to be found again: it will
 * be looked at before anything rests on it, and may then be in doubt or not. What acts did to the facts stays, and
 * so do steps that have an opening to close. This is what keeps lapses within lapses from multiplying; every real
 * run is still a run of the walk, with the same lapse found once more.
 */
function forget(rules: Rules, course: Course): void {
  for (let index = 0; index < course.front; index++) {
    const step = stepAt(rules, index);
    if (step.route === 'park' || !isOpen(rules, course, index)) continue;
    const closes = step.ends.some(
      (fact) => rules.fact.get(fact)?.opening === true && factValue(rules, course, fact) !== 'gone',
    );
    if (!closes) course.closed[index] = 1;
  }
}

/** From the step shown to its answer, in which facts may lapse once more. */
function answer(ground: Ground, node: Node, course: Course, index: number, enter: Enter, runs: Runs): void {
  const { rules } = ground;
  const step = stepAt(rules, index);
  const asked = copyCourse(course);
  showStep(rules, asked, index);
  runs.park(asked, () => [...pathOf(node), `${step.id} shown`]);
  // A need that lapsed, or a visit that ran out: it is shown afresh, with what the step itself put in doubt.
  enter(asked, node, `${step.id} shown, not answered`);
  for (const option of step.sets?.options ?? [undefined]) {
    const done = copyCourse(asked);
    completeStep(rules, done, index, option);
    const how = `${step.id} ${option === undefined ? 'answered' : `answered ${option}`}`;
    const to = enter(done, node, how);
    node.good.push({ to: to.key, asked: 1 });
  }
}

function closedAtEnd(ground: Ground, course: Course, path: () => string[], report: Report): void {
  for (const fact of ground.rules.facts) {
    if (!fact.opening || ground.leaves.has(fact.id)) continue;
    if (factValue(ground.rules, course, fact.id) === 'gone') continue;
    report('closed', `${fact.id} is still open at the end`, null, path());
  }
}

function wordsOf(rules: Rules, what: Next): string {
  switch (what.do) {
    case 'close':
      return `${stepAt(rules, what.index).id} closed unshown`;
    case 'look':
      return `look at ${what.facts.join(', ')}: yes`;
    case 'reopen':
      return `${what.steps.map((index) => stepAt(rules, index).id).join(', ')} opened again for ${what.fact}`;
    case 'wait':
      return `wait for ${what.facts.join(', ')}`;
    default:
      return what.do;
  }
}

function pathOf(node: Node): string[] {
  const path: string[] = [];
  for (let at: Node | null = node; at !== null; at = at.from) path.unshift(at.how);
  return path;
}

/** Without lapses nothing is looked at again and nothing reopened. */
function straightRun(
  ground: Ground,
  nodes: ReadonlyMap<string, Node>,
  starts: readonly Choices[],
  flow: Flow,
  report: Report,
): void {
  const seen = new Set<string>();
  const stack = starts.map((choices) => keyOf(ground, newCourse(ground.rules, choices, flow.given)));
  for (let key = stack.pop(); key !== undefined; key = stack.pop()) {
    const node = nodes.get(key);
    if (node === undefined || seen.has(key)) continue;
    seen.add(key);
    const what = next(ground.rules, viewOf(ground.rules, node.course));
    if (what.do === 'look' || what.do === 'reopen') {
      const step = stepAt(ground.rules, what.index).id;
      const fact = what.do === 'look' ? what.facts[0] : what.fact;
      report('straight run', `${step} lacks ${fact} though nothing has lapsed`, step, pathOf(node));
    }
    stack.push(...node.good.map((way) => way.to));
  }
}

/** If nothing more lapses and every answer is good, the job ends, from everywhere and within the bound. */
function settle(ground: Ground, nodes: ReadonlyMap<string, Node>, report: Report): number {
  const length = new Map<string, number>();
  const open = new Set<string>();
  let longest = 0;
  for (const root of nodes.values()) {
    const stack: { node: Node; at: number }[] = [{ node: root, at: 0 }];
    if (length.has(root.key)) continue;
    open.add(root.key);
    for (let top = stack.at(-1); top !== undefined; top = stack.at(-1)) {
      const way = top.node.good[top.at++];
      if (way === undefined) {
        const ways = top.node.good.map((on) => on.asked + (length.get(on.to) ?? 0));
        length.set(top.node.key, Math.max(0, ...ways));
        open.delete(top.node.key);
        stack.pop();
        continue;
      }
      if (length.has(way.to)) continue;
      const to = nodes.get(way.to);
      if (to === undefined) continue;
      if (open.has(way.to)) {
        report('settle', 'the job goes round in a circle', null, [...pathOf(to), 'and round again']);
        continue;
      }
      open.add(way.to);
      stack.push({ node: to, at: 0 });
    }
    const asked = length.get(root.key) ?? 0;
    longest = Math.max(longest, asked);
    if (asked > ground.bound) {
      report('settle', `more than ${ground.bound} questions to the end`, null, pathOf(root));
    }
  }
  return longest;
}

/**
 * Good runs to the end from states that the walk itself does not branch on: a look answered `no`, a visit that ran
 * out, a job resumed after parking. Each of them may come once after any number of lapses.
 */
class Runs {
  readonly shown = new Set<number>();
  private readonly good = new Set<string>();

  constructor(
    private readonly ground: Ground,
    private readonly report: Report,
  ) {}

  /** The job comes to its end from here if nothing more goes wrong. */
  toEnd(from: Course, path: () => string[]): void {
    if (this.good.has(keyOf(this.ground, from))) return;
    const trail: string[] = [];
    const bad = (problem: string) => this.report('settle', problem, null, [...path(), ...trail]);
    this.run(
      copyCourse(from),
      (words) => trail.push(words),
      () => true,
      bad,
      true,
    );
  }

  /**
   * Parking, or the landing and then parking: it runs to its end, leaves open only what it lists, and the job that
   * is resumed from there still comes to its end.
   */
  park(from: Course, path: () => string[]): void {
    if (!this.ground.parks) return;
    const { rules } = this.ground;
    const course = copyCourse(from);
    const trail: string[] = [];
    const onWay = (words: string) => trail.push(words);
    const bad = (problem: string) => this.report('park', problem, null, [...path(), 'park', ...trail]);
    const wet = () => inStretch(rules, (fact) => factValue(rules, course, fact));
    if (!this.run(course, onWay, wet, bad, false)) return;
    beginParking(rules, course);
    if (!this.run(course, onWay, () => true, bad, false)) return;
    for (const fact of rules.facts) {
      if (!fact.opening || this.ground.parkLeaves.has(fact.id)) continue;
      if (factValue(rules, course, fact.id) !== 'gone') bad(`${fact.id} is left open by parking`);
    }
    endParking(course);
    const shaken = rules.facts.filter((fact) => fact.kind !== 'clock' && !this.ground.kept.has(fact.id));
    const values = (fact: FactId): FactValue => factValue(rules, course, fact);
    const facts = shaken.map((fact) => fact.id);
    applyChanges(rules, course, changesOfDoubt(rules, facts, values));
    const resumed = (words: string) => trail.push(`resumed: ${words}`);
    this.run(course, resumed, () => true, bad, true);
  }

  /** One good run in place, while `going`; false when it broke. A state that was good before ends it early. */
  private run(
    course: Course,
    onWay: (words: string) => void,
    going: () => boolean,
    bad: (problem: string) => void,
    remember: boolean,
  ): boolean {
    const { rules, bound } = this.ground;
    const passed: string[] = [];
    for (let turn = 0; going(); turn++) {
      if (remember) {
        const key = keyOf(this.ground, course);
        if (this.good.has(key)) break;
        passed.push(key);
      }
      if (turn > bound) {
        bad(`more than ${bound} questions to the end`);
        return false;
      }
      const what = next(rules, viewOf(rules, course));
      if (what.do === 'end') break;
      if (what.do === 'stuck') {
        bad(`nothing brings back ${what.fact}, which ${stepAt(rules, what.index).id} needs`);
        return false;
      }
      if (what.do === 'show') {
        if (course.route === 'park') this.shown.add(what.index);
        onWay(`${stepAt(rules, what.index).id} answered`);
        showStep(rules, course, what.index);
        completeStep(rules, course, what.index, stepAt(rules, what.index).sets?.options[0]);
      } else {
        onWay(wordsOf(rules, what));
        settleNext(rules, course, what);
      }
    }
    for (const key of passed) this.good.add(key);
    return true;
  }
}
