import type { Flow } from '../flow/flow.js';
import type { Event } from '../job/event.js';
import type { Job } from '../job/job.js';
import {
  clockMovedLines,
  closedLines,
  deadlineLines,
  doubtedLines,
  lookedLines,
  provedLines,
  reopenedLines,
  startedLines,
  undoneLines,
} from './change.js';
import { echoOf } from './echo.js';
import { endLines } from './end.js';
import { ln, stopped, uncap, when, widthOf } from './line.js';
import {
  catchUpLines,
  caughtUpLines,
  holderLines,
  modeLines,
  offeredLines,
  oldLockLines,
  parkAskedLines,
} from './mode.js';
import { amount, bayOf, filled, gearPiece, labelsOf, personOf, titleOf, warningsOf } from './phrase.js';
import type { Line } from './post.js';
import { recap } from './recap.js';
import { refusalLines } from './refusal.js';
import { AS_ASKED, AS_BEFORE, keyText, verdictText } from './verdict.js';
import { watchedLines } from './watch.js';

/** A short echo and its judgement share a line. */
function joined(lines: readonly Line[]): readonly Line[] {
  const out: Line[] = [];
  for (const line of lines) {
    const last = out.at(-1);
    const small = last !== undefined && widthOf(last) <= 28 && widthOf(line) <= 50;
    const first = typeof line[0] === 'string' ? line[0] : '';
    if (small && first.startsWith('In limits')) out[out.length - 1] = ln`${last} ${line}`;
    // `12, as counted before.`
    else if (small && (first === AS_BEFORE || first === AS_ASKED))
      out[out.length - 1] = ln`${unstopped(last)}, ${uncap(first)}`;
    else out.push(line);
  }
  return out;
}

/** An echo without its full stop. */
function unstopped(line: Line): Line {
  const last = line.at(-1);
  return typeof last === 'string' ? [...line.slice(0, -1), last.replace(/\.$/, '')] : line;
}

/** What the bay is told of one line's events, before the question: echo, judgement, what follows. */
export function toldLines(job: Job, flow: Flow, events: readonly Event[]): readonly Line[] {
  const lines: Line[] = [];
  const reopened = events.filter((event) => event.type === 'steps-reopened');
  const closed = events.filter((event) => event.type === 'step-closed');
  for (const event of events) {
    if (event.type === 'steps-reopened') {
      if (event === reopened[0]) lines.push(...reopenedLines(job, flow, events));
    } else if (event.type === 'step-closed') {
      if (event === closed[0]) lines.push(...closedLines(job, flow, closed));
    } else {
      lines.push(...linesOf(job, flow, event, events));
    }
  }
  return joined(lines);
}

