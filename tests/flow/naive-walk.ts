import { changesOfDoubt, changesOfLoss } from '../../src/rule/change.js';
import {
  applyChanges,
  beginParking,
  type Course,
  completeStep,
  copyCourse,
  endParking,
  factValue,
  newCourse,
  settleNext,
  setValue,
  showStep,
  viewOf,
} from '../../src/rule/course.js';
import { lackingAtAnswer, next } from '../../src/rule/next.js';
import { type Choices, type FactId, type Rules, stepAt } from '../../src/rule/rules.js';

/**
 * What a walk found: whether a job can get stuck, end with an opening, go round in a circle, or be parked with an
 * opening. With a parking flow: at every moment it may be parked, and from there nothing lapses any more but what the
 * resume puts in doubt.
 */
export type Verdict = {
  readonly stuck: boolean;
  readonly open: boolean;
  readonly circle: boolean;
  readonly parkedOpen: boolean;
};

/** A job between two happenings; `asked` is the step that was shown and not yet answered. */
type Place = { readonly course: Course; readonly asked: number | null; readonly calm: boolean };

/**
 * The properties of the checker by brute force and nothing left out: at every moment every fact may lapse, every
 * look may be answered no, every answer may come or not come, every timer may end or run on. Slow, and meant to be
 * so simple that a reader can see that it is right. Null when there are more than `most` states.
 */
export function naiveWalk(
  rules: Rules,
  starts: readonly Choices[],
  kept: readonly FactId[],
  leaves: readonly FactId[],
  most: number,
): Verdict | null {
  const verdict = { stuck: false, open: false, circle: false, parkedOpen: false };
  const parks = rules.steps.some(({ route }) => route === 'park');
  const seen = new Map<string, Place>();
  const queue: Place[] = [];
  const reach = (course: Course, asked: number | null, calm: boolean): void => {
    const key = keyOf(course, asked, calm);
    if (seen.has(key)) return;
    seen.set(key, { course, asked, calm });
    queue.push({ course, asked, calm });
  };
  for (const choices of starts) reach(newCourse(rules, choices, kept), null, false);
  for (let place = queue.pop(); place !== undefined; place = queue.pop()) {
    if (seen.size > most) return null;
    if (!place.calm) {
      for (const lapsed of lapses(rules, place.course, kept)) reach(lapsed, place.asked, false);
      if (place.asked !== null) reach(place.course, null, false);
      if (parks) {
        const parking = copyCourse(place.course);
        beginParking(rules, parking);
        reach(parking, null, true);
      }
    }
    for (const ended of [false, true]) {
      for (const to of goodWays(rules, place, ended, kept)) reach(to.course, to.asked, place.calm);
    }
    if (place.asked !== null) continue;
    const what = next(rules, viewOf(rules, place.course), false);
    if (what.do === 'stuck') verdict.stuck = true;
    if (what.do === 'end') {
      const open = rules.facts.some(
        (fact) =>
          fact.opening && !leaves.includes(fact.id) && factValue(rules, place.course, fact.id) !== 'gone',
      );
      if (open) verdict[place.course.route === 'job' ? 'open' : 'parkedOpen'] = true;
    }
    if (what.do === 'look' && !place.calm) {
      const lost = copyCourse(place.course);
      const values = (fact: FactId) => factValue(rules, lost, fact);
      applyChanges(rules, lost, changesOfLoss(rules, what.facts, values));
      reach(lost, null, true);
    }
  }
  verdict.circle = goesRound(rules, seen, kept);
  return verdict;
}

