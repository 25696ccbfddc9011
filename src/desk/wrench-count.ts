import type { Flow } from '../flow/flow.js';
import type { Event } from '../job/event.js';
import { fold, foldAll } from '../job/fold.js';
import type { Job } from '../job/job.js';
import { tightenPlan } from '../job/tighten.js';
import type { Line } from '../journal/line.js';
import type { ShopPort } from './shop-port.js';

/** How often a wrench clicked in one line of a job. */
type Clicks = { readonly gear: string; readonly cycles: number };

/**
 * The cycles of the wrenches used in a tightening step that was completed: every bolt in every pass is one. Turning a
 * bolt on after it has clicked and trying the wrench are not known here. Common practice, no source. `job` is the job
 * after the events.
 */
export function clicksOf(job: Job, flow: Flow, events: readonly Event[]): readonly Clicks[] {
  const found = new Map<string, number>();
  for (const event of events) {
    if (event.type !== 'step-completed') continue;
    const index = flow.rules.indexOf.get(event.step);
    const step = index === undefined ? undefined : flow.steps[index];
    if (step === undefined || step.tighten === null) continue;
    const wrench = event.gear.find(({ kind }) => kind === 'wrench');
    const plan = tightenPlan(job, step, null);
    if (wrench === undefined || plan === null) continue;
    found.set(wrench.id, (found.get(wrench.id) ?? 0) + plan.bolts * plan.stages.length);
  }
  return [...found].map(([gear, cycles]) => ({ gear, cycles }));
}

/**
 * Counts a line's cycles in the register. One that is not taken now is counted when the job is filed, from its journal.
 */
export async function countLine(
  shop: ShopPort,
  job: Job,
  flow: Flow,
  { seq, events }: Pick<Line, 'seq' | 'events'>,
): Promise<void> {
  for (const { gear, cycles } of clicksOf(job, flow, events))
    await shop.countCycles({ gear, job: job.id, seq, cycles });
}

/** Counts all lines of a journal; what was counted before is not counted again. */
export async function countJournal(
  shop: ShopPort,
  id: string,
  flow: Flow,
  lines: readonly Line[],
): Promise<void> {
  let job = foldAll(id, []);
  for (const line of lines) {
    job = fold(job, line);
    await countLine(shop, job, flow, line);
  }
}
