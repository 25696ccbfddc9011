import type { FactId } from '../rule/rules.js';
import type { Compiled } from './compile.js';
import type { Declared } from './facts.js';
import type { Fault } from './fault.js';
import type { Stop } from './route.js';
import type { Path } from './source.js';
import type { Shelf } from './text.js';

/** What the checks of a route know, and the faults they have found so far. */
export type Ground = {
  readonly shelf: Shelf;
  readonly compiled: Compiled;
  readonly declared: ReadonlyMap<FactId, Declared>;
  readonly faults: Fault[];
  /** Some file could not be read: what is not known may be declared there. */
  readonly blind: boolean;
};

/** A fault at a key or value of a step. */
export function complain(
  ground: Ground,
  stop: Stop,
  path: Path,
  problem: string,
  remedy: string,
  at?: 'key',
): void {
  ground.faults.push(stop.file.source.fault([...stop.path, ...path], problem, remedy, at ?? 'value'));
}

/** The facts and all that they rest on. */
export function restsOf(
  declared: ReadonlyMap<FactId, Declared>,
  facts: readonly FactId[],
): ReadonlySet<FactId> {
  const found = new Set<FactId>();
  const visit = (id: FactId) => {
    if (found.has(id)) return;
    found.add(id);
    for (const base of declared.get(id)?.text['rest-on'] ?? []) visit(base);
  };
  for (const id of facts) visit(id);
  return found;
}
