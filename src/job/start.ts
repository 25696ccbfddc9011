import type { Flow } from '../flow/flow.js';
import type { Car, Event, Value } from './event.js';
import { competence } from './fit.js';
import type { Refusal } from './refusal.js';
import type { World } from './world.js';

/** What a job is started with, gathered by the desk from the register. */
export type Opening = {
  readonly job: string;
  readonly number: string;
  readonly bay: string;
  readonly car: Car;
  readonly zone: string;
  readonly holder: string;
  /** The vehicle's, the shop's and the lift's values as they are now; a later change never reaches this job. */
  readonly values: Readonly<Record<string, Value>>;
  /** The vehicle's variant. */
  readonly choices: Readonly<Record<string, string>>;
};

/** Why a job cannot be started, as a refusal that says what to do. */
export type NotStarted =
  | Refusal
  | { readonly why: 'fragment'; readonly flow: string }
  | { readonly why: 'variant-missing'; readonly choice: string; readonly options: readonly string[] };

/** The event that starts a job, or why it cannot be. Only flows that stand by themselves are started by people. */
export function start(
  flow: Flow,
  opening: Opening,
  world: World,
): { readonly ok: true; readonly event: Event } | { readonly ok: false; readonly refusal: NotStarted } {
  const person = world.people.get(opening.holder);
  if (person === undefined) return { ok: false, refusal: { why: 'not-registered' } };
  if (!flow.start || flow.given.length > 0) return { ok: false, refusal: { why: 'fragment', flow: flow.id } };
  const lacks = levelLacking(flow, opening.holder, world);
  if (lacks !== null) return { ok: false, refusal: lacks };
  for (const choice of flow.choices.values()) {
    if (choice.from !== 'vehicle') continue;
    const made = opening.choices[choice.name];
    if (made === undefined || !choice.options.includes(made)) {
      return {
        ok: false,
        refusal: { why: 'variant-missing', choice: choice.name, options: choice.options },
      };
    }
  }
  return { ok: true, event: startedEvent(flow, opening, world) };
}

/**
 * Whose level has run out starts no job that has a gate for it: all of it would be done for somebody else to pass. A
 * trainee may: the gates are another one's in any case.
 */
function levelLacking(flow: Flow, person: string, world: World): Refusal | null {
  if (world.people.get(person)?.roles.includes('trainee') === true) return null;
  const ranks = flow.steps.flatMap(({ hazard }) => {
    const level = flow.hazards.get(hazard)?.level ?? null;
    return level === null ? [] : [flow.levels.indexOf(level)];
  });
  const lowest = flow.levels[Math.min(...ranks)];
  if (lowest === undefined) return null;
  const held = competence(world, flow, person, lowest);
  return held.ok ? null : held.refusal;
}

/** The event itself; the given facts of a fragment stand, for the checker's own trials. */
export function startedEvent(flow: Flow, opening: Opening, world: World): Event {
  return {
    type: 'job-started',
    job: opening.job,
    number: opening.number,
    flow: flow.id,
    bundle: flow.bundle,
    bay: opening.bay,
    car: opening.car,
    zone: opening.zone,
    holder: opening.holder,
    name: world.people.get(opening.holder)?.name ?? opening.holder,
    at: world.now,
    values: opening.values,
    choices: opening.choices,
    given: flow.given,
    emergency: world.emergency,
  };
}
