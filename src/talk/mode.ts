import type { Flow } from '../flow/flow.js';
import type { Event } from '../job/event.js';
import type { Job } from '../job/job.js';
import { ln, stopped } from './line.js';
import { bayOf, labelsOf, personOf, spaced, stepOf, titleOf } from './phrase.js';
import type { Line } from './post.js';
import { reasonText } from './verdict.js';

type Of<T extends Event['type']> = Event & { readonly type: T };

/** Words for the ways out of the ordinary: pause, hold, handover, park, catch-up. */

/** `verdictTold`: the judgement that brought the hold stands in the same post already. */
export function modeLines(
  job: Job,
  flow: Flow,
  changed: Of<'mode-changed'>,
  verdictTold: boolean,
): readonly Line[] {
  switch (changed.to) {
    case 'working':
      return workingLines(job, flow, changed);
    case 'paused':
      return [ln`Paused. RESUME goes on. A long pause means looks and proofs again.`];
    case 'held': {
      const bare = changed.reason.trim() === '';
      const reason = verdictTold || bare ? '' : `: ${reasonText(job, flow, changed.reason)}`;
      const by = changed.by === 'warden' ? '' : ` By ${changed.name}.`;
      // The reason that was asked for.
      if (changed.from === 'held') return [ln`${stopped(`On hold${reason}`)}${by}`];
      return [
        ln`${stopped(`On hold${reason}`)}${by}`,
        ln`Leave it as it is, step back. The foreman is called.`,
        ...(bare ? [ln`Why? One line, please.`] : []),
      ];
    }
    case 'stopped':
    case 'handing-over':
    case 'done':
    case 'called-off':
    case 'catching-up':
      // The card, the offer and the summary say it.
      return [];
    case 'parking':
      if (changed.from === 'held' || changed.from === 'stopped') return releasedLines(job, flow, changed);
      return [ln`Parking: the steps to leave it follow. RESUME goes back to the job.`];
    case 'parked':
      return parkedLines(job, flow);
  }
}

function workingLines(job: Job, flow: Flow, changed: Of<'mode-changed'>): readonly Line[] {
  switch (changed.from) {
    case 'held':
    case 'stopped':
      return releasedLines(job, flow, changed);
    case 'paused':
      return [ln`On again, ${changed.name}.`];
    case 'parked':
      return [ln`On again after the park, ${changed.name}. States are looked at, proofs made again.`];
    case 'parking':
      return [ln`Parking ended, back to the job.`];
    case 'handing-over':
      return [ln`Kept: ${personOf(job, job.holder)} holds the job.`];
    default:
      return [];
  }
}

function releasedLines(job: Job, flow: Flow, changed: Of<'mode-changed'>): readonly Line[] {
  const reason = changed.reason.trim() === '' ? '' : `: ${reasonText(job, flow, changed.reason)}`;
  return [
    ln`${stopped(`Released by ${changed.name}${reason}`)}`,
    ln`States are looked at first, proofs made again.`,
  ];
}

/** What a parked job has open, what runs overnight, and how it goes on. */
export function parkedLines(job: Job, flow: Flow): readonly Line[] {
  const open = openingsOf(job, flow);
  const night = flow.steps
    .filter((step) => step.route === 'park')
    .flatMap((step) => step.asks)
    .flatMap((ask) => {
      const text = ask.ask === 'field' && ask.type !== 'photo' ? job.fields[ask.name] : undefined;
      return ask.ask === 'field' && text !== undefined ? [ln`${spaced(ask.name)}: ${text}`] : [];
    });
  return [
    ln`Parked. ${open.length === 0 ? 'Nothing is left open.' : openText(job, flow, 'Left open', 12)}`,
    ...(night.length === 0 ? [] : [ln`Overnight:`, ...night]),
    ln`RESUME goes on, with a look at every state first.`,
  ];
}

