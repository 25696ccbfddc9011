import type { Flow } from '../flow/flow.js';
import type { Event } from '../job/event.js';
import type { Job } from '../job/job.js';
import {
  amount,
  bayOf,
  causeOf,
  dangerName,
  labelsOf,
  modeName,
  personOf,
  spaced,
  titleOf,
} from '../talk/phrase.js';
import { because, keyText, reasonText, verdictText } from '../talk/verdict.js';
import type { RecordLine } from './line.js';

/** Something out of the straight run, as the record tells it: when, who, what, and the words that were typed. */
export type Incident = {
  readonly at: number;
  readonly kind:
    | 'hold'
    | 'stop'
    | 'release'
    | 'pause'
    | 'refusal'
    | 'judgement'
    | 'reopened'
    | 'undone'
    | 'lapse'
    | 'look'
    | 'note'
    | 'leaving'
    | 'catch-up'
    | 'handover'
    | 'value'
    | 'left-out'
    | 'unshown';
  readonly by: string | null;
  readonly what: string;
  /** The words as they were typed; empty where time did it. */
  readonly words: string;
};

/** All incidents, in the order they happened. Facts only, no blame. */
export function incidentsOf(job: Job, flow: Flow, lines: readonly RecordLine[]): readonly Incident[] {
  return lines.flatMap((line) =>
    line.events.flatMap((event) => {
      const found = incidentOf(job, flow, event);
      return found === null ? [] : [{ ...found, at: 'at' in event ? event.at : line.at, words: line.words }];
    }),
  );
}

type Found = Pick<Incident, 'kind' | 'by' | 'what'>;

