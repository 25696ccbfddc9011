import type { Flow, GearKind } from '../flow/flow.js';
import type { Event, Summons } from '../job/event.js';
import type { Job } from '../job/job.js';
import { stoppedCure } from './change.js';
import { stopped as ended, ln, when } from './line.js';
import { openText } from './mode.js';
import {
  bayOf,
  dangerName,
  filled,
  gearPiece,
  labelOf,
  labelsOf,
  personOf,
  placeOf,
  stepOf,
  titleOf,
} from './phrase.js';
import type { Line, Part } from './post.js';
import { numberLines } from './stop-card.js';
import { keyText, reasonText, verdictText } from './verdict.js';
import { watchAlertLines } from './watch.js';

type Summoned = Event & { readonly type: 'summoned' };

/** What each alert says happened, and what it asks. In each: who, where, what to do, how to answer. */
export type Alert = { readonly happened: readonly Line[]; readonly asked: readonly Line[] };

/** The alert for the foreman, or for everybody in the shop, from one line's events; empty where nobody is called. */
export function alertLines(
  job: Job,
  flow: Flow,
  events: readonly Event[],
  to: Summoned['to'],
): readonly Line[] {
  const called = events.filter((event): event is Summoned => event.type === 'summoned' && event.to === to);
  const whats = new Set(called.map((event) => event.what));
  const told = called.filter((event) => !coveredBy(event.what, whats));
  if (told.length === 0) return [];
  const alerts = told.map((event) => alertOf(job, flow, events, event));
  return [
    ln`${placeOf(job)}`,
    ...alerts.flatMap((alert) => alert.happened),
    ...(to === 'foreman' ? openLines(job, flow) : []),
    ...alerts.flatMap((alert) => alert.asked),
  ];
}

/** A call that another one of the same moment already tells of. */
function coveredBy(what: Summons, whats: ReadonlySet<Summons>): boolean {
  if (what === 'exposed') return whats.has('check-in') || whats.has('stop');
  if (what === 'out-of-limits') return whats.has('stop');
  return what === 'hold' && (whats.has('out-of-limits') || whats.has('stop'));
}

/** What stands open, for whoever decides from afar. */
export function openLines(job: Job, flow: Flow): readonly Line[] {
  const text = openText(job, flow);
  return text === '' ? [] : [ln`${text}`];
}

const RELEASE = 'Do: go and look. Then in the bay thread: release REASON';

