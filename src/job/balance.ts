import { firstOpen } from '../rule/next.js';
import { alarm } from './conclude.js';
import type { Draft, Speaker } from './draft.js';
import { wentIn } from './pour.js';
import { stepOfIndex, viewOfJob } from './view.js';
import { isForeman, release } from './ways.js';

/**
 * The foreman's way on from a coolant balance that nobody can tell any more: a tray emptied unread, more in than out
 * that nothing explains. It never counts as balanced. What the step names under `alarm:` is gone, so that insulation
 * is measured again before the balance is asked once more, and the hold, which it ends, has put all states up for a
 * look. More coolant after that than the shop's tolerance is an alarm again.
 */
export function leaveBalance(draft: Draft, who: Speaker, reason: string): void {
  const { job, flow } = draft;
  if (!isForeman(draft, who)) return draft.refuse({ why: 'not-foreman' }, who, true);
  if (who.by === job.holder) return draft.refuse({ why: 'own-hold' }, who, true);
  if (reason.trim() === '') return draft.refuse({ why: 'reason-needed' }, who);
  const index = firstOpen(flow.rules, viewOfJob(job, flow));
  const step = index === null ? null : stepOfIndex(flow, index);
  if (job.mode !== 'held' || step?.judge !== 'coolant-balance') {
    return draft.refuse({ why: 'nothing-asked' }, who);
  }
  const inMl = wentIn(job);
  draft.emit({
    type: 'balance-left',
    step: step.id,
    reason: reason.trim(),
    inMl,
    by: who.by,
    name: who.name,
    at: draft.now,
  });
  alarm(draft, step, 'balance-not-known');
  release(draft, who, reason);
}
