import {
  FACT_VALUES,
  type FactId,
  type FactRule,
  type FactValue,
  factOf,
  type Known,
  type Need,
  placeOf,
  type Route,
  type Rules,
  type StepRule,
  stepAt,
  type Way,
} from './rules.js';

/**
 * Where a job stands, as the rules see it. `look` is asked for every fact that a decision turns on; the
 * checker answers it in every way that life could. `peek` is for planning ahead and decides nothing yet.
 */
export type View = {
  readonly route: Route;
  /** The furthest step of the job's route ever shown; -1 before the first. */
  readonly front: number;
  readonly look: (fact: FactId) => FactValue;
  readonly peek: (fact: FactId) => FactValue;
  readonly closed: (index: number) => boolean;
  readonly applies: (index: number) => boolean;
  /** While parking: steps of the job that were open when parking began, and wait for the resume. */
  readonly shelved: (index: number) => boolean;
  /** What the steps depend on, once worked out: the same for all courses of the same choices. Only for speed. */
  readonly known?: Known;
  /** The same as `peek`, `closed` and `applies`, by number, where it is had that way. Only for speed. */
  readonly cells?: Cells;
};

/** Values by place in `rules.facts`, flags by index of step. */
export type Cells = {
  readonly values: Uint8Array;
  readonly closed: Uint8Array;
  readonly applies: Uint8Array;
};

export type Next =
  | { readonly do: 'show'; readonly index: number }
  /** All that the step makes stands already: closed without asking. */
  | { readonly do: 'close'; readonly index: number }
  | { readonly do: 'look'; readonly facts: readonly FactId[]; readonly index: number }
  /** These steps are opened again, the first of them because `fact` is missing for the step at `index`. */
  | {
      readonly do: 'reopen';
      readonly steps: readonly number[];
      readonly fact: FactId;
      readonly index: number;
    }
  | { readonly do: 'wait'; readonly facts: readonly FactId[]; readonly index: number }
  | { readonly do: 'end' }
  /** Nothing can bring this fact back: a fault of the flow, which the checker finds before anybody starts it. */
  | { readonly do: 'stuck'; readonly fact: FactId; readonly index: number };

/**
 * The rule of the first open step: which step is shown now, or what must happen before it can be.
 * `together` gathers all looks that are due into one, as people are asked; without it one at a time, which
 * comes to the same and keeps the checker's paths apart.
 */
export function next(rules: Rules, view: View, together = true): Next {
  const index = firstOpen(rules, view);
  if (index === null) return { do: 'end' };
  const step = stepAt(rules, index);
  if (index > view.front && closesUnshown(step, view)) return { do: 'close', index };
  return lacking(rules, view, index, wantsOf(rules, index).shown, together) ?? { do: 'show', index };
}

/**
 * What an answer to the step at `index` lacks, or null when it may be taken. What the step itself makes, ends or
 * displaces (`instead-of`), and what rests on that, went in doubt when it was shown and says nothing now; what it rests on in
 * its turn does. Clocks are
 * never put in doubt by showing: a deadline counts until the answer, also for the step that ends it.
 */
export function lackingAtAnswer(rules: Rules, view: View, index: number): Next | null {
  return lacking(rules, view, index, wantsOf(rules, index).answered, true);
}

/** The step that is to be shown or closed now, if nothing is lacking; null at the end of the route. */
export function firstOpen(rules: Rules, view: View): number | null {
  const { cells } = view;
  for (let index = 0; index < rules.steps.length; index++) {
    if (cells === undefined) {
      if (view.closed(index) || !view.applies(index)) continue;
    } else if (cells.closed[index] === 1 || cells.applies[index] === 0) continue;
    if (view.route === 'job' || stepAt(rules, index).route === 'park') {
      if (stepAt(rules, index).route === view.route) return index;
      continue;
    }
    // While parking only those steps of the job are shown that parking itself had to open again.
    if (index <= view.front && !view.shelved(index)) return index;
  }
  return null;
}

function closesUnshown(step: StepRule, view: View): boolean {
  if (step.again || step.makes.length === 0) return false;
  return (
    step.makes.every((fact) => view.look(fact) === 'stands') &&
    step.ends.every((fact) => view.look(fact) === 'gone')
  );
}

