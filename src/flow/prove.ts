import { type Course, completeStep, copyCourse, settleNext, showStep } from '../rule/course.js';
import type { Next } from '../rule/next.js';
import { type Choices, type FactId, type Rules, stepAt } from '../rule/rules.js';
import type { Flow } from './flow.js';
import { answerable, plainly } from './life.js';
import { Likeness } from './likeness.js';
import { ofOneVehicle } from './one-vehicle.js';
import { asWalked, courseAtStart, type Walked } from './part.js';
import { type Break, Findings, type Ground, groundOf, openAtEnd, type Proof } from './proof.js';
import { Runs } from './runs.js';
import { type Node, pathOf, Walk } from './walk.js';
import { startWords, stuckWords, wordsOf } from './walk-words.js';

export type { Break, Proof } from './proof.js';

/**
 * Proves the properties of design section 2 over every path of a flow, or gives the shortest breaking path of each.
 * `parkLeaves` is what parking may leave open. The flow of parking is proved with the flows that it is part of, not
 * by itself. With `enough` it stops at the first break for which that is true, and then says no more than that break.
 *
 * Covered: any number of lapses one after the other, at every moment and within every detour (proofs in doubt, what
 * people report undone, deadlines passed, waits still running); every answer given or not given; a stop, with all in
 * doubt at once, from every moment of a run without lapses; parking from every state, without lapses in it; and
 * parking with lapses in it from every moment of a run without lapses before its first wait, with every vehicle.
 * Not covered: lapses within a parking that begins after the first wait (with them there are more than 60,000 states),
 * or that begins in a detour; such a parking is run from every state, but only with what has lapsed before it. A look
 * answered no, on a state that nobody can report undone, is the last thing that goes wrong: the job then runs to its
 * end; so is an alarm of a calculation, which ends a state that has a look. (With alarms as reports the pack-out job has
 * 34,866 states, and none of them breaks.) Lapses after a job was resumed are those of the job itself. A flow that makes or ends what it is given is
 * walked, but the property test says nothing about it.
 *
 * Random small flows, with and without parking, are held against a walk that leaves nothing out
 * (`prove.property.test.ts`): nothing is missed in those of the pinned seed.
 */
export function prove(
  flow: Flow,
  parkLeaves: readonly FactId[],
  enough: (found: Break) => boolean = () => false,
): Proof {
  const proof = walkAll(flow, parkLeaves, enough);
  const { breaks } = proof;
  if (breaks.length === 0) return proof;
  const wanted = breaks.filter(enough);
  const ground = groundOf(asWalked(flow), parkLeaves);
  const vehicles = startsOf(flow, ground);
  const walk = (one: Flow, same: (found: Break) => boolean) => walkAll(one, parkLeaves, same).breaks;
  const told = ofOneVehicle(flow, ground.rules, vehicles, wanted.length > 0 ? wanted : breaks, walk);
  // Told in vain, all of them: the flow is too tangled to be proved.
  return { ...proof, breaks: told.length > 0 ? told : breaks };
}

