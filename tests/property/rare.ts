import type { Step } from '../../src/flow/flow.js';
import { LAPSES, type Lapse, undoing } from './lapses.js';
import type { Scene } from './mischief.js';

/** How often what was met over a run. */
export type Counts = {
  inputs: number;
  lapses: number;
  right: number;
  jobs: number;
  readonly shown: Map<string, number>;
  readonly passed: Map<string, number>;
  readonly refused: Map<string, number>;
};

export const newCounts = (): Counts => ({
  inputs: 0,
  lapses: 0,
  right: 0,
  jobs: 0,
  shown: new Map(),
  passed: new Map(),
  refused: new Map(),
});

/** What was met as often as this is not sought any more. */
export const ENOUGH = 24;

/** A lapse that brings about what was hardly ever met, if there is one here and now. */
export function rareLapse(scene: Scene, counts: Counts): Lapse | null {
  if (scene.job.mode !== 'working') return null;
  if (rarePark(scene, counts)) return LAPSES.find(({ name }) => name === 'park') ?? null;
  const handed = rareHandover(scene, counts);
  if (handed !== null) return LAPSES.find(({ name }) => name === handed) ?? null;
  const fact = rareUndone(scene, counts);
  return fact === null ? null : undoing(fact);
}

/** Some refusals need a foreman who holds the job, or a lock that two people hang on. */
function rareHandover({ job, crew, chance }: Scene, counts: Counts): string | null {
  const { refused } = counts;
  const locked = (refused.get('old-lock') ?? 0) < ENOUGH && job.facts['lock-on']?.value === 'stands';
  if (locked && chance.odds(0.1)) return 'handover';
  if ((refused.get('own-hold') ?? 0) >= ENOUGH || crew.foreman !== crew.holders[1]) return null;
  if (job.holder === crew.foreman) return chance.odds(0.3) ? 'hold' : null;
  return chance.odds(0.03) ? 'handover' : null;
}

function isRare(step: Step, counts: Counts): boolean {
  const met = step.kind === 'gate' ? counts.passed : counts.shown;
  return (met.get(step.id) ?? 0) < ENOUGH;
}

/** A step of parking that was hardly ever shown would be now. */
export function rarePark({ job, flow }: Scene, counts: Counts): boolean {
  if (job.mode !== 'working') return false;
  const open = (fact: string) => ((job.facts[fact]?.value ?? 'gone') === 'gone' ? 'no' : 'yes');
  const applies = (step: Step) =>
    step.when.every(
      (one) => one.reads.startsWith('open:') && one.is.includes(open(one.reads.slice('open:'.length))),
    );
  const park = flow.steps.filter((step) => step.route === 'park' && step.when.length > 0);
  return park.some((step) => applies(step) && isRare(step, counts));
}

/** Something stands whose maker was hardly ever shown: it is undone, so that it is made again. */
function rareUndone({ job, flow, crew }: Scene, counts: Counts): string | null {
  const front = flow.steps.findIndex((step) => step.id === job.front);
  const applies = (step: Step) => step.when.every((one) => one.is.includes(job.choices[one.reads] ?? ''));
  if (job.holder !== crew.holders[0] || job.asked === null) return null;
  for (const fact of flow.facts.values()) {
    if (fact.undoneBy.length === 0 || job.facts[fact.id]?.value !== 'stands') continue;
    const maker = flow.steps.findLast(
      (step, at) => at <= front && step.route === 'job' && step.makes.includes(fact.id) && applies(step),
    );
    if (maker !== undefined && isRare(maker, counts)) return fact.id;
  }
  return null;
}
