import type { Flow } from '../flow/flow.js';
import { type Change, changesOfDoubt } from '../rule/change.js';
import { restingOn } from '../rule/next.js';
import type { FactId, FactValue, StepId } from '../rule/rules.js';
import { clockInstant } from './clock.js';
import type { DoubtCause, Event, FactChange } from './event.js';
import { evolve } from './evolve.js';
import type { Job } from './job.js';
import type { Refusal } from './refusal.js';
import { factOfJob, stepOf } from './view.js';
import type { World } from './world.js';

/** Who an input came from. */
export type Speaker = { readonly by: string; readonly name: string };

/** The bot itself, where nobody said anything. */
export const NOBODY: Speaker = { by: 'warden', name: 'warden' };

/**
 * The decision being made: events so far, and the job as they leave it. Each `emit` folds at once, so that what
 * is judged next sees what was just concluded.
 */
export class Draft {
  readonly events: Event[] = [];
  job: Job;

  constructor(
    job: Job,
    readonly flow: Flow,
    readonly world: World,
  ) {
    this.job = job;
  }

  get now(): number {
    return Math.max(this.world.now, this.job.now);
  }

  emit(event: Event): void {
    this.events.push(event);
    this.job = evolve(this.job, event);
  }

  value = (fact: FactId): FactValue => factOfJob(this.job, fact);

  /** The changes with the instants of the clocks that start with them. */
  timed(changes: readonly Change[], at: number = this.now): FactChange[] {
    return changes.map(({ fact, to, starts }) => {
      if (starts !== true) return { fact, to };
      const instant = clockInstant(this.job, this.flow, fact, at);
      return instant === null ? { fact, to, starts } : { fact, to, at: instant, starts };
    });
  }

  /** `counts`: a foreman sees it; at a gate every third one, of whatever kind, calls for one. */
  refuse(refusal: Refusal, who: Speaker, counts = false): void {
    const step = this.job.asked?.step ?? null;
    const before = this.refusedAt(step);
    this.emit({ type: 'refused', refusal, step, counts, by: who.by, name: who.name, at: this.now });
    const times = this.refusedAt(step);
    if (step !== null && times > before && times % 3 === 0 && stepOf(this.flow, step).kind === 'gate') {
      this.emit({ type: 'summoned', what: 'gate-refused', to: 'foreman', detail: step, at: this.now });
    }
    if (refusal.why === 'level') {
      const detail = `${refusal.person} ${refusal.level}`;
      this.emit({ type: 'summoned', what: 'level', to: 'foreman', detail, at: this.now });
    }
  }

  private refusedAt(step: StepId | null): number {
    return step === null ? 0 : (this.job.refusedAt[step] ?? 0);
  }

  /**
   * These facts lapse, and with them the visit to a step that needs one. Where the step itself ends the fact, showing it
   * has put it in doubt already, so that the change alone would not tell.
   */
  lapse(cause: DoubtCause, ids: readonly FactId[], since?: number): void {
    const { rules } = this.flow;
    this.doubt(cause, changesOfDoubt(rules, ids, this.value), since);
    const { asked } = this.job;
    if (asked === null || asked.what !== 'step' || asked.ended) return;
    const hit = restingOn(rules, ids);
    const lost = (fact: FactId) => hit.has(fact) && this.value(fact) !== 'stands';
    const { needs } = stepOf(this.flow, asked.step);
    if (!needs.some((need) => need.every((way) => way.some(lost)))) return;
    this.emit({ type: 'visit-ended', step: asked.step, because: 'lapse', at: this.now });
  }

  doubt(cause: DoubtCause, changes: readonly Change[], since?: number): void {
    if (changes.length === 0) return;
    const heard = since === undefined ? {} : { since };
    this.emit({ type: 'doubted', cause, at: this.now, ...heard, changes: this.timed(changes) });
  }
}