/** A clock without ground is in doubt, whatever the time says. */
function read(rules: Rules, value: (fact: FactId) => FactValue, id: FactId): FactValue {
  const fact = factOf(rules, id);
  const own = value(id);
  if (fact.kind !== 'clock' || own === 'gone') return own;
  return fact.restOn.every((ground) => read(rules, value, ground) === 'stands') ? own : 'doubt';
}

function lacking(rules: Rules, view: View, index: number, wants: Wants, together: boolean): Next | null {
  const { look, peek } = view;
  // Nobody watches which facts are asked for where looking is peeking: mostly all stands, and nothing is lacking.
  if (look === peek && view.cells !== undefined) {
    if (allStand(view.cells.values, wants)) return null;
  } else if (look === peek) {
    const depends = dependenciesOf(rules, view, index, wants, peek);
    if (depends.every((fact) => read(rules, peek, fact.id) === 'stands')) return null;
  }
  const seen = new Map<FactId, FactValue>();
  const value = (id: FactId): FactValue => {
    if (look === peek) return peek(id);
    let found = seen.get(id);
    if (found === undefined) {
      found = look(id);
      seen.set(id, found);
    }
    return found;
  };
  const depends = dependenciesOf(rules, view, index, wants, value);

  const due: FactId[] = [];
  for (const fact of depends) {
    if (fact.kind !== 'state' || !fact.canLook || value(fact.id) !== 'doubt') continue;
    const grounded = fact.restOn.every((id) => due.includes(id) || isGood(read(rules, value, id)));
    if (!grounded) continue;
    due.push(fact.id);
    if (!together) break;
  }
  if (due.length > 0) return { do: 'look', facts: due, index };

  const running: FactId[] = [];
  for (const fact of depends) {
    const now = read(rules, value, fact.id);
    if (now === 'stands') continue;
    if (now === 'running') running.push(fact.id);
    // A clock in doubt only for its ground revives with it, and its ground is a dependency of its own.
    else if (fact.kind !== 'clock' || value(fact.id) === 'gone')
      return reopening(rules, view, index, fact.id);
  }
  return running.length > 0 ? { do: 'wait', facts: running, index } : null;
}

const STANDS = FACT_VALUES.indexOf('stands');
const DOUBT = FACT_VALUES.indexOf('doubt');
const GONE = FACT_VALUES.indexOf('gone');

/** A way to meet a need, by places of facts: those of it, with the grounds of clocks, and all that they rest on. */
type Places = { readonly own: readonly number[]; readonly all: readonly number[] };

/** What a step needs at a moment, and the same by places of facts, need by need and way by way. */
type Wants = {
  readonly at: 'shown' | 'answered';
  readonly needs: readonly Need[];
  readonly places: readonly (readonly Places[])[];
};

type WantsOfStep = Readonly<Record<Wants['at'], Wants>>;

// The same for the same rules, and asked for with every message. By index of step.
const wantsOfRules = new WeakMap<Rules, (WantsOfStep | undefined)[]>();

function wantsOf(rules: Rules, index: number): WantsOfStep {
  let ofSteps = wantsOfRules.get(rules);
  if (ofSteps === undefined) {
    ofSteps = Array.from(rules.steps, () => undefined);
    wantsOfRules.set(rules, ofSteps);
  }
  let known = ofSteps[index];
  if (known === undefined) {
    const { needs } = stepAt(rules, index);
    const later = needsAtAnswer(rules, index);
    const places = (of: readonly Need[]) => of.map((need) => need.map((way) => placesOf(rules, way)));
    known = {
      shown: { at: 'shown', needs, places: places(needs) },
      answered: { at: 'answered', needs: later, places: places(later) },
    };
    ofSteps[index] = known;
  }
  return known;
}

function needsAtAnswer(rules: Rules, index: number): readonly Need[] {
  const step = stepAt(rules, index);
  const displaced = step.makes.flatMap((fact) => factOf(rules, fact).insteadOf);
  const acts = [...step.ends, ...step.makes, ...displaced].filter(
    (fact) => factOf(rules, fact).kind !== 'clock',
  );
  const own = restingOn(rules, acts);
  // What such a fact rests on still has to stand: a lock that went meanwhile is no doing of this step.
  const groundOf = (fact: FactId): readonly FactId[] =>
    own.has(fact) ? factOf(rules, fact).restOn.flatMap(groundOf) : [fact];
  return step.needs.map((need) => need.map((way) => way.flatMap(groundOf)));
}