function walkAll(flow: Flow, parkLeaves: readonly FactId[], enough: (found: Break) => boolean): Proof {
  if (flow.park) return { flow: flow.id, states: 0, longest: 0, breaks: [] };
  const walked = asWalked(flow);
  const ground = groundOf(walked, parkLeaves);
  const findings = new Findings(enough);
  const likeness = new Likeness(ground);
  const runs = new Runs(ground, likeness, findings);
  const walk = new Walk(ground, likeness, runs, findings);
  const starts = startsOf(flow, ground).map((choices) => likeness.chosen(choices));
  for (const choices of starts) {
    walk.enter(courseAtStart(walked, choices), null, () => [startWords(choices)]);
  }
  straightRuns(ground, likeness, walk, runs, findings, walked, starts);
  walk.run();
  if (findings.done) return { flow: flow.id, states: walk.nodes.size, longest: 0, breaks: findings.breaks() };
  const longest = Math.max(runs.longest, settle(ground, walk, findings));
  for (const [index, step] of ground.rules.steps.entries()) {
    if (index < walked.before || walk.shown.has(index) || runs.shown.has(index)) continue;
    // A part of a job need not show what is given to it: another job gives less.
    if (flow.given.length > 0 && walk.unshown.has(index)) continue;
    findings.report('dead', `step ${step.id} is never shown`, step.id, []);
  }
  return { flow: flow.id, states: walk.nodes.size, longest, breaks: findings.breaks() };
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

/**
 * Without lapses nothing is looked at again and nothing reopened. From each moment of this run, between shown and
 * answered too, a stop is run to the end, and parking is walked with lapses in it.
 */
function straightRuns(
  ground: Ground,
  likeness: Likeness,
  walk: Walk,
  runs: Runs,
  findings: Findings,
  walked: Walked,
  starts: readonly Choices[],
): void {
  const { rules } = ground;
  const seen = new Set<string>();
  type Moment = { readonly course: Course; readonly path: readonly string[]; readonly waited: boolean };
  // The last is taken first: so the first vehicle is the one of whom a break is told.
  const stack: Moment[] = starts.toReversed().map((start) => ({
    course: courseAtStart(walked, start),
    path: [startWords(start)],
    waited: false,
  }));
  const pause = ({ course, path, waited }: Moment) => {
    runs.shaken(course, () => path);
    if (!ground.parks) return;
    for (const one of likeness.toPark(course)) runs.park(one, () => path);
    if (waited) return;
    for (const one of likeness.inAllWays(course)) {
      const parking = copyCourse(one);
      likeness.letGoToParkAtAll(parking);
      runs.begin(parking);
      walk.enter(parking, null, () => [...path, 'park']);
    }
  };
  for (let moment = stack.pop(); moment !== undefined && !findings.done; moment = stack.pop()) {
    likeness.letGo(moment.course);
    const key = `${likeness.key(moment.course)} ${moment.waited}`;
    if (seen.has(key)) continue;
    seen.add(key);
    for (const course of likeness.ahead(moment.course).toReversed()) {
      const { path } = moment;
      // A wait ends: the key does not tell a timer that runs from one that has ended.
      const what = plainly(rules, course, false);
      if (what.do === 'end') {
        openAtEnd(ground, findings, course, () => path);
        continue;
      }
      const step = stepAt(rules, what.index);
      if (what.do === 'stuck') {
        findings.report('remake', stuckWords(rules, what), step.id, path);
        continue;
      }
      if (what.do === 'look' || what.do === 'reopen') {
        const fact = what.do === 'look' ? what.facts[0] : what.fact;
        findings.report('straight run', `${step.id} lacks ${fact} though nothing has lapsed`, step.id, path);
      }
      // What parks behind a wait is run without lapses in it (`Runs.park`): with them it would be most of the walk.
      const waited = moment.waited || asksToWait(rules, what);
      if (what.do !== 'show') {
        const on = copyCourse(course);
        settleNext(rules, on, what);
        stack.push({ course: on, path: [...path, wordsOf(rules, what)], waited });
        continue;
      }
      pause({ course, path, waited });
      const asked = copyCourse(course);
      showStep(rules, asked, what.index);
      pause({ course: asked, path: [...path, `${step.id} shown`], waited });
      // Where the answer is not taken the walk goes round in a circle, and says so.
      if (!answerable(rules, asked, what.index)) continue;
      for (const option of step.sets?.options ?? [undefined]) {
        const done = copyCourse(asked);
        completeStep(rules, done, what.index, option);
        done.choices = likeness.chosen(done.choices);
        const words = option === undefined ? 'answered' : `answered ${option}`;
        stack.push({ course: done, path: [...path, `${step.id} ${words}`], waited });
      }
    }
  }
}

/** The step of a wait needs the clock that it waits for: it is the first whose needs hold a running timer. */
function asksToWait(rules: Rules, what: Next): boolean {
  if (what.do !== 'show') return false;
  return stepAt(rules, what.index)
    .needs.flat(2)
    .some((fact) => rules.fact.get(fact)?.clock === 'after');
}

/** If nothing more lapses and every answer is good, the job ends, from everywhere and within the bound. */
function settle(ground: Ground, walk: Walk, findings: Findings): number {
  const length = new Map<Node, number>();
  const open = new Set<Node>();
  let longest = 0;
  for (const root of walk.nodes.values()) {
    if (length.has(root)) continue;
    const stack: { node: Node; at: number }[] = [{ node: root, at: 0 }];
    open.add(root);
    for (let top = stack.at(-1); top !== undefined; top = stack.at(-1)) {
      const way = top.node.good[top.at++];
      if (way === undefined) {
        const most = top.node.good.reduce((max, on) => Math.max(max, on.asked + (length.get(on.to) ?? 0)), 0);
        length.set(top.node, most);
        open.delete(top.node);
        stack.pop();
        if (most > longest) longest = most;
        if (most > ground.bound) {
          const problem = `more than ${ground.bound} questions to the end`;
          findings.report('settle', problem, null, pathOf(top.node));
        }
        continue;
      }
      if (length.has(way.to)) continue;
      if (open.has(way.to)) {
        findings.report('settle', 'the job goes round in a circle', null, [
          ...pathOf(way.to),
          'and round again',
        ]);
        continue;
      }
      open.add(way.to);
      stack.push({ node: way.to, at: 0 });
    }
  }
  return longest;
}