/** The words for one event in its bay. Every type of event is here: one that says nothing says so. */
function linesOf(
  job: Job,
  flow: Flow,
  event: Exclude<Event, { type: 'steps-reopened' | 'step-closed' }>,
  events: readonly Event[],
): readonly Line[] {
  switch (event.type) {
    case 'job-started':
      return [
        ln`${flow.title}. Job ${event.number}, ${bayOf(event.bay)}, ${event.car.registration} ${event.car.model}.`,
        ln`An aid to trained people: the maker's procedure and local law come first.`,
      ];
    case 'step-shown':
      return startedLines(job, flow, event.changes);
    case 'answer-taken-back':
      return [];
    case 'answered': {
      const echo = echoOf(job, flow, event);
      return echo === '' ? [] : [ln`${echo}`];
    }
    case 'watched':
      return watchedLines(job, flow, event);
    case 'watched-taken-back':
      return [ln`Taken back.`];
    case 'judged':
      return [ln`${verdictText(event)}`];
    case 'step-completed':
      return [...provedLines(job, flow, event), ...startedLines(job, flow, event.changes)];
    case 'visit-ended':
      return event.because === 'silence'
        ? [ln`No answer for too long. The gate is asked afresh, all of it, with your next word.`]
        : [];
    case 'looked':
      return lookedLines(flow, event);
    case 'doubted':
      return doubtedLines(job, flow, event);
    case 'undone':
      return undoneLines(flow, event);
    case 'alarmed':
      return [ln`Has to be made anew before it goes on: ${labelsOf(flow, event.facts)}.`];
    case 'balance-left':
      return [
        ln`Coolant balance left as not known by ${event.name}: ${stopped(event.reason)}`,
        ln`Never taken as balanced. Insulation is measured again, level and couplings looked at.`,
      ];
    case 'deadline-passed':
      return deadlineLines(job, flow, event);
    case 'clock-due':
      // While the bay waits for more than one timer, the first to end changes nothing.
      if (job.waitingFor !== null) return [];
      return [ln`Time is up: ${labelsOf(flow, [event.fact])}.${warningsOf(flow, [event.fact])}`];
    case 'clock-moved':
      return clockMovedLines(job, flow, event);
    case 'refused':
      return refusalLines(job, flow, event);
    case 'standby-named':
      return events.some((one) => one.type === 'answered' && one.answer.ask === 'standby')
        ? []
        : [ln`Standby: ${event.name}.`];
    case 'checked-in':
      return presence(events) === event ? [ln`${personOf(job, event.person)} is here.`] : [];
    case 'mode-changed':
      if (event.from === 'handing-over' && events.some((one) => one.type === 'holder-changed')) return [];
      return modeLines(job, flow, event, events.some(judgedBad));
    case 'park-asked':
      return parkAskedLines(flow, event);
    case 'parking-ended':
      return event.done || events.some((one) => one.type === 'mode-changed') ? [] : [ln`Parking ended.`];
    case 'hand-over-offered':
      return offeredLines(job, event);
    case 'holder-changed':
      return holderLines(job, event);
    case 'old-lock-off':
      return oldLockLines(job, event);
    case 'step-left-out':
      return [
        ln`Left out by ${event.name}: ${stopped(titleOf(job, flow, event.step))}`,
        ln`Why: ${stopped(event.reason)}`,
      ];
    case 'catch-up-offered':
      return catchUpLines(job, flow, event);
    case 'caught-up':
      return caughtUpLines(job, flow, event);
    case 'noted':
      return [ln`${event.photo === null ? 'Noted' : 'Noted, photo kept'}, ${when(event.at, job.now)}.`];
    case 'air-logged':
      return events.some((one) => one.type === 'answered')
        ? []
        : [ln`Air: ${event.celsius} °C, ${event.percentRh} %. Logged.`];
    case 'value-missing':
      return [
        ln`A value is missing: ${keyText(event.key)}.`,
        ln`The foreman is asked. It waits: ${stopped(titleOf(job, flow, event.step))}`,
      ];
    case 'value-set': {
      const what = event.adopted ? 'Corrected' : 'Entered';
      return [
        ln`${what} by ${event.name}: ${keyText(event.key)} ${filled(job, `{${event.key}}`)}, ${event.value.reference}.`,
      ];
    }
    case 'told-about':
      return recap(job, flow, event.what);
    case 'told-gear':
      return [
        ln`${event.gear} failed its second proving in ${bayOf(event.bay)}: what it proved here is no proof.`,
      ];
    case 'told-value': {
      const now =
        event.value === null
          ? ''
          : `, now ${event.value.quantity === null ? event.value.text : amount(event.value.quantity)}`;
      return [
        ln`${keyText(event.key)} was changed in ${bayOf(event.bay)}${now}. The foreman is asked about this job.`,
      ];
    }
    case 'gear-taken':
      return [ln`Now used: ${event.gear.map(gearPiece).join(', ')}.`];
    case 'job-ended':
      return endLines(job, flow, event);
    // Said by their cards, by the question, by an alert, or by another event of the same line.
    case 'stop-called':
    case 'told-danger':
    case 'look-asked':
    case 'waiting':
    case 'check-in-asked':
    case 'still-there-asked':
    case 'summoned':
    case 'watch-asked':
    case 'heard-from':
    case 'shift-noted':
    case 'figures-kept':
    case 'values-loaded':
    case 'parking-begun':
      return [];
  }
}

function judgedBad(event: Event): boolean {
  return event.type === 'judged' && (event.verdict === 'hold' || event.verdict === 'stop');
}

/** A bare HERE is acknowledged; a check-in that came with an answer is not. */
function presence(events: readonly Event[]): Event | undefined {
  const only = events.every(
    (event) => event.type === 'checked-in' || event.type === 'heard-from' || event.type === 'shift-noted',
  );
  return only ? events.find((event) => event.type === 'checked-in') : undefined;
}
