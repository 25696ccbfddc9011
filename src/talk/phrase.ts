import type { Fact, Flow, GearKind, LapseCause, Step } from '../flow/flow.js';
import type { DoubtCause, Due, GearUsed, Mode } from '../job/event.js';
import type { Danger } from '../job/heard.js';
import type { Job } from '../job/job.js';
import type { FactId, StepId } from '../rule/rules.js';
import { printQuantity } from '../units/notation.js';
import type { Quantity } from '../units/quantity.js';
import { cap, listed, ln, stopped, when } from './line.js';
import { OFFICE } from './office-words.js';
import type { Line } from './post.js';

/** What things are called in posts. English; every other file of saying takes its names from here. */

/** The name by which a person of the job is spoken to. */
export function personOf(job: Job, id: string): string {
  return job.names[id] ?? id;
}

export function bayOf(bay: string): string {
  if (bay === OFFICE) return 'the office';
  return /^bay\b/i.test(bay) ? cap(bay) : `Bay ${bay}`;
}

/** `Bay 2, XY 123, Ines`: what an alert is about. */
export function placeOf(job: Job): string {
  const car = job.car.registration === '' ? '' : `, ${job.car.registration}`;
  return `${bayOf(job.bay)}${car}, ${personOf(job, job.holder)}`;
}

export function labelOf(flow: Flow, fact: FactId): string {
  const label = flow.facts.get(fact)?.label ?? '';
  return label === '' ? fact.replaceAll('-', ' ') : label;
}

/** Labels of facts, each once, at most `most` of them. */
export function labelsOf(flow: Flow, facts: readonly FactId[], most = 6): string {
  const labels = [...new Set(facts.map((fact) => labelOf(flow, fact)))];
  const more = labels.length - most;
  return more > 0 ? `${labels.slice(0, most).join(', ')} and ${more} more` : labels.join(', ');
}

/** Facts that stand, said so, with the warnings that go with them each time. */
export function standing(flow: Flow, facts: readonly FactId[]): string {
  return `${labelsOf(flow, facts)}.${warningsOf(flow, facts)}`;
}

export function warningsOf(flow: Flow, facts: readonly FactId[]): string {
  const warnings = new Set(facts.flatMap((fact) => flow.facts.get(fact)?.warning ?? []));
  return [...warnings].map((warning) => ` ${stopped(warning)}`).join('');
}

export function stepOf(flow: Flow, id: StepId | null): Step | null {
  if (id === null) return null;
  let steps = stepsOf.get(flow);
  if (steps === undefined) {
    steps = new Map(flow.steps.map((step) => [step.id, step]));
    stepsOf.set(flow, steps);
  }
  return steps.get(id) ?? null;
}

const stepsOf = new WeakMap<Flow, ReadonlyMap<StepId, Step>>();

/** The text of a step with the values of this car in it. */
export function filled(job: Job, text: string): string {
  if (!text.includes('{')) return text;
  return text.replace(/\{([a-z]+\.[a-z0-9-]+)\}/g, (_, key: string) => {
    const value = job.values[key];
    if (value === undefined) return `(${nameOfKey(key)}?)`;
    return value.quantity === null ? (value.text ?? nameOfKey(key)) : amount(value.quantity);
  });
}

/** What a step is called where there is no room for all of it: its first sentence, shortened. */
export function titleOf(job: Job, flow: Flow, id: StepId): string {
  const step = stepOf(flow, id);
  if (step === null) return id;
  const first = filled(job, step.text).split(/(?<=[.?!])\s/)[0] ?? step.text;
  const bare = first.replace(/[.:]$/, '');
  if (bare.length <= 64) return bare;
  const words = bare.slice(0, 63).split(' ').slice(0, -1).join(' ');
  return `${words.replace(/[,;:]$/, '')}…`;
}

export function amount(quantity: Quantity): string {
  if (quantity.unit === 'pcs') return String(quantity.value);
  return printQuantity(quantity, 6);
}

/** `vehicle.discharge-wait` as people read it. */
export function nameOfKey(key: string): string {
  return key.slice(key.indexOf('.') + 1).replaceAll('-', ' ');
}

/** A name of a reading, a field or a figure as people read it. */
export function spaced(name: string): string {
  return name.replaceAll('-', ' ');
}

/** A code of ours read out; what is no code stays as it is. */
export function codeText(code: string): string {
  return /^[a-z0-9]+(-[a-z0-9]+)+$/.test(code) ? code.replaceAll('-', ' ') : code;
}

/** How long something lasts, as people say it: `40 s`, `25 min`, `27 h 10 min`. `ms` from 0. */
export function lasting(ms: number): string {
  const seconds = Math.max(0, Math.round(ms / 1000));
  return seconds < 120 && seconds % 60 !== 0 ? `${seconds} s` : minutes(ms / 60_000);
}

/** How often: `once`, `twice`, `3 times`. */
export function times(count: number): string {
  return count === 1 ? 'once' : count === 2 ? 'twice' : `${count} times`;
}

export function minutes(count: number): string {
  const whole = Math.max(0, Math.round(count));
  if (whole < 90) return `${whole} min`;
  const hours = Math.floor(whole / 60);
  if (hours >= 72)
    return hours % 24 === 0 ? `${hours / 24} d` : `${Math.floor(hours / 24)} d ${hours % 24} h`;
  const rest = whole % 60;
  return rest === 0 ? `${hours} h` : `${hours} h ${rest} min`;
}

