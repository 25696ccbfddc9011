import type { Course } from '../rule/course.js';
import { FACT_VALUES, type FactId, factOf, placeOf, stepAt } from '../rule/rules.js';
import type { Ground } from './proof.js';

const DOUBT = FACT_VALUES.indexOf('doubt');
const GONE = FACT_VALUES.indexOf('gone');

/** What is asked of a fact: what its makers need, and which choices of the vehicle say who its makers are. */
type Origin = {
  readonly canLook: boolean;
  readonly grounds: readonly number[];
  readonly needed: readonly number[];
  readonly choices: readonly string[];
};

/**
 * Which of the vehicle's choices can turn how a step gets back what it lacks. They decide who makes a fact; so they say
 * nothing about facts that stand or that a look brings back, unless a need has several ways, which are weighed by their
 * makers even where these are not called for. Told too often rather than not.
 */
export class Turning {
  private readonly origins: readonly Origin[];
  /** By step: all that it depends on, and what the needs with several ways name. */
  private readonly wants: readonly { readonly all: readonly number[]; readonly weighed: readonly number[] }[];
  /** Facts seen in this round. */
  private readonly seen: Uint32Array;
  private round = 0;

  constructor({ rules, brought }: Ground) {
    const place = (id: FactId) => placeOf(rules, id);
    const under = (ids: readonly FactId[]): number[] => {
      const found = new Set<FactId>();
      const visit = (id: FactId): void => {
        if (found.has(id)) return;
        found.add(id);
        for (const below of factOf(rules, id).restOn) visit(below);
      };
      for (const id of ids) visit(id);
      return [...found].map(place);
    };
    const reading = (index: number) =>
      brought.flatMap(({ choices }) =>
        choices.filter(({ readers }) => readers.includes(index)).map(({ name }) => name),
      );
    this.origins = rules.facts.map((fact) => {
      const makers = rules.makers.get(fact.id) ?? [];
      // With the maker those steps are opened that close what it opens.
      const made = makers.flatMap((maker) =>
        stepAt(rules, maker).makes.filter((id) => factOf(rules, id).opening),
      );
      const closers = rules.steps.flatMap(({ ends }, index) =>
        ends.some((id) => made.includes(id)) ? [index] : [],
      );
      return {
        canLook: fact.canLook,
        grounds: fact.restOn.map(place),
        needed: under(makers.flatMap((maker) => stepAt(rules, maker).needs.flat(2))),
        choices: [...new Set([...makers, ...closers].flatMap(reading))],
      };
    });
    this.wants = rules.steps.map(({ needs }) => ({
      all: under(needs.flat(2)),
      weighed: needs.filter((need) => need.length > 1).flatMap((need) => need.flat().map(place)),
    }));
    this.seen = new Uint32Array(rules.facts.length);
  }

  /** The names of these choices, for the step at `index` in this course. */
  of({ values }: Course, index: number): ReadonlySet<string> {
    const found = new Set<string>();
    const wants = this.wants[index];
    if (wants === undefined) return found;
    this.round++;
    const remake = (place: number): void => {
      const origin = this.origins[place];
      if (origin === undefined || this.seen[place] === this.round) return;
      this.seen[place] = this.round;
      for (const name of origin.choices) found.add(name);
      for (const needed of origin.needed) if (this.isLacking(values, needed)) remake(needed);
    };
    for (const place of wants.all) if (this.isLacking(values, place)) remake(place);
    for (const place of wants.weighed) remake(place);
    return found;
  }

  /** Neither time nor a look brings it back, or not all that it rests on. */
  private isLacking(values: Uint8Array, place: number): boolean {
    const origin = this.origins[place];
    if (origin === undefined) return false;
    const value = values[place];
    if (value === GONE || (value === DOUBT && !origin.canLook)) return true;
    for (const ground of origin.grounds) if (this.isLacking(values, ground)) return true;
    return false;
  }
}