/** Whether each need is met by a way that stands, and all that this way rests on stands too. */
function allStand(values: Uint8Array, { places }: Wants): boolean {
  for (const need of places) {
    let way = need[0];
    if (need.length > 1) way = need.find(({ own }) => stand(values, own));
    else if (need.length === 0) continue;
    if (way === undefined || !stand(values, way.all)) return false;
  }
  return true;
}

function stand(values: Uint8Array, places: readonly number[]): boolean {
  for (const place of places) if (values[place] !== STANDS) return false;
  return true;
}

function placesOf(rules: Rules, way: Way): Places {
  const own = new Set<FactId>();
  const all = new Set<FactId>();
  const visit = (id: FactId, into: Set<FactId>, through: (fact: FactRule) => boolean) => {
    if (into.has(id)) return;
    into.add(id);
    const fact = factOf(rules, id);
    if (through(fact)) for (const ground of fact.restOn) visit(ground, into, through);
  };
  for (const id of way) {
    // A clock is read with its ground.
    visit(id, own, (fact) => fact.kind === 'clock');
    visit(id, all, () => true);
  }
  const numbers = (ids: ReadonlySet<FactId>) => [...ids].map((id) => placeOf(rules, id));
  return { own: numbers(own), all: numbers(all) };
}

function isGood(value: FactValue): boolean {
  return value === 'stands' || value === 'running';
}

/** Of a need with several ways, the one that stands, else the one whose maker stands last on the route. */
function wayOf(rules: Rules, view: View, index: number, need: Need, value: (fact: FactId) => FactValue): Way {
  const only = need[0];
  if (only === undefined) return [];
  if (need.length === 1) return only;
  const standing = need.find((way) => way.every((fact) => read(rules, value, fact) === 'stands'));
  if (standing !== undefined) return standing;
  let best = only;
  let bestAt = -1;
  for (const way of need) {
    const at = Math.min(...way.map((fact) => remakeAt(rules, view, index, fact)));
    if (at > bestAt) {
      best = way;
      bestAt = at;
    }
  }
  return best;
}

/** The index from which a fact can be brought back; of one that needs no maker the last one that made it. */
function remakeAt(rules: Rules, view: View, index: number, fact: FactId): number {
  const maker = makerOf(rules, view, index, fact, []);
  if (maker !== null) return maker;
  return needsMaker(rules, view, fact) ? -1 : 0;
}

/**
 * What a step depends on turns on the values only in the ways that its needs are met; else it is the same whenever the
 * step is the first open one: which of the makers before it are eligible turns on the choices, and while parking on
 * the front.
 */
function dependenciesOf(
  rules: Rules,
  view: View,
  index: number,
  { at: moment, needs }: Wants,
  value: (fact: FactId) => FactValue,
): readonly FactRule[] {
  const ways = needs.map((need) => wayOf(rules, view, index, need, value));
  const { known } = view;
  if (known === undefined) return dependencies(rules, view, index, ways);
  const shown = view.route === 'job' ? index : (view.front + 2) * rules.steps.length + index;
  // At the answer a step depends on less than when it was shown.
  const place = moment === 'answered' ? -1 - shown : shown;
  let found = known.get(place);
  if (found === undefined) {
    found = [];
    known.set(place, found);
  }
  const before = found.find((one) => one.ways.every((way, at) => way === ways[at]));
  if (before !== undefined) return before.facts;
  const facts = dependencies(rules, view, index, ways);
  found.push({ ways, facts });
  return facts;
}

