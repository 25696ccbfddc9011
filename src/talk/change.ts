import type { Flow, Step } from '../flow/flow.js';
import type { Event, Stopped } from '../job/event.js';
import type { Job } from '../job/job.js';
import { factOfJob } from '../job/view.js';
import type { FactId } from '../rule/rules.js';
import { makeStill } from './instruction.js';
import { cap, ln, stopped, when } from './line.js';
import {
  causeOf,
  labelOf,
  labelsOf,
  personOf,
  proofLine,
  standing,
  stepOf,
  titleOf,
  warningsOf,
} from './phrase.js';
import type { Line } from './post.js';

type Of<T extends Event['type']> = Event & { readonly type: T };

/** Words for what became of facts: proved, seen, in doubt, undone, and the steps opened again for it. */

/** What a gate that has just passed has proved; nothing for other steps, whose answer speaks for itself. */
export function provedLines(job: Job, flow: Flow, done: Of<'step-completed'>): readonly Line[] {
  const { gate } = done;
  if (gate === null) return [];
  const step = stepOf(flow, done.step);
  const tester = measures(step) ? (gate.gear.find((gear) => gear.kind === 'tester')?.id ?? null) : null;
  const watched = step?.asks.some(
    (ask) => ask.ask === 'second-look' || (ask.ask === 'reading' && ask.by === 'second'),
  );
  const standby = watched === true && job.standby !== null ? personOf(job, job.standby) : null;
  const second = gate.second?.name ?? standby;
  const by = { at: done.at, tester, who: done.name, second };
  const made = done.changes.filter((change) => change.to === 'stands').map((change) => change.fact);
  return made.flatMap((id) => {
    const fact = flow.facts.get(id);
    const own = step?.makes.includes(id) === true;
    return fact === undefined || !own ? [] : [proofLine(job, flow, fact, by)];
  });
}

/** Whether a step measures volts: only then is its tester part of what was proved. */
function measures(step: Step | null): boolean {
  return (
    step?.asks.some((ask) => ask.ask === 'dead-test' || (ask.ask === 'reading' && ask.unit === 'V')) === true
  );
}

/** Steps that were closed unshown, because what they make stands already. */
export function closedLines(job: Job, flow: Flow, closed: readonly Of<'step-closed'>[]): readonly Line[] {
  const facts = [...new Set(closed.flatMap((event) => event.facts))];
  const proofs = facts.filter((id) => flow.facts.get(id)?.kind === 'proof');
  const rest = facts.filter((id) => !proofs.includes(id));
  const lines = proofs.map((id) => stillLine(job, flow, id));
  return rest.length === 0 ? lines : [...lines, ln`Still so: ${standing(flow, rest)}`];
}

/** `Car side proved dead still stands: 09:14, tester T2. PACK INSIDE STILL LIVE.` */
export function stillLine(job: Job, flow: Flow, id: FactId): Line {
  const since = job.facts[id]?.since ?? job.now;
  const tested = flow.steps.some((step) => step.makes.includes(id) && measures(step));
  const tester = Object.values(job.gear).find((gear) => gear.kind === 'tester');
  const said = tested && tester !== undefined ? `, tester ${tester.id}` : '';
  const warning = flow.facts.get(id)?.warning ?? null;
  return ln`${cap(labelOf(flow, id))} still stands: ${when(since, job.now)}${said}.${warning === null ? '' : ` ${stopped(warning)}`}`;
}

/** Why steps were opened again, what still stands, how many questions it takes. */
export function reopenedLines(job: Job, flow: Flow, all: readonly Event[]): readonly Line[] {
  const events = all.filter((event) => event.type === 'steps-reopened');
  const [first] = events;
  if (first === undefined) return [];
  const lines: Line[] = [];
  const told = lostIn(all);
  const lost = events.flatMap(({ fact, because }) =>
    fact === null ? [] : [`${labelOf(flow, fact)} (${causeOf(because)})`],
  );
  const opened = new Set(events.flatMap((event) => event.steps)).size;
  const count = opened === 1 ? '1 step opens again' : `${opened} steps open again`;
  const why = lost.length > 0 ? [...new Set(lost)].join(', ') : causeOf(first.because);
  const known = lost.length > 0 && events.every(({ fact }) => fact !== null && told.has(fact));
  if (!known) lines.push(ln`${count}: ${why}.`);
  if (job.mode === 'held') lines.push(ln`Asked after the RELEASE.`);
  const target = stepOf(flow, first.forStep);
  const needs = target === null ? [] : [...new Set(target.needs.flat(2))];
  const stand = needs.filter((id) => factOfJob(job, id) === 'stands');
  // On a way back of several steps it was told with the first; what warns is told every time.
  const before = onTheWay(job, all, first.forStep) && warningsOf(flow, stand) === '';
  if (stand.length > 0 && !before) lines.push(ln`Still stands: ${standing(flow, stand)}`);
  if (first.fact !== null && first.detour !== null && first.detour > 0) {
    const steps = first.detour === 1 ? '1 step' : `${first.detour} steps`;
    lines.push(ln`${steps}, then on with: ${stopped(titleOf(job, flow, first.forStep))}`);
  }
  return lines;
}

