import type { FactId } from '../rule/rules.js';
import { isUnknown, unknownFact } from './check-facts.js';
import { checkGate, checkHazard, checkWhen } from './check-gates.js';
import { checkJoins, checkOpenings } from './check-openings.js';
import type { Compiled } from './compile.js';
import { declarations } from './facts.js';
import type { Fault } from './fault.js';
import { complain, type Ground, restsOf } from './ground.js';
import { needsOf, type Stop } from './route.js';
import type { Path } from './source.js';
import { isBlind, type Shelf } from './text.js';

/** Faults of a flow as a route: what its steps need, make, end and read, over all that it uses. */
export function checkFlow(shelf: Shelf, compiled: Compiled): readonly Fault[] {
  const ground: Ground = {
    shelf,
    compiled,
    declared: declarations(shelf),
    faults: [],
    blind: isBlind(shelf),
  };
  checkHead(ground);
  // A route with gaps would be blamed for what the missing steps do.
  const whole = !shelf.torn.has(compiled.file.id) && compiled.whole;
  const seen = new Map<string, Stop>();
  compiled.stops.forEach((stop, index) => {
    const twin = seen.get(stop.id);
    seen.set(stop.id, stop);
    if (twin !== undefined)
      complain(ground, stop, ['id'], `step "${stop.id}" stands twice`, 'give one another id');
    checkNames(ground, stop);
    checkHazard(ground, stop);
    if (whole) checkNeeds(ground, stop, index);
    checkMakes(ground, stop);
    checkWhen(ground, stop, index);
    if (stop.kind === 'gate' && whole) checkGate(ground, stop, index);
  });
  if (whole) {
    checkOpenings(ground);
    checkJoins(ground);
  }
  return ground.faults;
}

function checkHead({ compiled, declared, faults, blind }: Ground): void {
  const { source, head } = compiled.file;
  const { stops, flow } = compiled;
  const said = (path: Path, problem: string, remedy: string) =>
    faults.push(source.fault(path, problem, remedy));
  for (const key of ['given', 'leaves'] as const) {
    for (const [index, id] of (head[key] ?? []).entries()) {
      const path = [key, index];
      const fact = declared.get(id);
      if (fact === undefined && !isUnknown(id, declared, blind)) continue;
      if (fact === undefined) said(path, `no fact "${id}"`, unknownFact(id, declared));
      else if (key === 'leaves') {
        const made = stops.some((stop) => stop.text.makes?.includes(id)) || flow.given.includes(id);
        if (fact.text.opening !== true)
          said(path, `"${id}" is no opening`, 'only openings are left: delete it');
        else if (!made && !flow.park) said(path, `this flow never opens "${id}"`, 'delete it');
        if (fact.text['no-stop'] === true)
          said(path, `"${id}" cannot be left`, 'delete it, let a step end it');
      }
    }
  }
  if (head.start === true && flow.given.length > 0) {
    said(['given'], 'a flow that people start is given nothing', 'take out given:, or start:');
  }
  if (head.start === true && flow.park)
    said(['park'], 'parking is not started by itself', 'take out start:, or park:');
}

function checkNames(ground: Ground, stop: Stop): void {
  const { declared } = ground;
  const check = (id: FactId, path: Path) => {
    if (isUnknown(id, declared, ground.blind))
      complain(ground, stop, path, `no fact "${id}"`, unknownFact(id, declared));
  };
  for (const key of ['makes', 'ends', 'for', 'alarm'] as const) {
    for (const [index, id] of (stop.text[key] ?? []).entries()) check(id, [key, index]);
  }
  for (const [index, need] of (stop.text.needs ?? []).entries()) {
    if (typeof need === 'string') {
      check(need, ['needs', index]);
      continue;
    }
    for (const [which, way] of need.any.entries()) {
      const path = ['needs', index, 'any', which];
      if (typeof way === 'string') check(way, path);
      else for (const [at, id] of way.entries()) check(id, [...path, at]);
    }
  }
  for (const [index, id] of (stop.text.for ?? []).entries()) {
    const kind = declared.get(id)?.text.kind;
    if (kind !== undefined && kind !== 'clock') {
      complain(
        ground,
        stop,
        ['for', index],
        `nothing to wait for: "${id}" is a ${kind}`,
        'name a clock, or need it',
      );
    }
  }
}

function checkNeeds(ground: Ground, stop: Stop, index: number): void {
  const { stops, flow } = ground.compiled;
  const given = new Set(flow.given);
  // The route of parking runs on what the job has made, wherever the job is.
  const before =
    stop.route === 'park' && !flow.park ? stops.filter((other) => other !== stop) : stops.slice(0, index);
  const made = new Set(before.flatMap((other) => other.text.makes ?? []));
  // What a used flow is given is asked for once, where it is used.
  const asked = stop.file === ground.compiled.file ? [] : (stop.file.head.given ?? []);
  const there = (id: FactId) =>
    made.has(id) || given.has(id) || asked.includes(id) || !ground.declared.has(id);
  if (flow.park) return;
  (stop.text.needs ?? []).forEach((text, at) => {
    const need =
      typeof text === 'string' ? [[text]] : text.any.map((way) => (typeof way === 'string' ? [way] : way));
    if (need.some((way) => way.every(there))) return;
    const lacking = need.flat().find((id) => !there(id)) ?? '';
    const later = stops.find((other) => other.text.makes?.includes(lacking));
    const remedy =
      later === undefined
        ? 'let an earlier step make it, or write it under given:'
        : `"${later.id}" makes it too late: put that step before this one`;
    complain(ground, stop, ['needs', at], `nothing before "${stop.text.id}" makes "${lacking}"`, remedy);
  });
  for (const [at, id] of (stop.text.for ?? []).entries()) {
    if (there(id)) continue;
    complain(
      ground,
      stop,
      ['for', at],
      `nothing before "${stop.text.id}" starts "${id}"`,
      'let an earlier step make it',
    );
  }
}

function checkMakes(ground: Ground, stop: Stop): void {
  const { declared } = ground;
  const makes = stop.text.makes ?? [];
  const standing = new Set([...makes, ...restsOf(declared, needsOf(stop).flat(2))]);
  makes.forEach((id, index) => {
    if (stop.text.ends?.includes(id) === true) {
      complain(ground, stop, ['makes', index], `makes and ends "${id}"`, 'keep one of the two');
    }
    const fact = declared.get(id)?.text;
    if (fact === undefined || fact.kind === 'clock') return;
    for (const base of fact['rest-on'] ?? []) {
      if (standing.has(base) || !declared.has(base)) continue;
      complain(
        ground,
        stop,
        ['makes', index],
        `"${id}" rests on "${base}", which this step does not need`,
        `add ${base} to needs`,
      );
    }
  });
}