/** All that can happen to one fact by itself. */
function lapses(rules: Rules, course: Course, kept: readonly FactId[]): Course[] {
  const found: Course[] = [];
  for (const fact of rules.facts) {
    const now = factValue(rules, course, fact.id);
    const values = (id: FactId) => factValue(rules, course, id);
    const after = (change: () => ReturnType<typeof changesOfDoubt>) => {
      const lapsed = copyCourse(course);
      applyChanges(rules, lapsed, change());
      found.push(lapsed);
    };
    if (fact.clock !== null && now === 'running') {
      const ended = copyCourse(course);
      setValue(rules, ended, fact.id, 'stands');
      found.push(ended);
    }
    if (kept.includes(fact.id) || now === 'gone') continue;
    if (fact.clock === null && now === 'stands') after(() => changesOfDoubt(rules, [fact.id], values));
    if (fact.clock === 'within' || fact.canBeUndone) after(() => changesOfLoss(rules, [fact.id], values));
  }
  return found;
}

/** The ways on if nothing more lapses: looks are answered yes, steps are answered; the timers run on or end. */
function goodWays(rules: Rules, place: Place, ended: boolean, kept: readonly FactId[]): Place[] {
  const course = copyCourse(place.course);
  for (const fact of rules.facts) {
    if (ended && factValue(rules, course, fact.id) === 'running') setValue(rules, course, fact.id, 'stands');
  }
  if (place.asked !== null) {
    const index = place.asked;
    const lacks = lackingAtAnswer(rules, viewOf(rules, course), index);
    if (lacks !== null && lacks.do !== 'wait') return [{ course, asked: null, calm: place.calm }];
    return (stepAt(rules, index).sets?.options ?? [undefined]).map((option) => {
      const done = copyCourse(course);
      completeStep(rules, done, index, option);
      return { course: done, asked: null, calm: place.calm };
    });
  }
  const what = next(rules, viewOf(rules, course), false);
  if (what.do === 'stuck' || (what.do === 'end' && course.route === 'job')) return [];
  if (what.do === 'end') return [{ course: resumed(rules, course, kept), asked: null, calm: true }];
  if (what.do === 'show') {
    showStep(rules, course, what.index);
    return [{ course, asked: what.index, calm: place.calm }];
  }
  settleNext(rules, course, what);
  return [{ course, asked: null, calm: place.calm }];
}

/** After parking: the job's own route again, all but clocks and what is given in doubt. */
function resumed(rules: Rules, parked: Course, kept: readonly FactId[]): Course {
  const course = copyCourse(parked);
  endParking(course);
  course.choices = Object.fromEntries(
    Object.entries(parked.choices).filter(([name]) => !name.startsWith('open:')),
  );
  const facts = rules.facts
    .filter(({ id, kind }) => kind !== 'clock' && !kept.includes(id))
    .map(({ id }) => id);
  applyChanges(
    rules,
    course,
    changesOfDoubt(rules, facts, (id) => factValue(rules, course, id)),
  );
  return course;
}

/** Whether the good ways lead back to where they came from anywhere. */
function goesRound(rules: Rules, places: ReadonlyMap<string, Place>, kept: readonly FactId[]): boolean {
  const left = new Map<string, string[]>();
  const into = new Map<string, number>();
  for (const [key, place] of places) {
    const to = goodWays(rules, place, true, kept).map((way) => keyOf(way.course, way.asked, way.calm));
    left.set(key, to);
    for (const one of to) into.set(one, (into.get(one) ?? 0) + 1);
  }
  // Whoever has nobody before it is taken away; what cannot be taken away goes round.
  const free = [...left.keys()].filter((key) => !into.has(key));
  for (let key = free.pop(); key !== undefined; key = free.pop()) {
    for (const to of left.get(key) ?? []) {
      const now = (into.get(to) ?? 0) - 1;
      into.set(to, now);
      if (now === 0) free.push(to);
    }
    left.delete(key);
  }
  return left.size > 0;
}

function keyOf(course: Course, asked: number | null, calm: boolean): string {
  const made = Object.entries(course.choices)
    .map((pair) => pair.join('='))
    .join(',');
  return `${course.route}|${course.values.join('')}|${course.closed.join('')}|${course.shelved.join('')}|${course.front}|${asked}|${calm}|${made}`;
}