/** A step of the way back was just closed, and the next of it opens for the same aim: not the first of them. */
function onTheWay(job: Job, events: readonly Event[], aim: string): boolean {
  return events.some(
    (event) => event.type === 'step-completed' && event.step !== job.front && event.step !== aim,
  );
}

/** Facts whose loss the same post already tells, with its reason. */
function lostIn(events: readonly Event[]): ReadonlySet<FactId> {
  const lost = new Set<FactId>();
  for (const event of events) {
    const tells =
      event.type === 'undone' ||
      event.type === 'deadline-passed' ||
      (event.type === 'looked' && !event.found) ||
      (event.type === 'doubted' && !QUIET.has(event.cause));
    if (!tells) continue;
    for (const change of event.changes)
      if (change.to === 'gone' || change.to === 'doubt') lost.add(change.fact);
  }
  return lost;
}

/** The make-still lines: hands out, cover, step back, before anything else is read. */
export function stillFirst(job: Job, flow: Flow, events: readonly Event[]): readonly Line[] {
  if (!events.some(({ type }) => MAKES_STILL[type])) return [];
  const texts = new Set<string>();
  const atWork = events.some(
    (event) =>
      event.type === 'undone' ||
      event.type === 'deadline-passed' ||
      (event.type === 'visit-ended' && event.because === 'lapse') ||
      (event.type === 'looked' && !event.found) ||
      (event.type === 'doubted' && SUDDEN.has(event.cause)),
  );
  for (const event of events) {
    if (event.type === 'steps-reopened' && event.fact !== null && atWork) {
      const step = stepOf(flow, event.forStep);
      if (step !== null) for (const text of makeStill(flow, step)) texts.add(text);
    }
    const sudden =
      event.type === 'undone' ||
      event.type === 'deadline-passed' ||
      (event.type === 'doubted' && SUDDEN.has(event.cause) && inHazard(job, flow, events));
    if (!sudden) continue;
    for (const change of event.changes) {
      if (change.to === 'stands' || change.to === 'running') continue;
      const text = flow.facts.get(change.fact)?.makeStill ?? null;
      if (text !== null) texts.add(text);
    }
  }
  // Perhaps undone is treated as undone until it is told: hands may be in.
  if (events.some(isUndoneOrNot)) {
    const step = stepOf(flow, job.asked?.step ?? job.waitingFor?.step ?? job.front);
    const still = step === null ? [] : makeStill(flow, step);
    for (const text of still.length > 0 ? still : [UNDONE_STILL]) texts.add(text);
  }
  const undone = events.find((event) => event.type === 'undone');
  if (undone?.type === 'undone' && undone.facts.length > 0 && texts.size === 0) texts.add(UNDONE_STILL);
  return [...texts].map((text) => ln`${text}`);
}

/** Whether something may have to be made still by an event. A new event has to say. */
const MAKES_STILL: Readonly<Record<Event['type'], boolean>> = {
  'job-started': false,
  'step-shown': false,
  answered: false,
  watched: false,
  'watched-taken-back': false,
  'watch-asked': false,
  'answer-taken-back': false,
  judged: false,
  'step-completed': false,
  'step-closed': false,
  'steps-reopened': true,
  'visit-ended': false,
  'look-asked': false,
  looked: false,
  waiting: false,
  doubted: true,
  undone: true,
  alarmed: false,
  'balance-left': false,
  'deadline-passed': true,
  'clock-due': false,
  'clock-moved': false,
  refused: true,
  'standby-named': false,
  'check-in-asked': false,
  'checked-in': false,
  'still-there-asked': false,
  'heard-from': false,
  'shift-noted': false,
  'mode-changed': false,
  'stop-called': false,
  'park-asked': false,
  'parking-begun': false,
  'parking-ended': false,
  'hand-over-offered': false,
  'holder-changed': false,
  'old-lock-off': false,
  'step-left-out': false,
  'catch-up-offered': false,
  'caught-up': false,
  noted: false,
  'air-logged': false,
  'figures-kept': false,
  'value-missing': false,
  'value-set': false,
  'values-loaded': false,
  'told-about': false,
  'told-danger': false,
  'told-gear': false,
  'told-value': false,
  'gear-taken': false,
  summoned: false,
  'job-ended': false,
};

function isUndoneOrNot(event: Event): boolean {
  return (
    event.type === 'refused' && event.refusal.why === 'unclear' && event.refusal.because === 'undone-or-not'
  );
}

const UNDONE_STILL = 'Hands off. Step back behind the barrier.';

/** Causes that come while hands may be in: not a pause, a handover or a park, for which they came out first. */
const SUDDEN: ReadonlySet<string> = new Set([
  'away',
  'elsewhere',
  'shift-end',
  'gear',
  'silence',
  'hold',
  'check-in',
  'new-person',
  'tester-failed',
]);

