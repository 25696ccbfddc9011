import type { Choices, StepRule } from '../rule/rules.js';
import type { Choice } from './flow.js';

/** A choice that the vehicle brings. */
export type BroughtChoice = {
  readonly name: string;
  readonly options: readonly string[];
  /** Steps of the job that read it, in route order. */
  readonly readers: readonly number[];
};

/**
 * Choices of the vehicle that some step reads together; no step reads one of these and one of others.
 *
 * Why such a choice may be let go: of a job with choice c, reduced to its facts, its closed steps and its front, the
 * rules ask c in three places. (1) Which step comes first: only of steps still to come, as none of those passed is open;
 * there the walk goes on in every way (`Likeness.ahead`). (2) Which maker is opened again, in which order, and with it
 * which closers; of a need with several ways also which of them: there too, in every way that `Turning` says can differ
 * (`Likeness.waysBack`). (3) What parking opens again: choices that it can turn on are kept (`toPark`). What the passed
 * steps leave behind is the same in every way (`makeAlike`), so whatever a job with c can do, the job that has let c go
 * can do too. The reverse is not so: it may seem to be one vehicle now and another later. A fault may so be found in
 * vain, but none is missed; `ofOneVehicle` tells those that a vehicle comes to.
 */
export type Brought = {
  readonly choices: readonly BroughtChoice[];
  /** The readers of all of them, in route order. */
  readonly readers: readonly number[];
  /** Which of them need not be known once the first `passed` readers lie behind and none of those is open. */
  readonly free: (passed: number, made: Choices) => readonly BroughtChoice[];
};

/** The vehicle's choices by which steps of the job come or go; what parking reads too is not among them. */
export function broughtTo(choices: readonly Choice[], steps: readonly StepRule[]): readonly Brought[] {
  const found = choices.flatMap(({ name, from, options }): BroughtChoice[] => {
    const readers = steps.flatMap((step, index) =>
      step.when.some((condition) => condition.reads === name) ? [index] : [],
    );
    const parking = readers.some((index) => steps[index]?.route === 'park');
    const open = from === 'vehicle' && options.length > 1 && readers.length > 0 && !parking;
    return open ? [{ name, options, readers }] : [];
  });
  const groups: BroughtChoice[][] = [];
  for (const choice of found) {
    const joined = groups.filter((group) => group.some((other) => meet(choice, other)));
    for (const group of joined) groups.splice(groups.indexOf(group), 1);
    groups.push([...joined.flat(), choice]);
  }
  return groups.map((group) => groupOf(group, steps));
}

const meet = (one: BroughtChoice, other: BroughtChoice) =>
  one.readers.some((reader) => other.readers.includes(reader));

function groupOf(choices: readonly BroughtChoice[], steps: readonly StepRule[]): Brought {
  const readers = [...new Set(choices.flatMap((choice) => choice.readers))].sort((a, b) => a - b);
  const known = new Map<string, readonly BroughtChoice[]>();
  const free = (passed: number, made: Choices): readonly BroughtChoice[] => {
    const key = `${passed} ${choices.map(({ name }) => made[name]).join(' ')}`;
    let found = known.get(key);
    if (found === undefined) {
      const behind = readers.slice(0, passed).flatMap((reader) => steps[reader] ?? []);
      found = partsOf(choices).find((part) => makeAlike(behind, part, made)) ?? [];
      known.set(key, found);
    }
    return found;
  };
  return { choices, readers, free };
}

/** All parts of a list, the largest first. */
function partsOf<T>(list: readonly T[]): readonly (readonly T[])[] {
  const parts: (readonly T[])[] = [[]];
  for (const one of list) parts.push(...parts.map((part) => [...part, one]));
  return parts.sort((a, b) => b.length - a.length);
}

/** Whether these steps make and end the same facts in whichever way the choices of `part` are made, the others as they are. */
function makeAlike(behind: readonly StepRule[], part: readonly BroughtChoice[], made: Choices): boolean {
  const facts = waysOf(part, made).map((choices) => {
    const done = behind.filter((step) =>
      step.when.every(({ reads, is }) => {
        const option = choices[reads];
        return option === undefined || is.includes(option);
      }),
    );
    const made = new Set(done.flatMap((step) => step.makes));
    const ended = new Set(done.flatMap((step) => step.ends));
    return [...[...made].sort(), '/', ...[...ended].sort()].join(' ');
  });
  return facts.every((one) => one === facts[0]);
}

/** Every way in which these choices may be made, the one that was made first. */
export function waysOf(part: readonly BroughtChoice[], made: Choices): readonly Choices[] {
  let ways: readonly Choices[] = [made];
  for (const { name, options } of part) {
    ways = ways.flatMap((one) => [
      one,
      ...options.filter((option) => option !== one[name]).map((option) => ({ ...one, [name]: option })),
    ]);
  }
  return ways;
}