export function alertOf(job: Job, flow: Flow, events: readonly Event[], summoned: Summoned): Alert {
  const { what, detail } = summoned;
  const at = when(summoned.at, job.now);
  switch (what) {
    case 'stop': {
      const stop = events.find((event) => event.type === 'stop-called');
      const by = stop?.type === 'stop-called' ? stop.name : personOf(job, job.holder);
      const step = stop?.type === 'stop-called' ? stop.step : null;
      return {
        happened: [
          ln`STOP at ${at}, called by ${by}${detail === '' ? '' : `: ${dangerName(detail)}`}.`,
          ...judgedLines(events),
          ...stepLines(job, flow, step),
        ],
        asked: [
          ln`Do: go there now. People first.`,
          ln`When it may go on, in the bay thread: release REASON`,
        ],
      };
    }
    case 'hold': {
      const held = events.find((event) => event.type === 'mode-changed' && event.to === 'held');
      const by = held?.type === 'mode-changed' && held.by !== 'warden' ? `, by ${held.name}` : '';
      return {
        happened: [
          detail.trim() === ''
            ? ln`Hold at ${at}${by}. The reason is asked.`
            : ln`Hold at ${at}${by}: ${ended(reasonText(job, flow, detail))}`,
        ],
        asked: [ln`${RELEASE}`],
      };
    }
    case 'out-of-limits':
      return {
        happened: [...outOfLimits(job, flow, events, at), ...stepLines(job, flow, stepIn(flow, detail))],
        asked: [ln`${RELEASE}`, ...leaveLines(flow, stepIn(flow, detail))],
      };
    case 'gate-refused':
      return {
        happened: [ln`Three refusals at a gate, last at ${at}: ${ended(titleOf(job, flow, detail))}`],
        asked: [ln`Do: ask there what is in the way. Nobody can wave a gate through.`],
      };
    case 'deadline':
      return {
        happened: [
          ln`Time ran out at ${when(job.facts[detail]?.at ?? summoned.at, job.now)}: ${labelOf(flow, detail)}.`,
        ],
        asked: [ln`Do: see that what ran out is taken off and done again. The bay is told how.`],
      };
    case 'check-in':
      return {
        happened: [ln`Standby ${personOf(job, detail)} did not answer, ${at}. Live parts are open.`],
        asked: [ln`Do: send somebody there now. Name another in the bay thread: standby NAME`],
      };
    case 'exposed': {
      const open = flow.facts.get(detail)?.checkIn?.open ?? [];
      const exposed = open.filter((id) => (job.facts[id]?.value ?? 'gone') !== 'gone');
      const heardAt = Math.max(job.heardAt, job.checkIn?.lastAt ?? 0);
      return {
        happened: [
          ln`Live parts open, nobody stands by, nobody heard since ${when(heardAt, job.now)}: ${labelsOf(flow, exposed)}.`,
        ],
        asked: [
          ln`Do: go there now. Sheets over what is open, nobody alone at it.`,
          ln`Then in the bay thread: standby NAME, or park`,
        ],
      };
    }
    case 'stranger':
      return {
        happened: [ln`A gate word from somebody who is not in the register, ${at}: ${detail}.`],
        asked: [ln`Do: ask there who works on the car. Only who is in the register passes a gate.`],
      };
    case 'cure-stopped': {
      const stopped = job.facts[detail]?.stopped;
      return {
        happened: [
          stopped === undefined
            ? ln`The cure was stopped at ${at}.`
            : ln`${stoppedCure(job, stopped)}: the time does not count, and no end can be told.`,
        ],
        asked: [ln`Do: bring the air in range. Then in the bay thread, as read there: air 18 C 45 %`],
      };
    }
    case 'value-missing':
      return { happened: missingLines(job, flow, events, detail), asked: valueForm(job, detail, 'value') };
    case 'value-changed':
      return {
        happened: [ln`Value changed at ${at}: ${keyText(detail)}${valueNow(job, detail)}.`],
        asked: [ln`Do: jobs under way with it are asked one by one. Look at their torque and waits first.`],
      };
    case 'tester-out':
      return {
        happened: [
          ln`Tester ${detail === '' ? 'in use' : detail} failed its second proving at ${at}.`,
          ln`What it proved today is in doubt, in every bay.`,
        ],
        asked: [ln`Do: hands off where it was used. Put it away, tag it, prove again with another.`],
      };
    case 'level':
      return {
        happened: [ln`Level not in date: ${detail}.`],
        asked: [ln`Do: send somebody with it, or hand over in the bay thread: hand over NAME`],
      };
    case 'lock':
      return {
        happened: [ln`A lock is left on: ${detail}.`],
        asked: [ln`Do: its owner says LOCK OFF. Without the owner: lock removed REASON`],
      };
    case 'not-falling':
      return {
        happened: [
          ln`Does not die away, ${at}: a valve has not seated.`,
          ...watchAlertLines(job, flow, detail),
        ],
        asked: [ln`Do: go there, see that it is plugged. The step stays open until readings settle it.`],
      };
    case 'watch-unanswered':
      return {
        happened: [ln`Asked twice, nobody answered, ${at}.`, ...watchAlertLines(job, flow, detail)],
        asked: [ln`Do: go and look. Somebody of the job says the reading in the bay thread.`],
      };
    case 'danger-elsewhere':
      return {
        happened: [ln`${dangerName(detail === '' ? 'danger' : detail)} in ${bayOf(job.bay)}, ${at}.`],
        asked: [
          ln`Everybody: hands off, make still, step back. Be ready to leave.`,
          ...numberLines(job.emergency),
        ],
      };
  }
}