const GEAR: Readonly<Record<GearKind, string>> = {
  gloves: 'gloves',
  tester: 'tester',
  source: 'proving source',
  wrench: 'wrench',
  'insulation-tester': 'insulation tester',
  gauge: 'gauge',
  lift: 'lift',
  ohmmeter: 'ohmmeter',
};

export function gearKind(kind: GearKind): string {
  return GEAR[kind];
}

export function gearPiece(gear: Pick<GearUsed, 'id' | 'kind'>): string {
  return `${GEAR[gear.kind]} ${gear.id}`;
}

const CAUSES: Readonly<Record<DoubtCause | 'gone' | 'value' | 'choice', string>> = {
  away: 'somebody away',
  'shift-end': 'shift over',
  elsewhere: 'somebody at another bay',
  standby: 'standby away',
  gear: 'gear out or hurt',
  tester: 'tester not good',
  silence: 'no word for too long',
  pause: 'long pause',
  unattended: 'nobody heard for long',
  hold: 'hold',
  stop: 'stop',
  'hand-over': 'handover',
  park: 'parked',
  'catch-up': 'not witnessed by the bot',
  'check-in': 'standby did not answer',
  'new-person': 'standby took over the job',
  correction: 'correction',
  'tester-failed': 'tester failed its second proving',
  gone: 'needed again',
  value: 'value was wrong',
  choice: 'other variant',
};

/** Why a fact went in doubt, or a step was opened again. */
export function causeOf(cause: DoubtCause | LapseCause | 'gone' | 'value' | 'choice'): string {
  return CAUSES[cause];
}

const MODES: Readonly<Record<Mode, string>> = {
  working: 'under way',
  paused: 'paused',
  held: 'on hold',
  stopped: 'stopped',
  'handing-over': 'being handed over',
  parking: 'being parked',
  parked: 'parked',
  'catching-up': 'catching up',
  done: 'done',
  'called-off': 'called off',
};

export function modeName(mode: Mode): string {
  return MODES[mode];
}

const DANGERS: Readonly<Record<Danger, string>> = {
  fire: 'Fire',
  smoke: 'Smoke',
  shock: 'Shock',
  hurt: 'Somebody hurt',
  'man-down': 'Man down',
  gas: 'Gas or sweet smell',
};

/** A danger by its code, or the words that came with it. */
export function dangerName(danger: string): string {
  return isDanger(danger) ? DANGERS[danger] : cap(danger);
}

export function isDanger(danger: string): danger is Danger {
  return Object.hasOwn(DANGERS, danger);
}

/** `Car side proved dead: 09:14, tester T2, Ines, seen by Tomas. PACK INSIDE STILL LIVE.` */
export function proofLine(
  job: Job,
  flow: Flow,
  fact: Fact,
  by: {
    readonly at: number;
    readonly tester: string | null;
    readonly who: string | null;
    readonly second: string | null;
  },
): Line {
  const rest = [
    by.tester === null ? null : `tester ${by.tester}`,
    by.who,
    by.second === null ? null : `seen by ${by.second}`,
  ].filter((part) => part !== null);
  const label = labelOf(flow, fact.id);
  const verb = by.tester !== null && !/\bproved\b/.test(label) ? 'proved ' : '';
  const parts = listed([ln`${verb}${when(by.at, job.now)}`, ...rest]);
  return ln`${cap(label)}: ${parts}.${warningsOf(flow, [fact.id])}`;
}

const DUE_WHAT: Readonly<Record<string, string>> = {
  fuse: 'disconnect fuse, change',
  'fuse-look': 'disconnect fuse, look',
  'seal-look': 'cover seal, look',
  'lv-battery': 'low-voltage battery, change',
  coolant: 'coolant, renew',
  'wheel-bolts': 'wheel bolts, tighten again',
};
const DUE_RULES: Readonly<Record<string, string>> = {
  'own-cell-from-manufacture': 'own cell, from its manufacture',
  'own-cell-from-fitting': 'own cell, from its fitting',
  'loop-fed-inspection': 'loop fed, a look only',
  'loop-fed-no-interval': 'nothing, loop fed, no cell to age',
  months: 'by the calendar',
  distance: 'by distance',
  'no-manufacture-date': 'date of manufacture not known: ask the maker',
  'made-after-fitting': 'date of manufacture lies after fitting: check the label',
  'no-odometer': 'odometer not known',
};

/** What falls due, as people read it: `disconnect fuse, change`. */
export function dueName(what: string): string {
  return DUE_WHAT[what] ?? spaced(what);
}

/** The rule by which it falls due, as people read it. */
export function dueRule(rule: string): string {
  return DUE_RULES[rule] ?? codeText(rule);
}

/** `Next due: disconnect fuse, change 2034-03-01 (own cell, from its manufacture)`. */
export function dueLine(due: Due): Line {
  const what = dueName(due.what);
  const rule = dueRule(due.rule);
  const on = [due.on, due.atKm === null ? null : `${Math.round(due.atKm)} km`].filter((one) => one !== null);
  return on.length === 0
    ? ln`Next due: ${what.split(',')[0] ?? what}: ${rule}`
    : ln`Next due: ${what} ${on.join(' or ')}${on.length > 1 ? ', whichever first' : ''} (${rule})`;
}