/** The needs and all that they rest on: grounds before what rests on them, else in route order. */
function dependencies(rules: Rules, view: View, index: number, ways: readonly Way[]): readonly FactRule[] {
  const at = (id: FactId) => {
    let last = -1;
    for (const maker of rules.makers.get(id) ?? []) {
      if (eligible(rules, view, maker, index)) last = maker;
    }
    return last;
  };
  const roots = [...new Set(ways.flat())].sort((a, b) => at(a) - at(b));
  const ordered = new Map<FactId, FactRule>();
  const visit = (id: FactId) => {
    if (ordered.has(id)) return;
    const fact = factOf(rules, id);
    for (const ground of [...fact.restOn].sort((a, b) => at(a) - at(b))) visit(ground);
    ordered.set(id, fact);
  };
  for (const root of roots) visit(root);
  return [...ordered.values()];
}

function eligible(rules: Rules, view: View, maker: number, before: number): boolean {
  if (maker >= before || !view.applies(maker)) return false;
  return stepAt(rules, maker).route === 'park' ? view.route === 'park' : maker <= view.front;
}

function reopening(rules: Rules, view: View, index: number, fact: FactId): Next {
  const maker = makerOf(rules, view, index, fact, []);
  if (maker === null) return { do: 'stuck', fact, index };
  const opened = new Set([maker]);
  for (const made of stepAt(rules, maker).makes) {
    if (!factOf(rules, made).opening) continue;
    for (let later = maker + 1; later <= view.front; later++) {
      const closes = view.applies(later) && view.closed(later) && stepAt(rules, later).ends.includes(made);
      if (closes) opened.add(later);
    }
  }
  return { do: 'reopen', steps: [...opened].sort((a, b) => a - b), fact, index };
}

/**
 * The last step before `index` that makes the fact and can itself be shown. `can` holds what was found to come back for
 * the fact that is asked for first: what comes back without that one comes back, whoever asks on the way.
 */
function makerOf(
  rules: Rules,
  view: View,
  index: number,
  fact: FactId,
  asked: readonly FactId[],
  can: Set<number> = new Set(),
): number | null {
  const makers = rules.makers.get(fact) ?? [];
  for (let i = makers.length - 1; i >= 0; i--) {
    const maker = makers[i];
    if (maker === undefined || !eligible(rules, view, maker, index)) continue;
    if (showable(rules, view, maker, [...asked, fact], can)) return maker;
  }
  return null;
}

function showable(
  rules: Rules,
  view: View,
  index: number,
  asked: readonly FactId[],
  can: Set<number>,
): boolean {
  const key = index * rules.facts.length;
  const reachable = (id: FactId, chain: readonly FactId[]): boolean => {
    if (chain.includes(id)) return false;
    const goal = key + placeOf(rules, id);
    if (can.has(goal)) return true;
    const fact = factOf(rules, id);
    const grounds = fact.restOn.every((ground) => reachable(ground, [...chain, id]));
    if (!grounds) return false;
    if (needsMaker(rules, view, id) && makerOf(rules, view, index, id, chain, can) === null) return false;
    can.add(goal);
    return true;
  };
  const { needs, places } = wantsOf(rules, index).shown;
  return needs.every((need, at) =>
    need.some((way, nth) => {
      const all = places[at]?.[nth]?.all;
      return (
        (all !== undefined && comeBack(rules, view, all, asked)) ||
        way.every((fact) => reachable(fact, asked))
      );
    }),
  );
}

/** Whether time or looks bring all of these back, none of them asked for already: the common case, told at once. */
function comeBack(rules: Rules, view: View, places: readonly number[], asked: readonly FactId[]): boolean {
  const values = view.cells?.values;
  if (values === undefined) return false;
  for (const place of places) {
    const value = values[place];
    if (value === GONE || (value === DOUBT && rules.facts[place]?.canLook !== true)) return false;
  }
  return !asked.some((id) => places.includes(placeOf(rules, id)));
}

/** Whether time or a look will not bring the fact back. */
function needsMaker(rules: Rules, view: View, id: FactId): boolean {
  const value = view.peek(id);
  if (value === 'stands' || value === 'running') return false;
  return value === 'gone' || !factOf(rules, id).canLook;
}

/** The facts and all that rests on them, directly or not. */
export function restingOn(rules: Rules, facts: readonly FactId[]): ReadonlySet<FactId> {
  const found = new Set<FactId>();
  const visit = (id: FactId) => {
    if (found.has(id)) return;
    found.add(id);
    for (const above of rules.above.get(id) ?? []) visit(above);
  };
  for (const fact of facts) visit(fact);
  return found;
}
