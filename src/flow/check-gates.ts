import type { FactId, Need } from '../rule/rules.js';
import { isUnknown, unknownFact } from './check-facts.js';
import { meant, oneOf } from './closest.js';
import { complain, type Ground, restsOf } from './ground.js';
import { madeFact, needsOf, needsOfText, openedFact, type Stop } from './route.js';
import type { Path } from './source.js';

/** A step names a hazard of the table and meets what it demands. */
export function checkHazard(ground: Ground, stop: Stop): void {
  const { hazards, levels } = ground.compiled.flow;
  if (ground.shelf.hazards === null) return;
  const name = stop.text.hazard;
  const hazard = hazards.get(name);
  if (hazard === undefined) {
    const known = [...hazards.keys()];
    complain(
      ground,
      stop,
      ['hazard'],
      `no hazard "${name}"`,
      meant(name, known, `there are ${oneOf(known, 20)}`),
    );
    return;
  }
  const needs = needsOf(stop);
  for (const demand of hazard.demands) {
    if (!needs.some((need) => covers(need, demand))) {
      const what = demand.map((way) => way.join(' with ')).join(', or ');
      complain(
        ground,
        stop,
        ['hazard'],
        `hazard ${name} demands ${what}`,
        `add it to needs of "${stop.text.id}"`,
      );
    }
  }
  const bySecond = (stop.text.readings ?? []).some((reading) => 'by' in reading && reading.by === 'second');
  if (stop.kind === 'gate' && hazard.second !== null && stop.text.second === undefined && !bySecond) {
    complain(
      ground,
      stop,
      ['hazard'],
      `hazard ${name} demands a second person`,
      "add second: { look: '...' }, or a reading with by: second",
    );
  }
  if (levels.length === 0 && hazard.level !== null) {
    complain(ground, stop, ['hazard'], `hazard ${name} has a level and there are none`, 'write levels:');
  }
}

/** Each way in which the need is met meets the demand too. */
function covers(need: Need, demand: Need): boolean {
  return need.every((way) => demand.some((asked) => asked.every((fact) => way.includes(fact))));
}

/** Conditions read choices made before, by options that go on, and do not shut each other out. */
export function checkWhen(ground: Ground, stop: Stop, index: number): void {
  const { flow, stops } = ground.compiled;
  const at: Path = stop.text.when === undefined ? [] : ['when'];
  const read = new Map<string, readonly string[]>();
  for (const { reads, is } of stop.when) {
    const fact = openedFact({ reads, is });
    const made = madeFact({ reads, is });
    if (made !== null) {
      if (isUnknown(made, ground.declared, ground.blind))
        complain(ground, stop, at, `no fact "${made}"`, unknownFact(made, ground.declared));
      if (stop.route === 'job') complain(ground, stop, at, 'made: outside parking', 'read a choice');
    } else if (fact !== null) {
      const known = ground.declared.get(fact)?.text;
      if (isUnknown(fact, ground.declared, ground.blind)) {
        complain(ground, stop, at, `no fact "${fact}"`, unknownFact(fact, ground.declared));
      } else if (known !== undefined && known.opening !== true) {
        complain(ground, stop, at, `"${fact}" is no opening`, 'open: and closed: read openings only');
      }
      if (stop.route === 'job')
        complain(ground, stop, at, 'open: and closed: outside parking', 'read a choice');
    } else {
      const choice = flow.choices.get(reads);
      const path = stop.text.when?.[reads] === undefined ? at : ['when', reads];
      if (choice === undefined) {
        const remedy = meant(reads, flow.choices.keys(), 'declare it under choices:, or name a choose step');
        complain(ground, stop, path, `no choice "${reads}"`, remedy);
        continue;
      }
      for (const option of is) {
        if (choice.options.includes(option)) continue;
        const maker = stops.find((other) => other.choice === reads);
        const holds = maker?.text.options?.[option]?.hold !== undefined;
        const remedy = holds
          ? 'the job is on hold after it: delete the condition'
          : meant(option, choice.options, `it is ${oneOf(choice.options)}`);
        complain(ground, stop, path, `choice "${reads}" is never "${option}" here`, remedy);
      }
      const setAt = stops.findIndex((other) => other.choice === reads);
      if (choice.from === 'step' && setAt >= index) {
        complain(
          ground,
          stop,
          path,
          `choice "${reads}" is read before it is made`,
          'put the choose step before this one',
        );
      }
    }
    const known = read.get(reads);
    if (known !== undefined && !known.some((option) => is.includes(option))) {
      complain(
        ground,
        stop,
        at,
        `never applies: "${reads}" cannot be ${oneOf(known)} and ${oneOf(is)}`,
        'take one out',
      );
    }
    read.set(reads, known === undefined ? is : known.filter((option) => is.includes(option)));
  }
}

/** A gate makes a fact that a step behind it needs. */
export function checkGate(ground: Ground, stop: Stop, index: number): void {
  const makes = stop.text.makes ?? [];
  if (makes.length === 0) {
    complain(
      ground,
      stop,
      ['gate'],
      'a gate that guards nothing',
      'let it make a fact that the step behind it needs',
      'key',
    );
    return;
  }
  const { stops } = ground.compiled;
  const here = stops.slice(index + 1).flatMap((later) => needsOf(later).flat(2));
  const elsewhere = isUsed(ground) ? needsAnywhere(ground) : [];
  const needed = restsOf(ground.declared, [...here, ...elsewhere]);
  if (makes.some((id) => needed.has(id)) || (isUsed(ground) && ground.shelf.broken.size > 0)) return;
  complain(
    ground,
    stop,
    ['makes'],
    `no step behind gate "${stop.text.id}" needs ${oneOf(makes)}`,
    'let the step that it guards need it',
  );
}

/** What a used flow makes may be needed only after it, in the flow that uses it. */
function isUsed({ shelf, compiled }: Ground): boolean {
  if (!compiled.flow.start) return true;
  const { id } = compiled.file;
  return [...shelf.flows.values()].some((file) =>
    file.lines.some((line) => line.is === 'use' && line.use.use === id),
  );
}

function needsAnywhere({ shelf }: Ground): readonly FactId[] {
  return [...shelf.flows.values()].flatMap((file) =>
    file.lines.flatMap((line) => (line.is === 'step' ? needsOfText(line.step).flat(2) : [])),
  );
}
