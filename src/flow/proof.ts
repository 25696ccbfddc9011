import { type Course, factValue } from '../rule/course.js';
import type { FactId, Rules } from '../rule/rules.js';
import { type Brought, broughtTo } from './brought.js';
import type { Walked } from './part.js';

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
  /** Choices of the vehicle, those together that one step reads together (`Likeness.letGo`). */
  readonly brought: readonly Brought[];
  readonly leaves: ReadonlySet<FactId>;
  readonly parkLeaves: ReadonlySet<FactId>;
  readonly parks: boolean;
  /** Questions to the end, at most. */
  readonly bound: number;
};

export function groundOf(walked: Walked, parkLeaves: readonly FactId[]): Ground {
  const { flow, steps, rules } = walked;
  const reads = new Set<string>();
  for (const step of steps) for (const condition of step.when) reads.add(condition.reads);
  return {
    rules,
    kept: new Set(flow.given),
    reads: [...reads].sort(),
    made: new Set(steps.flatMap((step) => step.sets?.choice ?? [])),
    brought: broughtTo([...flow.choices.values()], steps),
    leaves: new Set(flow.leaves),
    parkLeaves: new Set(parkLeaves),
    parks: steps.some((step) => step.route === 'park'),
    bound: 4 * flow.steps.length,
  };
}

/** Collects breaks; of the same break the one with the shortest path is kept. */
export class Findings {
  private readonly found = new Map<string, Break>();
  private stopped = false;

  /** `enough` says of a break that nothing more need be found after it. */
  constructor(private readonly enough: (found: Break) => boolean) {}

  /** What was enough has been found. */
  get done(): boolean {
    return this.stopped;
  }

  report(property: Break['property'], problem: string, step: string | null, path: readonly string[]): void {
    const id = `${property} ${problem}`;
    const known = this.found.get(id);
    if (known === undefined || known.path.length > path.length) {
      const found = { property, problem, step, path };
      this.found.set(id, found);
      this.stopped ||= this.enough(found);
    }
  }

  breaks(): readonly Break[] {
    return [...this.found.values()];
  }
}

/** At the end of the job every opening is gone but those that the flow leaves. */
export function openAtEnd(
  { rules, leaves }: Ground,
  findings: Findings,
  course: Course,
  path: () => readonly string[],
): void {
  for (const fact of rules.facts) {
    if (!fact.opening || leaves.has(fact.id)) continue;
    if (factValue(rules, course, fact.id) === 'gone') continue;
    findings.report('closed', `${fact.id} is still open at the end`, null, path());
  }
}