/** `Out of limits at 09:14: too high. Strap 0.7 Ω, at most 0.1 Ω. With ohmmeter M2.`, said once. */
function outOfLimits(job: Job, flow: Flow, events: readonly Event[], at: Part): readonly Line[] {
  const judged = events.findLast((event) => event.type === 'judged' && event.verdict !== 'passed');
  if (judged?.type !== 'judged') return [ln`Out of limits at ${at}.`];
  const measured = stepOf(flow, judged.step)?.gear.filter((kind) => MEASURES.has(kind)) ?? [];
  const used = Object.values(job.gear).filter((gear) => measured.includes(gear.kind));
  const tool = used.length === 0 ? '' : ` With ${used.map(gearPiece).join(', ')}.`;
  const text = verdictText(judged).replace(/^Out of limits: /, '');
  return [ln`Out of limits at ${at}: ${text}${tool}`];
}

/** Gear that a reading may be wrong by. */
const MEASURES: ReadonlySet<GearKind> = new Set<GearKind>([
  ...(['tester', 'insulation-tester', 'ohmmeter', 'gauge', 'wrench'] as const),
]);

function judgedLines(events: readonly Event[]): readonly Line[] {
  return events.flatMap((event) =>
    event.type === 'judged' && event.verdict !== 'passed' ? [ln`${verdictText(event)}`] : [],
  );
}

function stepLines(job: Job, flow: Flow, step: string | null): readonly Line[] {
  const found = stepOf(flow, step);
  if (found === null) return [];
  const hazard = found.hazard === 'none' ? '' : ` (${flow.hazards.get(found.hazard)?.label ?? found.hazard})`;
  return [ln`Step: ${ended(`${titleOf(job, flow, found.id)}${hazard}`)}`];
}

/** A balance that nobody can tell any more has a way on of its own, and it costs the insulation test again. */
function leaveLines(flow: Flow, step: string | null): readonly Line[] {
  if (stepOf(flow, step)?.judge !== 'coolant-balance') return [];
  return [
    ln`If it cannot be told any more, in the bay thread: balance not known REASON`,
    ln`Insulation is then measured again, level and couplings looked at.`,
  ];
}

function stepIn(flow: Flow, detail: string): string | null {
  return flow.steps.find((step) => detail.startsWith(`${step.id}: `))?.id ?? null;
}

function missingLines(job: Job, flow: Flow, events: readonly Event[], key: string): readonly Line[] {
  const missing = events.find((event) => event.type === 'value-missing');
  const step = missing?.type === 'value-missing' ? missing.step : null;
  const waits = step === null ? '' : ` Waits for it: ${ended(titleOf(job, flow, step))}`;
  return [ln`Value missing: ${keyText(key)}.${waits}`];
}

/** The line to type, word for word but for the amount and its source. */
export function valueForm(job: Job, key: string, word: 'value' | 'adopt'): readonly Line[] {
  return [
    ln`Do: look it up, never guess. In the bay thread type:`,
    ln`${word} ${typedKey(job, key)} VALUE SOURCE`,
    ln`Value with its unit, then where it stands, as in: 10 min manual 4.2`,
  ];
}

/** The short name where it means one value only. */
function typedKey(job: Job, key: string): string {
  const short = key.slice(key.indexOf('.') + 1);
  const twice = Object.keys(job.values).some((other) => other !== key && other.endsWith(`.${short}`));
  return twice ? key : short;
}

/** A value as the job has it now, with its source. */
export function valueNow(job: Job, key: string): string {
  return job.values[key] === undefined
    ? ''
    : ` is now ${filled(job, `{${key}}`)}, ${job.values[key].reference}`;
}