/** Whether the step that was being worked on has a hazard of its own. */
function inHazard(job: Job, flow: Flow, events: readonly Event[]): boolean {
  const steps = events.flatMap((event) => {
    if (event.type === 'visit-ended' || event.type === 'judged') return [event.step];
    if (event.type === 'steps-reopened' || event.type === 'look-asked') return [event.forStep];
    return [];
  });
  const left = steps[0] ?? job.asked?.step ?? job.waitingFor?.step ?? job.front;
  const hazard = stepOf(flow, left)?.hazard ?? 'none';
  return hazard !== 'none';
}

/** What went in doubt, and why. */
export function doubtedLines(job: Job, flow: Flow, doubted: Of<'doubted'>): readonly Line[] {
  const facts = doubted.changes.filter((change) => change.to === 'doubt').map((change) => change.fact);
  if (facts.length === 0) return [];
  if (doubted.cause === 'pause') {
    return [ln`Long pause: after RESUME states are looked at, proofs made again.`];
  }
  if (doubted.cause === 'unattended') {
    const since = doubted.since === undefined ? ln`` : ln` since ${when(doubted.since, job.now)}`;
    return [ln`Not heard${since}: look first.`];
  }
  if (QUIET.has(doubted.cause)) return [];
  return [ln`In doubt (${causeOf(doubted.cause)}): ${labelsOf(flow, facts)}.`];
}

/** Causes whose own post says in one line that everything is looked at and proved again. */
const QUIET: ReadonlySet<string> = new Set([
  'pause',
  'unattended',
  'hold',
  'stop',
  'park',
  'catch-up',
  'correction',
  'hand-over',
]);

/** A report that something was undone, and all that falls with it. */
export function undoneLines(flow: Flow, undone: Of<'undone'>): readonly Line[] {
  if (undone.facts.length === 0) return [ln`Heard. It did not stand anyway.`];
  const falls = undone.changes
    .filter(
      (change) => (change.to === 'gone' || change.to === 'doubt') && !undone.facts.includes(change.fact),
    )
    .map((change) => change.fact);
  const lines = [ln`Undone, said by ${undone.name}: ${labelsOf(flow, undone.facts)}.`];
  if (falls.length > 0) lines.push(ln`Falls with it: ${labelsOf(flow, falls)}.`);
  return lines;
}

export function lookedLines(flow: Flow, looked: Of<'looked'>): readonly Line[] {
  if (looked.found) return [ln`Seen: ${standing(flow, looked.facts)}`];
  return [ln`Not so: ${labelsOf(flow, looked.facts)}.`];
}

export function deadlineLines(job: Job, flow: Flow, passed: Of<'deadline-passed'>): readonly Line[] {
  const label = labelOf(flow, passed.fact);
  const at = job.facts[passed.fact]?.at ?? passed.at;
  const falls = passed.changes.filter((change) => change.fact !== passed.fact && change.to !== 'stands');
  const lines = [ln`Time is over since ${when(at, job.now)}: ${label}.`];
  if (falls.length > 0) {
    lines.push(
      ln`Falls with it: ${labelsOf(
        flow,
        falls.map((change) => change.fact),
      )}.`,
    );
  }
  return lines;
}

/** `Too cold to cure since 14:10`. */
export function stoppedCure(job: Job, { because, since }: Stopped): Line {
  return ln`${NO_CURE[because] ?? 'Cure cannot be computed'} since ${when(since, job.now)}`;
}

const NO_CURE: Readonly<Record<string, string>> = {
  'too-cold': 'Too cold to cure',
  'too-warm': 'Too warm to cure',
  'too-dry': 'Air too dry to cure',
  'too-moist': 'Air too moist to cure',
};

export function clockMovedLines(job: Job, flow: Flow, moved: Of<'clock-moved'>): readonly Line[] {
  const because = moved.because === 'air' ? 'By the air' : 'New value';
  const [stopped] = moved.changes.flatMap((change) => change.stopped ?? []);
  const facts = moved.changes.filter((change) => change.stopped !== undefined).map((change) => change.fact);
  return [
    ...(stopped === undefined
      ? []
      : [
          ln`${stoppedCure(job, stopped)}: ${labelsOf(flow, facts)}.`,
          ln`It counts on with air in range. Log it: AIR 18 C 45 %.`,
        ]),
    ...moved.changes.flatMap((change) =>
      change.at === undefined ? [] : [clockLine(job, flow, change.fact, change.at, because)],
    ),
  ];
}

function clockLine(job: Job, flow: Flow, fact: FactId, at: number, because: string): Line {
  const until = flow.facts.get(fact)?.clock === 'within' ? 'not after' : 'not before';
  return ln`${because}: ${labelOf(flow, fact)} ${until} ${when(at, job.now)}.`;
}

/** Timers that a step has started, with their honest ends. */
export function startedLines(job: Job, flow: Flow, changes: Of<'step-shown'>['changes']): readonly Line[] {
  return changes.flatMap((change) => {
    if (change.starts !== true || change.at === undefined) return [];
    const fact = flow.facts.get(change.fact);
    if (fact === undefined || fact.clock === null) return [];
    const until = fact.clock === 'within' ? 'Runs: has to be done by' : 'Runs: not before';
    return [ln`${until} ${when(change.at, job.now)}: ${labelOf(flow, change.fact)}.`];
  });
}