function incidentOf(job: Job, flow: Flow, event: Event): Found | null {
  switch (event.type) {
    case 'mode-changed':
      return modeIncident(job, flow, event);
    case 'stop-called': {
      const step = event.step === null ? '' : `, at: ${titleOf(job, flow, event.step)}`;
      return by(
        'stop',
        event.name,
        `STOP${event.danger === null ? '' : `, ${dangerName(event.danger)}`}${step}`,
      );
    }
    case 'refused': {
      const step = event.step === null ? '' : `, at: ${titleOf(job, flow, event.step)}`;
      return by('refusal', event.name, `not taken (${event.refusal.why.replaceAll('-', ' ')})${step}`);
    }
    case 'judged':
      if (event.verdict === 'passed') return null;
      return by('judgement', null, `${titleOf(job, flow, event.step)}: ${verdictText(event)}`);
    case 'watched': {
      const { verdict, total, rate } = event.outcome;
      if (verdict !== 'not-falling') return null;
      const come = `${spaced(event.of)} ${amount(total.quantity)}${rate === null ? '' : `, ${amount(rate)}`}`;
      return by('judgement', event.name, `does not die away: ${come}`);
    }
    case 'steps-reopened': {
      const why =
        event.fact === null
          ? causeOf(event.because)
          : `${labelsOf(flow, [event.fact])} (${causeOf(event.because)})`;
      const steps = event.steps.map((step) => titleOf(job, flow, step)).join('; ');
      return by('reopened', null, `${why}: ${steps}`);
    }
    case 'undone':
      return by(
        'undone',
        event.name,
        event.facts.length === 0 ? 'did not stand anyway' : labelsOf(flow, event.facts, 12),
      );
    case 'doubted': {
      const facts = event.changes.map((change) => change.fact);
      return facts.length === 0
        ? null
        : by('lapse', null, `${causeOf(event.cause)}: ${labelsOf(flow, facts, 20)}`);
    }
    case 'clock-moved': {
      const stopped = event.changes.filter((change) => change.stopped !== undefined);
      if (stopped.length === 0) return null;
      const facts = stopped.map((change) => change.fact);
      const why = because(stopped[0]?.stopped?.because ?? '');
      return by('lapse', null, `cure stopped, ${why}, the time does not count: ${labelsOf(flow, facts)}`);
    }
    case 'alarmed':
      return by('lapse', null, `${because(event.because)}: ${labelsOf(flow, event.facts)}`);
    case 'balance-left':
      return by('release', event.name, `coolant balance left as not known: ${event.reason}`);
    case 'deadline-passed':
      return by('lapse', null, `time ran out: ${labelsOf(flow, [event.fact])}`);
    case 'looked':
      return by('look', event.name, `${event.found ? 'so' : 'NOT so'}: ${labelsOf(flow, event.facts, 20)}`);
    case 'noted':
      return by('note', event.name, `${event.text}${event.photo === null ? '' : ` [photo ${event.photo}]`}`);
    case 'park-asked':
      return by('leaving', event.name, event.then === 'parked' ? 'park asked' : 'called off');
    case 'parking-ended':
      return by('leaving', null, leavingText(flow, event));
    case 'catch-up-offered':
      return by('catch-up', event.name, `says the job has come to: ${titleOf(job, flow, event.to)}`);
    case 'caught-up': {
      const names = event.agreed.map((id) => personOf(job, id)).join(', ');
      const steps = event.closed.map((step) => titleOf(job, flow, step)).join('; ');
      return by('catch-up', event.name, `not witnessed by the bot, agreed by ${names}: ${steps}`);
    }
    case 'step-left-out':
      return by('left-out', event.name, `left out, ${event.reason}: ${titleOf(job, flow, event.step)}`);
    case 'hand-over-offered':
      return by('handover', event.name, `offered to ${event.toName}`);
    case 'holder-changed':
      return by('handover', event.name, `took over from ${personOf(job, event.from)}`);
    case 'old-lock-off':
      return by(
        'handover',
        event.name,
        event.removed === null
          ? `lock of ${personOf(job, event.owner)} off`
          : `removed the lock of ${personOf(job, event.owner)}: ${event.removed}`,
      );
    case 'value-missing':
      return by('value', null, `missing: ${keyText(event.key)}`);
    case 'value-set':
      return by(
        'value',
        event.name,
        `${event.adopted ? 'corrected' : 'entered'}: ${keyText(event.key)}, ${event.value.reference}`,
      );
    case 'told-danger':
      return by('stop', null, `${dangerName(event.danger)} told from ${bayOf(event.bay)}`);
    case 'told-value':
      return by('value', null, `${keyText(event.key)} was changed in ${bayOf(event.bay)}`);
    case 'step-closed':
      return by('unshown', null, `stood already, not asked again: ${labelsOf(flow, event.facts)}`);
    default:
      return null;
  }
}

function by(kind: Incident['kind'], name: string | null, what: string): Found {
  return { kind, by: name === 'warden' ? null : name, what };
}

function modeIncident(job: Job, flow: Flow, event: Event & { readonly type: 'mode-changed' }): Found | null {
  const reason = event.reason.trim() === '' ? '' : `: ${reasonText(job, flow, event.reason)}`;
  const was = event.from === 'held' || event.from === 'stopped';
  if (was && (event.to === 'working' || event.to === 'parking')) {
    return by('release', event.name, `released${reason}`);
  }
  switch (event.to) {
    case 'held':
      return by('hold', event.name, `hold${reason}`);
    case 'paused':
      return by('pause', event.name, 'paused');
    case 'working':
      if (event.from === 'working' || event.from === 'handing-over') return null;
      return by(
        event.from === 'paused' ? 'pause' : 'leaving',
        event.name,
        `went on, was ${modeName(event.from)}`,
      );
    case 'parked':
      return by('leaving', event.name, 'parked');
    default:
      return null;
  }
}

function leavingText(flow: Flow, event: Event & { readonly type: 'parking-ended' }): string {
  if (!event.done) return 'parking broken off, back to the job';
  return event.open.length === 0 ? 'left with nothing open' : `left open: ${labelsOf(flow, event.open, 20)}`;
}
