import type { Flow } from '../flow/flow.js';
import type { Job } from '../job/job.js';
import { factOfJob } from '../job/view.js';
import type { FactId } from '../rule/rules.js';
import { cap, ln, stopped, when } from '../talk/line.js';
import { openingsOf } from '../talk/mode.js';
import { causeOf, labelOf, labelsOf, modeName, personOf, titleOf, warningsOf } from '../talk/phrase.js';
import type { Line } from '../talk/post.js';
import { questionOf } from '../talk/question.js';
import { currentStep } from '../talk/recap.js';
import { keyText, reasonText } from '../talk/verdict.js';

/** 3: stopped or a danger. 2: on hold, refused, or something is exposed and nobody is there. 1: waits for a person. 0: calm. */
export type Attention = 0 | 1 | 2 | 3;

/** How one bay stands, for whoever looks at all of them. No page's words in it. */
export type BoardRow = {
  readonly bay: string;
  readonly label: string;
  readonly attention: Attention;
  readonly job: {
    readonly id: string;
    readonly number: string;
    readonly car: string;
    readonly flow: string;
    readonly title: string;
  } | null;
  readonly step: Line | null;
  /** What the bay is asked now. */
  readonly asked: Line | null;
  readonly holder: string | null;
  readonly standby: string | null;
  /** Since when it stands so, ms since 1970. */
  readonly since: number;
  readonly proved: readonly Line[];
  readonly notProved: readonly Line[];
  readonly locks: readonly Line[];
  readonly waits: readonly Wait[];
  readonly open: readonly Line[];
  /** Why it needs somebody. */
  readonly why: Line | null;
};

/**
 * `deadline`: something has to be done before the instant, such as a cover on its bead; else something may be done only
 * after it. `firm`: evidence, such as worse air, does not move the instant: a wait later, a deadline earlier.
 */
export type Wait = {
  readonly label: string;
  readonly until: number | null;
  readonly deadline: boolean;
  readonly firm: boolean;
};

export type Board = { readonly at: number; readonly rows: readonly BoardRow[] };

export type BoardBay = {
  readonly bay: string;
  readonly label: string;
  readonly job: Job | null;
  readonly flow: Flow | null;
  /** Why the job's record takes no more lines, if it does not. */
  readonly shut?: string | null;
};

/** All bays at an instant, attention first, then in the order given. */
export function boardOf(bays: readonly BoardBay[], now: number): Board {
  const rows = bays.map((bay) => rowOf(bay, now));
  return { at: now, rows: rows.toSorted((a, b) => b.attention - a.attention) };
}

function rowOf({ bay, label, job, flow, shut = null }: BoardBay, now: number): BoardRow {
  if (job === null || flow === null)
    return { ...emptyRow(bay, label), ...(job === null ? unreadRow(shut) : shutRow(job, shut)) };
  const facts = flow.rules.facts;
  const proofs = facts.filter((fact) => fact.kind === 'proof' && factOfJob(job, fact.id) !== 'gone');
  const lost = facts.filter((fact) => fact.kind === 'proof' && job.facts[fact.id]?.value === 'gone');
  const step = currentStep(job, flow);
  const found = attentionOf(job, flow, shut);
  return {
    bay,
    label,
    ...found,
    job: jobOf(job, flow.title),
    step: step === null ? null : ln`${titleOf(job, flow, step.id)}`,
    asked: askedOf(job, flow),
    holder: personOf(job, job.holder),
    standby: job.standby === null ? null : personOf(job, job.standby),
    since: sinceOf(job),
    proved: proofs
      .filter((fact) => factOfJob(job, fact.id) === 'stands')
      .map(
        (fact) =>
          ln`${labelOf(flow, fact.id)} (${when(job.facts[fact.id]?.since ?? now, now)}).${warningsOf(flow, [fact.id])}`,
      ),
    notProved: [
      ...proofs
        .filter((fact) => factOfJob(job, fact.id) === 'doubt')
        .map((fact) => doubtLine(job, flow, fact.id)),
      ...lost.map((fact) => ln`${labelOf(flow, fact.id)}: not any more.`),
    ],
    locks: locksOf(job, flow),
    waits: waitsOf(job, flow),
    open: openingsOf(job, flow).map((id) => openLine(job, flow, id)),
  };
}

function emptyRow(bay: string, label: string): BoardRow {
  return {
    bay,
    label,
    attention: 0,
    job: null,
    step: null,
    asked: null,
    holder: null,
    standby: null,
    since: 0,
    proved: [],
    notProved: [],
    locks: [],
    waits: [],
    open: [],
    why: null,
  };
}

/** A job of which nothing can be read stands in the bay all the same: it is not free. */
function unreadRow(shut: string | null): Partial<BoardRow> {
  return shut === null
    ? {}
    : { attention: 2, why: ln`NOT FREE, the record of its job cannot be read: ${shut}` };
}

/** A job whose flow cannot be read: who and what it is is known all the same. */
function shutRow(job: Job, shut: string | null): Partial<BoardRow> {
  return {
    attention: 2,
    job: jobOf(job, job.flow),
    holder: personOf(job, job.holder),
    standby: job.standby === null ? null : personOf(job, job.standby),
    since: job.modeSince,
    why: ln`${shut ?? 'The flow of this job cannot be read.'}`,
  };
}

