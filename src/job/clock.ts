import type { Fact, Flow } from '../flow/flow.js';
import type { FactId } from '../rule/rules.js';
import { valueIn } from '../units/quantity.js';
import { releaseInstant, releaseOf } from './cure.js';
import type { Job } from './job.js';
import { valueOfRef } from './value.js';

/**
 * The instant of a clock that starts at `startMs`, in ms since 1970: from then on it stands, or until then.
 * Null when what it takes is not known, which the flow's own order keeps from happening.
 */
export function clockInstant(job: Job, flow: Flow, id: FactId, startMs: number): number | null {
  const fact = flow.facts.get(id);
  if (fact === undefined || fact.time === null) return null;
  const release = 'from' in fact.time && fact.time.from === 'figure' ? releaseOf(fact.time.name) : null;
  if (release !== null) {
    const told = job.facts[id]?.at ?? null;
    return releaseInstant(job, release, startMs, job.facts[id]?.value === 'running' ? told : null);
  }
  const lasts = durationMs(job, fact);
  return lasts === null ? null : startMs + lasts;
}

function durationMs(job: Job, fact: Fact): number | null {
  const { time } = fact;
  if (time === null) return null;
  const quantity =
    'value' in time ? time : time.from === 'figure' ? job.figures[time.name] : valueOfRef(job, time);
  return quantity === undefined || quantity === null ? null : valueIn(quantity, 's') * 1000;
}
