import type { Draft } from './draft.js';
import { watchMinutes } from './settling.js';
import { watchDue, watchOpen } from './watch.js';

/** What the bot does by itself about what is watched: it asks, asks once more, then tells the foreman. */
export function watchPending(
  job: Draft['job'],
  flow: Draft['flow'],
): readonly { readonly at: number; readonly happen: (draft: Draft) => void }[] {
  const open = watchOpen(job, flow);
  if (open === null) return [];
  const due = watchDue(job, flow, watchMinutes(job, open.watch));
  if (due === null) return [];
  const { step, watch } = open;
  const times = due.do === 'ask' ? 1 : due.do === 'ask-again' ? 2 : 3;
  const happen = (draft: Draft) => {
    const visit = draft.job.asked?.visit ?? draft.job.visits;
    draft.emit({ type: 'watch-asked', step: step.id, of: watch.name, visit, times, at: draft.now });
    if (times < 3) return;
    draft.emit({ type: 'summoned', what: 'watch-unanswered', to: 'foreman', detail: step.id, at: draft.now });
  };
  return [{ at: due.at, happen }];
}
