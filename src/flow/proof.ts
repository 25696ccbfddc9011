import type { Choices, FactId, Rules } from '../rule/rules.js';
import type { Flow } from './flow.js';

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
  /** Longest run without lapses from anywhere, a stop included, in questions asked. */
  readonly longest: number;
  readonly breaks: readonly Break[];
};

/** What a prover knows of its flow on every turn. */
export type Ground = {
  readonly rules: Rules;
  /** Brought by the using flow: they do not lapse here. */
  readonly kept: ReadonlySet<FactId>;
  /** Choices that some step reads, and those that steps of this flow make. */
  readonly reads: readonly string[];
  readonly made: ReadonlySet<string>;
  /** Choices of the vehicle by which steps of the job do the same in another order or manner (`Likeness.letGo`). */
  readonly brought: readonly Brought[];
  readonly leaves: ReadonlySet<FactId>;
  readonly parkLeaves: ReadonlySet<FactId>;
  readonly parks: boolean;
  /** Questions to the end, at most. */
  readonly bound: number;
};

export type Brought = {
  readonly name: string;
  readonly options: readonly string[];
  readonly readers: readonly number[];
};

export function groundOf(flow: Flow, parkLeaves: readonly FactId[]): Ground {
  const reads = new Set<string>();
  for (const step of flow.steps) for (const condition of step.when) reads.add(condition.reads);
  return {
    rules: flow.rules,
    kept: new Set(flow.given),
    reads: [...reads].sort(),
    made: new Set(flow.steps.flatMap((step) => step.sets?.choice ?? [])),
    brought: broughtTo(flow),
    leaves: new Set(flow.leaves),
    parkLeaves: new Set(parkLeaves),
    parks: flow.steps.some((step) => step.route === 'park'),
    bound: 4 * flow.steps.length,
  };
}

function broughtTo(flow: Flow): readonly Brought[] {
  const found = [...flow.choices.values()].flatMap(({ name, from, options }) => {
    const readers = flow.steps.flatMap((step, index) =>
      step.when.some((condition) => condition.reads === name) ? [index] : [],
    );
    const parking = readers.some((index) => flow.steps[index]?.route === 'park');
    const open = from === 'vehicle' && options.length > 1 && readers.length > 0 && !parking;
    return open ? [{ name, options, readers }] : [];
  });
  return makeAlike(flow, found) ? found : [];
}

/** Whether the steps that these choices bring make the same facts whichever way is chosen. */
function makeAlike(flow: Flow, brought: readonly Brought[]): boolean {
  const readers = [...new Set(brought.flatMap((one) => one.readers))];
  let ways: Choices[] = [{}];
  for (const { name, options } of brought) {
    ways = ways.flatMap((made) => options.map((option) => ({ ...made, [name]: option })));
  }
  const made = ways.map((choices) => {
    const steps = readers.flatMap((index) => flow.steps[index] ?? []);
    const chosen = steps.filter((step) =>
      step.when.every(({ reads, is }) => {
        const option = choices[reads];
        return option === undefined || is.includes(option);
      }),
    );
    return [...new Set(chosen.flatMap((step) => step.makes))].sort().join(' ');
  });
  return made.every((facts) => facts === made[0]);
}

/** Collects breaks; of the same break the one with the shortest path is kept. */
export class Findings {
  private readonly found = new Map<string, Break>();

  report(property: Break['property'], problem: string, step: string | null, path: readonly string[]): void {
    const id = `${property} ${problem}`;
    const known = this.found.get(id);
    if (known === undefined || known.path.length > path.length) {
      this.found.set(id, { property, problem, step, path });
    }
  }

  breaks(): readonly Break[] {
    return [...this.found.values()];
  }
}