/** Openings that are not gone; one in doubt is still open. */
export function openingsOf(job: Job, flow: Flow): readonly string[] {
  return flow.rules.facts
    .filter((fact) => fact.opening && (job.facts[fact.id]?.value ?? 'gone') !== 'gone')
    .map((fact) => fact.id);
}

/**
 * Openings in words: `Open: lead off. Perhaps open: loop open.` Perhaps is what only the showing of a step has put in
 * doubt: the hand may have been quicker than the answer, or not.
 */
export function openText(job: Job, flow: Flow, head = 'Open', most = 8): string {
  const open = openingsOf(job, flow);
  const perhaps = open.filter((fact) => isPerhaps(job, fact));
  const sure = open.filter((fact) => !perhaps.includes(fact));
  return [
    ...(sure.length === 0 ? [] : [`${head}: ${labelsOf(flow, sure, most)}.`]),
    ...(perhaps.length === 0 ? [] : [`Perhaps open: ${labelsOf(flow, perhaps, most)}.`]),
  ].join(' ');
}

/** Whether nobody has said yet that it was opened, or closed. A doubt with a cause is about something that stood. */
export function isPerhaps(job: Job, fact: string): boolean {
  const standing = job.facts[fact];
  return standing?.value === 'doubt' && standing.why === null;
}

export function parkAskedLines(flow: Flow, asked: Of<'park-asked'>): readonly Line[] {
  const off =
    asked.then === 'called-off' ? `Called off by ${asked.name}: left as for the night first.` : null;
  const landing = asked.landing ? 'To the landing first: only its moves are shown. Then it is parked.' : null;
  const route = flow.steps.some((step) => step.route === 'park');
  return [off !== null && route ? ln`${off}` : null, landing === null ? null : ln`${landing}`].filter(
    (line) => line !== null,
  );
}

export function offeredLines(job: Job, offered: Of<'hand-over-offered'>): readonly Line[] {
  return [
    ln`${offered.toName}: ${bayOf(job.bay)} is handed to you by ${offered.name}. Answer TAKE.`,
    ln`Nothing moves until then. RESUME keeps it with ${personOf(job, job.holder)}.`,
  ];
}

export function holderLines(job: Job, changed: Of<'holder-changed'>): readonly Line[] {
  const from = personOf(job, changed.from);
  const lines = [ln`${changed.name} holds the job now, taken over from ${from}.`];
  if (changed.locked)
    lines.push(ln`${changed.name}: own lock on first. ${from}: yours comes off after that.`);
  lines.push(ln`States are looked at, proofs made again.`);
  return lines;
}

export function oldLockLines(job: Job, off: Of<'old-lock-off'>): readonly Line[] {
  const owner = personOf(job, off.owner);
  if (off.removed === null) return [ln`Lock of ${owner} off.`];
  return [ln`${stopped(`Lock of ${owner} removed by ${off.name}: ${off.removed}`)}`];
}

export function catchUpLines(job: Job, flow: Flow, offered: Of<'catch-up-offered'>): readonly Line[] {
  const other = offered.foreman ? personOf(job, job.holder) : 'Foreman';
  return [
    ln`${offered.name} says the job has come to: ${stopped(titleOf(job, flow, offered.to))}`,
    ln`${other}: look at the car. If it is so, answer AGREE.`,
  ];
}

export function caughtUpLines(job: Job, flow: Flow, caught: Of<'caught-up'>): readonly Line[] {
  const names = caught.agreed.map((id) => personOf(job, id)).join(' and ');
  const gates = caught.closed.filter((id) => stepOf(flow, id)?.kind === 'gate').length;
  return [
    ln`Caught up to: ${stopped(titleOf(job, flow, caught.to))} Agreed by ${names}.`,
    ln`${caught.closed.length} steps passed, ${gates} of them gates: not witnessed by the bot.`,
    ln`Every state is looked at, every proof made again.`,
  ];
}
