import type { Step } from '../flow/flow.js';
import { applies } from '../rule/rules.js';
import { stepNamed } from './correct.js';
import type { Draft, Speaker } from './draft.js';
import type { KeptIn } from './refusal.js';
import { isForeman } from './ways.js';

/** What may be left blank without anything later resting on it. */
const LOOSE: ReadonlySet<string> = new Set(['text', 'photo']);

/**
 * Leaves out an ordinary step, with a reason, on a foreman's word: `leave out photo-before camera broken`, or the reason alone
 * for the step that is asked. What makes or ends a fact, counts, measures, tightens, is a gate, decides the way or is done in a
 * hazard stays, whoever asks. Whoever turns the bolts leaves nothing out of his own job.
 */
export function leaveOut(draft: Draft, who: Speaker, said: string): void {
  const { job, flow, now } = draft;
  if (!isForeman(draft, who)) return draft.refuse({ why: 'left-out' }, who);
  if (who.by === job.holder) return draft.refuse({ why: 'left-out', because: 'own' }, who);
  const ahead = flow.steps.filter(
    (step) => step.route === job.route && job.closed[step.id] !== true && applies(step, job.choices),
  );
  const [first = '', ...rest] = said.trim().split(/\s+/);
  const named = stepNamed(ahead, first.replace(/[:,]$/, ''));
  const step = named ?? ahead.find(({ id }) => id === job.asked?.step && job.asked.what === 'step') ?? null;
  if (step === null) return draft.refuse({ why: 'nothing-asked' }, who);
  const because = keptIn(step);
  if (because !== null) return draft.refuse({ why: 'left-out', because }, who);
  const reason = (named === null ? said : rest.join(' ')).trim();
  if (reason === '') return draft.refuse({ why: 'reason-needed' }, who);
  draft.emit({ type: 'step-left-out', step: step.id, reason, by: who.by, name: who.name, at: now });
}

/** Why a step may not be left out; null for an ordinary one, on which nothing later rests. */
export function keptIn(step: Step): KeptIn | null {
  if (step.route === 'park') return 'park';
  if (step.kind === 'gate') return 'gate';
  if (step.kind === 'tighten' || step.tighten !== null) return 'tightens';
  if (step.kind === 'measure' || step.kind === 'watch' || step.judge !== null) return 'measures';
  if (step.kind === 'wait') return 'waits';
  if (step.makes.length > 0) return 'makes';
  if (step.ends.length > 0) return 'ends';
  if (step.kind === 'choose') return 'decides';
  for (const ask of step.asks) {
    if (ask.ask === 'field' && ask.type === 'count') return 'counts';
    if (ask.ask === 'field' && !LOOSE.has(ask.type)) return 'kept';
    if (ask.ask !== 'field' && ask.ask !== 'confirm') return 'measures';
  }
  return step.hazard === 'none' ? null : 'hazard';
}
