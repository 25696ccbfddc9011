import type { Choices, Rules } from '../rule/rules.js';
import type { Flow } from './flow.js';
import type { Break } from './proof.js';

/**
 * A path may seem to change its vehicle on the way, since choices that make no difference are let go. So the vehicles are
 * walked one by one until one of them breaks alike, those first that have most of the steps on the path, and its path is
 * told. A break that no vehicle comes to is left out.
 */
export function ofOneVehicle(
  flow: Flow,
  rules: Rules,
  vehicles: readonly Choices[],
  breaks: readonly Break[],
  walk: (flow: Flow, enough: (found: Break) => boolean) => readonly Break[],
): Break[] {
  const whole = new Map<Choices, readonly Break[]>();
  return breaks.flatMap((found) => {
    if (found.path.length === 0 || vehicles.length === 1) return [found];
    const same = (one: Break) => one.property === found.property && one.problem === found.problem;
    const named = found.path.map(
      (words) => /(?:^|; )(\S+) (?:shown|answered|closed unshown)/.exec(words)?.[1] ?? null,
    );
    const on = rules.steps.filter(({ id, route }) => route === 'job' && [...named, found.step].includes(id));
    const has = (start: Choices) =>
      on.filter(({ when }) =>
        when.every(({ reads, is }) => start[reads] === undefined || is.includes(start[reads])),
      ).length;
    for (const start of vehicles.toSorted((a, b) => has(b) - has(a))) {
      const known = whole.get(start);
      const all = known ?? walk(asOne(flow, start), same);
      const alike = all.find(same);
      if (alike !== undefined) return [alike];
      // Not stopped before its end.
      whole.set(start, all);
    }
    return [];
  });
}

/** The flow for vehicles with these choices and no others. */
function asOne(flow: Flow, start: Choices): Flow {
  const choices = new Map(flow.choices);
  for (const [name, option] of Object.entries(start)) {
    const choice = choices.get(name);
    if (choice !== undefined) choices.set(name, { ...choice, options: [option] });
  }
  return { ...flow, choices };
}
