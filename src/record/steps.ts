import type { Flow } from '../flow/flow.js';
import type { Event, GearUsed } from '../job/event.js';
import type { Job } from '../job/job.js';
import type { TightenPlan } from '../job/tighten.js';
import { filled, stepOf } from '../talk/phrase.js';
import type { RecordLine } from './line.js';
import type { Finding, ReadingRow } from './readings.js';
import type { WatchedRow, WatchedThing } from './watched.js';

/**
 * How a step came to be behind the job: `done` by somebody in the thread, `stood` already and was not asked,
 * `not-witnessed` is a catch-up, `ended` a visit that closed nothing: what was said in it counts no more.
 */
export type StepEnd = 'done' | 'stood' | 'not-witnessed' | 'ended';

/** One visit to a step with all its evidence; a step that was opened again is there again. */
export type StepDone = {
  readonly step: string;
  readonly text: string;
  readonly end: StepEnd;
  readonly gate: boolean;
  readonly shownAt: number | null;
  readonly at: number;
  /** Who closed it; of a catch-up, those who agreed on it. Null where nobody did. */
  readonly by: string | null;
  readonly via: string;
  /** The message that closed it, as it was typed. */
  readonly words: string;
  /** Whose hands were at work when the standby answered for them. */
  readonly saidFor: string | null;
  readonly gear: readonly GearUsed[];
  readonly readings: readonly ReadingRow[];
  readonly sightings: readonly WatchedRow[];
  readonly findings: readonly Finding[];
  /** A photo that was the answer, by its SHA-256. */
  readonly photo: string | null;
  readonly judged: readonly Judged[];
  readonly seen: { readonly by: string; readonly at: number; readonly text: string } | null;
  readonly plan: TightenPlan | null;
  readonly reopenedAt: number | null;
};

type Judged = Event & { readonly type: 'judged' };
type Answered = Event & { readonly type: 'answered' };
type Parts = {
  readonly flow: Flow;
  readonly readings: readonly ReadingRow[];
  readonly findings: readonly Finding[];
  readonly watched: readonly WatchedThing[];
};

/** What a visit has gathered so far. */
type Visit = {
  readonly step: string;
  readonly visit: number;
  readonly shownAt: number | null;
  readonly plan: TightenPlan | null;
  judged: Judged[];
  gear: readonly GearUsed[];
  photo: string | null;
  saidFor: string | null;
  seen: StepDone['seen'];
  last: { readonly at: number; readonly by: string; readonly via: string; readonly words: string } | null;
};

/** Every visit that closed its step or in which something was said, in the order in which they ended. */
export function stepsOf(job: Job, lines: readonly RecordLine[], parts: Parts): readonly StepDone[] {
  const done: StepDone[] = [];
  const visits = new Map<string, Visit>();
  let inUse = new Map<string, GearUsed>();
  const visitOf = (step: string, visit: number): Visit => {
    const key = `${step} ${visit}`;
    const known = visits.get(key) ?? begun(step, visit, null, null);
    visits.set(key, known);
    return known;
  };
  const close = (visit: Visit, end: StepEnd, by: Visit['last'], gear: readonly GearUsed[]) => {
    visits.delete(`${visit.step} ${visit.visit}`);
    done.push(doneOf(job, parts, visit, end, by, [...gear, ...visit.gear, ...wrenchOf(visit.plan, inUse)]));
  };
  for (const line of lines) {
    const said = (by: string, at: number) => ({ at, by, via: line.via, words: line.words });
    for (const event of line.events) {
      if (event.type === 'step-shown') {
        visits.set(`${event.step} ${event.visit}`, begun(event.step, event.visit, event.at, event.plan));
      } else if (event.type === 'answered') {
        inUse = new Map([...inUse, ...gearIn(event).map((gear) => [gear.id, gear] as const)]);
        note(visitOf(event.step, event.visit), event, job, parts.flow);
        visitOf(event.step, event.visit).last = said(event.name, event.at);
      } else if (event.type === 'watched') {
        visitOf(event.step, event.visit).last = said(event.name, event.at);
      } else if (event.type === 'gear-taken') {
        inUse = new Map([...inUse, ...event.gear.map((gear) => [gear.id, gear] as const)]);
      } else if (event.type === 'judged') {
        [...visits.values()].findLast((visit) => visit.step === event.step)?.judged.push(event);
      } else if (event.type === 'step-completed') {
        close(visitOf(event.step, event.visit), 'done', said(event.name, event.at), event.gear);
      } else if (event.type === 'step-closed') {
        const unasked = { at: event.at, by: '', via: line.via, words: '' };
        close(begun(event.step, -1, null, null), 'stood', unasked, []);
      } else if (event.type === 'caught-up') {
        for (const step of event.closed) {
          const by = said(event.agreed.map((id) => job.names[id] ?? id).join(' and '), event.at);
          close(begun(step, -1, null, null), 'not-witnessed', by, []);
        }
      } else if (event.type === 'steps-reopened') {
        for (const step of event.steps) {
          const at = done.findLastIndex((one) => one.step === step && one.end !== 'ended');
          const found = done[at];
          if (found !== undefined) done[at] = { ...found, reopenedAt: found.reopenedAt ?? event.at };
        }
      }
    }
  }
  for (const visit of [...visits.values()]) if (visit.last !== null) close(visit, 'ended', visit.last, []);
  return done.toSorted((a, b) => a.at - b.at);
}