function jobOf(job: Job, title: string): BoardRow['job'] {
  return { id: job.id, number: job.number, car: job.car.registration, flow: job.flow, title };
}

/** The attention a bay needs, with the reason. */
function attentionOf(
  job: Job,
  flow: Flow,
  shut: string | null,
): { readonly attention: Attention; readonly why: Line | null } {
  const reason = job.modeReason.trim() === '' ? '' : `: ${reasonText(job, flow, job.modeReason)}`;
  const by = job.modeBy === null || job.modeBy === 'warden' ? '' : `, ${personOf(job, job.modeBy)}`;
  if (job.mode === 'stopped') return { attention: 3, why: ln`Stopped${by}${stopped(reason)}` };
  if (shut !== null) return { attention: 2, why: ln`${shut}` };
  if (job.mode === 'held') return { attention: 2, why: ln`On hold${by}${stopped(reason)}` };
  if (job.missing !== null) return { attention: 2, why: ln`A value is missing: ${keyText(job.missing)}.` };
  const alone = aloneWith(job, flow);
  if (alone.length > 0)
    return { attention: 2, why: ln`Nobody is there, and open: ${labelsOf(flow, alone)}.` };
  if (job.checkIn?.askedAt != null && job.standby !== null) {
    return { attention: 1, why: ln`${personOf(job, job.standby)} is asked to say HERE.` };
  }
  if (job.mode === 'handing-over' && job.offered !== null) {
    return { attention: 1, why: ln`Waits for ${personOf(job, job.offered.to)} to say TAKE.` };
  }
  if (job.mode === 'catching-up') return { attention: 1, why: ln`Catching up: waits for AGREE.` };
  if (job.mode === 'paused') return { attention: 1, why: ln`Paused${by}.` };
  if (job.oldLock !== null)
    return {
      attention: 1,
      why: ln`${job.mode === 'parked' ? `Parked${by}. ` : ''}Waits for ${personOf(job, job.oldLock)} to take the old lock off.`,
    };
  if (job.mode === 'parked') return { attention: 0, why: ln`Parked${by}.` };
  if (job.waitingFor !== null) return { attention: 0, why: null };
  if (job.asked !== null) return { attention: 1, why: null };
  return { attention: 0, why: null };
}

/** Openings that need somebody beside them, while the proof of it does not stand. Parked jobs were left on purpose. */
function aloneWith(job: Job, flow: Flow): readonly FactId[] {
  if (job.mode === 'parked') return [];
  for (const fact of flow.facts.values()) {
    if (fact.checkIn === null || factOfJob(job, fact.id) === 'stands') continue;
    const exposed = fact.checkIn.open.filter((id) => factOfJob(job, id) !== 'gone');
    if (exposed.length > 0) return exposed;
  }
  return [];
}

/** The open question in one line: what is asked, without what was said before it. */
function askedOf(job: Job, flow: Flow): Line | null {
  if (job.mode !== 'working' && job.mode !== 'parking') return ln`${cap(modeName(job.mode))}.`;
  if (job.asked === null) return null;
  return questionOf(job, flow, false)?.lines.at(-1) ?? null;
}

function sinceOf(job: Job): number {
  if (job.mode !== 'working') return job.modeSince;
  return job.asked?.shownAt ?? job.heardAt;
}

function doubtLine(job: Job, flow: Flow, id: FactId): Line {
  const why = job.facts[id]?.why ?? null;
  return ln`${labelOf(flow, id)}: in doubt${why === null ? '' : `, ${causeOf(why)}`}.`;
}

/** Whose lock is on: everything that hangs on its person. */
function locksOf(job: Job, flow: Flow): readonly Line[] {
  const own = [...flow.facts.values()].filter((fact) => fact.personal && factOfJob(job, fact.id) !== 'gone');
  const lines = own.map((fact) => {
    const doubt = factOfJob(job, fact.id) === 'doubt' ? ', look due' : '';
    return ln`${labelOf(flow, fact.id)}: ${personOf(job, job.holder)}, since ${when(job.facts[fact.id]?.since ?? job.now, job.now)}${doubt}`;
  });
  return job.oldLock === null ? lines : [...lines, ln`old lock: ${personOf(job, job.oldLock)}`];
}

/** Clocks that run, soonest first. Worse air moves a cure later and an open time earlier, so neither is firm. */
function waitsOf(job: Job, flow: Flow): readonly Wait[] {
  const waits = [...flow.facts.values()].flatMap((fact): Wait[] => {
    const held = job.facts[fact.id];
    if (fact.clock === null || held === undefined || held.at === null) return [];
    const runs = fact.clock === 'after' ? held.value === 'running' : held.value === 'stands';
    const firm = fact.time === null || !('from' in fact.time) || fact.time.from !== 'figure';
    const deadline = fact.clock === 'within';
    return runs ? [{ label: labelOf(flow, fact.id), until: held.at, deadline, firm }] : [];
  });
  return waits.toSorted((a, b) => (a.until ?? 0) - (b.until ?? 0));
}

function openLine(job: Job, flow: Flow, id: FactId): Line {
  const doubt = factOfJob(job, id) === 'doubt' ? ', look due' : '';
  return ln`${labelOf(flow, id)}${doubt}`;
}
