import { checkFacts, isUnknown, unknownFact } from './check-facts.js';
import { checkFlow } from './check-route.js';
import { checkSteps } from './check-steps.js';
import { checkTexts } from './check-texts.js';
import { meant, oneOf } from './closest.js';
import type { Compiled } from './compile.js';
import { declarations, needOf } from './facts.js';
import type { Fault } from './fault.js';
import { filesOf, isBlind, type Shelf } from './text.js';
import { checkWords } from './words.js';

/** What a compiled flow can be blamed for before anybody walks it. */
export function checkRoute(shelf: Shelf, compiled: Compiled): readonly Fault[] {
  return [...checkFlow(shelf, compiled), ...checkSteps(compiled, readingsIn(shelf))];
}

/** What the files can be blamed for, whichever flow reads them. */
export function checkFiles(shelf: Shelf): {
  readonly faults: readonly Fault[];
  readonly advice: readonly Fault[];
} {
  const texts = checkTexts(shelf);
  const faults = [
    ...checkFacts(shelf),
    ...checkChoices(shelf),
    ...checkHazards(shelf),
    ...checkWords(shelf),
    ...texts.faults,
  ];
  return { faults, advice: texts.advice };
}

function readingsIn(shelf: Shelf): ReadonlySet<string> {
  const names = new Set<string>();
  for (const file of filesOf(shelf)) {
    for (const line of file.lines) {
      if (line.is !== 'step') continue;
      for (const reading of line.step.readings ?? [])
        names.add('name' in reading ? reading.name : reading['dead-test']);
      if (line.step.reading !== undefined) names.add(line.step.reading.name);
      if (line.step.values !== undefined) names.add(line.step.values);
    }
  }
  return names;
}

/** A choice of the vehicle is read by some step, and two files that know it know the same options. */
function checkChoices(shelf: Shelf): readonly Fault[] {
  const faults: Fault[] = [];
  const first = new Map<string, { readonly options: readonly string[]; readonly file: string }>();
  const read = new Set<string>();
  for (const file of shelf.flows.values()) {
    for (const line of file.lines) {
      for (const name of Object.keys((line.is === 'use' ? line.use : line.step).when ?? {})) read.add(name);
    }
  }
  for (const { source, head } of filesOf(shelf)) {
    for (const [name, { options }] of Object.entries(head.choices ?? {})) {
      const path = ['choices', name];
      if (!read.has(name) && shelf.broken.size === 0)
        faults.push(source.fault(path, `no step reads choice "${name}"`, 'delete it', 'key'));
      const known = first.get(name);
      if (known === undefined) first.set(name, { options, file: source.name });
      else if ([...known.options].sort().join() !== [...options].sort().join()) {
        const remedy = `write the options of ${known.file}: ${oneOf(known.options)}`;
        faults.push(source.fault(path, `choice "${name}" is declared twice and differs`, remedy, 'key'));
      }
    }
  }
  return faults;
}

function checkHazards(shelf: Shelf): readonly Fault[] {
  if (shelf.hazards === null) return [];
  const { source, text } = shelf.hazards;
  const faults: Fault[] = [];
  const declared = declarations(shelf);
  if (text.hazards.none === undefined) {
    faults.push(source.fault(['hazards'], 'no hazard "none"', 'add none: { label: none }', 'key'));
  }
  for (const [id, hazard] of Object.entries(text.hazards)) {
    const path = ['hazards', id];
    const levels: [string[], string | undefined][] = [
      [[...path, 'level'], hazard.level],
      [[...path, 'second', 'level'], hazard.second?.level],
    ];
    for (const [at, level] of levels) {
      if (level === undefined || text.levels.includes(level)) continue;
      const remedy = meant(level, text.levels, `there are ${oneOf(text.levels)}`);
      faults.push(source.fault(at, `no level "${level}"`, remedy));
    }
    for (const [index, demand] of (hazard.demands ?? []).entries()) {
      for (const fact of needOf(demand).flat()) {
        if (!isUnknown(fact, declared, isBlind(shelf))) continue;
        faults.push(
          source.fault([...path, 'demands', index], `no fact "${fact}"`, unknownFact(fact, declared)),
        );
      }
    }
  }
  return faults;
}
