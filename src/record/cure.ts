import type { Flow } from '../flow/flow.js';
import type { Value } from '../job/event.js';
import type { Job } from '../job/job.js';
import { labelOf } from '../talk/phrase.js';
import type { RecordLine } from './line.js';

/** The conditions that timers and releases rested on: the air log, the data sheet, every instant that was told. */
export type Cure = {
  readonly air: readonly {
    readonly at: number;
    readonly celsius: number;
    readonly percentRh: number;
    readonly by: string;
  }[];
  readonly sheet: readonly { readonly key: string; readonly value: Value }[];
  readonly clocks: readonly Clock[];
};

export type Clock = {
  readonly label: string;
  /** `after`: not before its instant. `within`: not after it. */
  readonly is: 'after' | 'within';
  readonly startedAt: number;
  /** Every instant told, the last of them the one that counted. */
  readonly told: readonly {
    readonly instant: number;
    readonly at: number;
    readonly because: 'start' | 'air' | 'value';
  }[];
  /** When the timer came to its end, or the deadline passed. */
  readonly endedAt: number | null;
  /** When it was started anew before it had ended: its ground had been disturbed. */
  readonly afreshAt: number | null;
};

/** Every run of every clock of the job; a clock that was started afresh is a run of its own. */
export function cureOf(job: Job, flow: Flow, lines: readonly RecordLine[]): Cure {
  const air: Cure['air'][number][] = [];
  const runs: { fact: string; clock: Clock }[] = [];
  for (const event of lines.flatMap((line) => line.events)) {
    if (event.type === 'air-logged') {
      air.push({ at: event.at, celsius: event.celsius, percentRh: event.percentRh, by: event.name });
    }
    if (event.type === 'clock-due' || event.type === 'deadline-passed') {
      alter(runs, event.fact, (clock) => ({ ...clock, endedAt: event.at }));
    }
    if (!('changes' in event)) continue;
    for (const change of event.changes) {
      const fact = flow.facts.get(change.fact);
      if (fact === undefined || fact.clock === null || change.at === undefined) continue;
      const instant = change.at;
      if (change.starts === true) {
        const told = [{ instant, at: event.at, because: 'start' as const }];
        const label = labelOf(flow, change.fact);
        const startedAt = event.at;
        alter(runs, change.fact, (old) => (old.endedAt === null ? { ...old, afreshAt: startedAt } : old));
        runs.push({
          fact: change.fact,
          clock: { label, is: fact.clock, startedAt, told, endedAt: null, afreshAt: null },
        });
      } else if (event.type === 'clock-moved') {
        const { because, at } = event;
        alter(runs, change.fact, (clock) => ({ ...clock, told: [...clock.told, { instant, at, because }] }));
      }
    }
  }
  const sheet = Object.entries(job.values).flatMap(([key, value]) =>
    key.startsWith('sealant.') ? [{ key, value }] : [],
  );
  return { air, sheet, clocks: runs.map((run) => run.clock) };
}

function alter(runs: { fact: string; clock: Clock }[], fact: string, to: (clock: Clock) => Clock): void {
  const at = runs.findLastIndex((run) => run.fact === fact);
  const run = runs[at];
  if (run !== undefined) runs[at] = { fact, clock: to(run.clock) };
}