function begun(step: string, visit: number, shownAt: number | null, plan: TightenPlan | null): Visit {
  return {
    step,
    visit,
    shownAt,
    plan,
    judged: [],
    gear: [],
    photo: null,
    saidFor: null,
    seen: null,
    last: null,
  };
}

function note(visit: Visit, event: Answered, job: Job, flow: Flow): void {
  const { answer } = event;
  visit.saidFor = event.saidFor ?? visit.saidFor;
  visit.gear = [...visit.gear, ...gearIn(event)];
  if (answer.ask === 'confirm') visit.photo = answer.photo ?? visit.photo;
  if (answer.ask !== 'second-look') return;
  const ask = stepOf(flow, event.step)?.asks[event.ask];
  const text = ask?.ask === 'second-look' ? filled(job, ask.text) : '';
  visit.seen = { by: event.name, at: event.at, text };
}

function gearIn({ answer }: Answered): readonly GearUsed[] {
  return answer.ask === 'gear' ? answer.gear : [];
}

/** The wrench that a tightening was worked out for, as it was in this job. */
function wrenchOf(plan: TightenPlan | null, inUse: ReadonlyMap<string, GearUsed>): readonly GearUsed[] {
  const wrench = plan?.wrench == null ? undefined : inUse.get(plan.wrench.id);
  return wrench === undefined ? [] : [wrench];
}

function doneOf(
  job: Job,
  { flow, readings, findings, watched }: Parts,
  visit: Visit,
  end: StepEnd,
  by: Visit['last'],
  gear: readonly GearUsed[],
): StepDone {
  const of = <T extends { readonly step: string; readonly visit: number }>(rows: readonly T[]) =>
    rows.filter((row) => row.step === visit.step && row.visit === visit.visit);
  const step = stepOf(flow, visit.step);
  return {
    step: visit.step,
    text: step === null ? visit.step : filled(job, step.text),
    end,
    gate: step?.asks.some(({ ask }) => ask === 'word') ?? false,
    shownAt: visit.shownAt,
    at: by?.at ?? visit.shownAt ?? 0,
    by: by === null || by.by === '' ? null : by.by,
    via: by?.via ?? '',
    words: by?.words ?? '',
    saidFor: visit.saidFor,
    gear: [...new Map(gear.map((piece) => [piece.id, piece])).values()],
    readings: of(readings),
    sightings: watched.flatMap((thing) => of(thing.sightings)),
    findings: of(findings),
    photo: visit.photo,
    judged: visit.judged,
    seen: visit.seen,
    plan: visit.plan,
    reopenedAt: null,
  };
}
