import type { Flow } from '../flow/flow.js';
import type { Job } from '../job/job.js';
import { personOf, stepOf } from '../talk/phrase.js';
import type { RecordLine } from './line.js';

/** Who had a part in the job, and over what time; `to` is null until the end. */
export type Holding = { readonly name: string; readonly from: number; readonly to: number | null };

/** Who held the job over time: who was in charge at any instant. */
export function holdersOf(job: Job, lines: readonly RecordLine[]): readonly Holding[] {
  const held: Holding[] = [];
  for (const event of lines.flatMap((line) => line.events)) {
    if (event.type === 'job-started') held.push({ name: event.name, from: event.at, to: null });
    if (event.type === 'holder-changed') follow(held, event.name, event.at);
  }
  return ended(job, held);
}

/** Who stood by over time: from being named to the first doubt about it. Nobody stands by over a night in between. */
export function standbysOf(job: Job, flow: Flow, lines: readonly RecordLine[]): readonly Holding[] {
  const here = new Set(
    flow.steps.flatMap((step) => (step.asks.some(({ ask }) => ask === 'standby') ? step.makes : [])),
  );
  const named: Holding[] = [];
  for (const event of lines.flatMap((line) => line.events)) {
    if (event.type === 'standby-named') follow(named, personOf(job, event.person), event.at);
    if (!('changes' in event)) continue;
    const last = named.at(-1);
    const fell = event.changes.some(({ fact, to }) => here.has(fact) && (to === 'doubt' || to === 'gone'));
    // Being named puts it in doubt for the moment until it stands.
    if (fell && last?.to === null && event.at > last.from)
      named[named.length - 1] = { ...last, to: event.at };
  }
  return ended(job, named);
}

function follow(list: Holding[], name: string, at: number): void {
  const last = list.at(-1);
  if (last?.name === name && last.to === null) return;
  if (last?.to === null) list[list.length - 1] = { ...last, to: at };
  list.push({ name, from: at, to: null });
}

function ended(job: Job, list: readonly Holding[]): readonly Holding[] {
  const last = list.at(-1);
  return last === undefined || last.to !== null || job.endedAt === null
    ? list
    : [...list.slice(0, -1), { ...last, to: job.endedAt }];
}

/** How long a stage of the job took: being worked on, waiting for a timer, and standing still. In ms. */
export type StageTime = {
  readonly stage: string;
  readonly workedMs: number;
  readonly waitedMs: number;
  readonly stoodMs: number;
};

type Doing = 'workedMs' | 'waitedMs' | 'stoodMs';

/** Time per stage, from what was asked when. A stage is the flow that a step came from. */
export function stagesOf(flow: Flow, lines: readonly RecordLine[]): readonly StageTime[] {
  const times = new Map<string, { workedMs: number; waitedMs: number; stoodMs: number }>();
  let stage: string | null = null;
  let doing = 'workedMs' as Doing;
  let since = 0;
  const turn = (at: number, step: string | null, now: Doing) => {
    if (stage !== null) {
      const kept = times.get(stage) ?? { workedMs: 0, waitedMs: 0, stoodMs: 0 };
      kept[doing] += Math.max(0, at - since);
      times.set(stage, kept);
    }
    if (step !== null) stage = stepOf(flow, step)?.stage ?? stage;
    doing = now;
    since = at;
  };
  let away = false;
  for (const event of lines.flatMap((line) => line.events)) {
    if (event.type === 'step-shown') turn(event.at, event.step, away ? 'stoodMs' : 'workedMs');
    else if (event.type === 'look-asked') turn(event.at, event.forStep, away ? 'stoodMs' : 'workedMs');
    else if (event.type === 'waiting') turn(event.at, event.step, 'waitedMs');
    else if (event.type === 'mode-changed') {
      turn(event.at, null, event.to === 'working' || event.to === 'parking' ? 'workedMs' : 'stoodMs');
    } else if (event.type === 'value-missing') turn(event.at, event.step, 'stoodMs');
    // After the end of a shift nobody works on it until somebody is heard again.
    else if (event.type === 'shift-noted' && event.endsAt === null) {
      if (doing === 'workedMs') turn(event.at, null, 'stoodMs');
      away = true;
    } else if (event.type === 'heard-from' && away) {
      if (doing === 'stoodMs') turn(event.at, null, 'workedMs');
      away = false;
    } else if (event.type === 'job-ended') turn(event.at, null, 'workedMs');
  }
  return [...times].map(([name, time]) => ({ stage: name, ...time }));
}
