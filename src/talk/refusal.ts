import type { Ask, Flow } from '../flow/flow.js';
import type { Event, Mode } from '../job/event.js';
import type { Job } from '../job/job.js';
import type { KeptIn, Refusal } from '../job/refusal.js';
import { bare, ln, stopped, uncap, when } from './line.js';
import {
  amount,
  bayOf,
  dangerName,
  filled,
  gearKind,
  modeName,
  personOf,
  stepOf,
  titleOf,
} from './phrase.js';
import type { Line } from './post.js';
import { currentStep } from './recap.js';
import { quoted, unclearLines } from './unclear.js';
import { because, keyText } from './verdict.js';
import { notSettledLines } from './watch.js';

/** Why an answer was not taken, in at most two lines: what is missing, and what to do. Never a lecture. */
export function refusalLines(
  job: Job,
  flow: Flow,
  refused: Event & { readonly type: 'refused' },
): readonly Line[] {
  const { refusal } = refused;
  switch (refusal.why) {
    case 'not-holder':
      return [ln`${refusal.holder} answers this, not ${refused.name}.`];
    case 'not-registered':
      return [
        ln`${refused.name} is not in the register: not taken.`,
        ln`Foreman adds people. STOP is heard from anybody.`,
      ];
    case 'not-foreman':
      return [ln`That is the foreman's, or a deputy's.`];
    case 'stale':
      return [ln`Said before the question below was seen. Once more, please.`];
    case 'not-delivered':
      return [ln`The question had not arrived here. It counts once it has.`, ln`Read it, then answer.`];
    case 'wrong-word':
      return wordLines(job, refusal.near ? 'Close, but not the word.' : 'Not the word.');
    case 'habit-word':
      return wordLines(job, 'That word passes no gate.');
    case 'tap':
      return wordLines(job, 'No tap passes a gate.');
    case 'marked':
      return markLines(job, refusal.mark);
    case 'readings-first':
      return [ln`Word too early: the gate is not read through yet.`, openAsk(job, flow)];
    case 'second-first':
      return [ln`Word too early: ${standbyOf(job)} first.`, openAsk(job, flow)];
    case 'own-witness':
      return [ln`Nobody is their own witness.`, ln`A second person, named as standby, says it.`];
    case 'not-second':
      if (refusal.second === null) return [ln`No standby is named.`, ln`Say: standby NAME.`];
      return [ln`${refusal.second} is the standby and answers this.`];
    case 'level':
      return levelLines(refusal);
    case 'gear':
      return gearLines(refusal);
    case 'shift-end':
      return [
        ln`This stretch takes ${refusal.needMinutes} min, the shift ends in ${refusal.leftMinutes} min.`,
        ln`No stopping inside it. Say PARK, or ask the foreman.`,
      ];
    case 'left-out':
      if (refusal.because !== undefined)
        return [ln`Not left out: ${KEPT_IN[refusal.because]}`, ...keptInWay(refusal.because)];
      return [
        ln`Nothing is left out: what comes after rests on every step before.`,
        ln`Does it not fit this car? HOLD and why: the foreman looks at it.`,
      ];
    case 'no-stop':
      return [
        ln`No stopping here: the stretch goes on to its landing.`,
        ln`PARK shows the moves to it. In danger: STOP.`,
      ];
    case 'waiting':
      if (refusal.until === null)
        return [ln`Nothing to answer: this waits.`, ln`LIST says what else can be done.`];
      return [ln`Waiting, not before ${when(refusal.until, job.now)}.`, ln`LIST says what else can be done.`];
    case 'nothing-asked':
      return [ln`Nothing is asked that this answers.`, ln`WHERE says where the job stands.`];
    case 'value-missing':
      return [ln`Waiting for a value: ${keyText(refusal.key)}.`, ln`The foreman is asked.`];
    case 'held':
      return [ln`The job is ${modeName(refusal.mode)}.`, ln`Only the foreman's RELEASE takes it on.`];
    case 'mode':
      return modeLines(refusal.mode);
    case 'old-lock':
      return [
        ln`Lock of ${refusal.owner} comes off first.`,
        ln`${refusal.owner} says LOCK OFF, or the foreman removes it in writing.`,
      ];
    case 'differs':
      return [
        ln`${quoted(refusal.said)} is not the ${quoted(refusal.before)} of before.`,
        ln`Read it again. Another part: say HOLD and why.`,
      ];
    case 'wrong-kind':
      return [
        ln`${quoted(refusal.said)} does not fit ${keyText(refusal.key)}.`,
        ln`Amount with its unit, then where it stands.`,
      ];
    case 'not-settled':
      return notSettledLines(job, flow, refusal.until);
    case 'went-down':
      return [
        ln`Lower than the ${amount(refusal.stood)} of before. Emptied? Say: emptied at N.`,
        ln`Misread before? Say: no, N.`,
      ];
    case 'emptied-at':
      return [ln`What stood in it? Say: emptied at N.`, ln`Nobody read it: say EMPTIED UNREAD.`];
    case 'said-before':
      return [
        ln`Said before the reading of ${when(refusal.last, job.now)}, which stands.`,
        ln`Read it again now.`,
      ];
    case 'photo-first':
      return [ln`A photo goes with it.`, ln`No camera: say NO PHOTO and why.`];
    case 'unknown-person':
      if (refusal.said.trim() === '') return [ln`A name is missing.`];
      return [
        ln`Nobody, or more than one, is called ${quoted(refusal.said)}.`,
        ln`Full name, as in the register.`,
      ];
    case 'unknown-gear': {
      const kinds = refusal.kinds.map(gearKind).join(', ');
      if (refusal.said === '') return [ln`Missing: ${kinds}.`, ln`All ids in one message.`];
      return [ln`No gear with the id ${quoted(refusal.said)}.`, ln`Ids off the labels: ${kinds}.`];
    }
    case 'unknown-value':
      return [
        ln`Not found, or not possible now: ${quoted(refusal.said)}.`,
        ln`Name as in the register or the post, then again.`,
      ];
    case 'out-of-date':
      return [ln`${refusal.what} is out of date since ${refusal.on}.`, ln`Take another.`];
    case 'standby-elsewhere':
      return [ln`Already standby in ${bayOf(refusal.bay)}.`, ln`Name somebody else.`];
    case 'reason-needed':
      return [ln`A reason is missing.`, ln`The same again, with the reason or source after it.`];
    case 'asked-afresh':
      return [ln`Nothing to correct: this step is asked afresh, all of it, after the RELEASE.`];
    case 'source-needed':
      return [ln`The source is missing: page or plate.`, ln`The same again, with the source after it.`];
    case 'own-hold':
      return [ln`Who holds the job does not release it.`, ln`Another foreman or a deputy does.`];
    case 'window':
      return [ln`All of it has to lie within ${refusal.minutes} min.`, ln`All again.`];
    case 'implausible':
      return [
        ln`${refusal.value} ${refusal.unit} is not likely: ${refusal.from} to ${refusal.to} ${refusal.unit} is expected.`,
        ln`Read again. If it is so: say PROBLEM and what you see.`,
      ];
    case 'unclear':
      return notUnderstood(job, flow, refusal);
    case 'stop-maybe': {
      const what = refusal.danger === null ? 'Stop the job?' : `${dangerName(refusal.danger)}?`;
      return [ln`${what} Say STOP alone, and everything stops.`, ln`If not: say it in other words.`];
    }
    case 'edit-kept':
      if (refusal.kept === '')
        return [ln`An edit changes nothing.`, ln`To correct write: no, and the new value.`];
      return [ln`I keep ${refusal.kept}.`, ln`To correct write: no, and the new value.`];
    case 'word-elsewhere':
      return [
        ln`That word passes nothing here.`,
        ln`You hold ${bayOf(refusal.bay)} too: a word counts only in its own bay's thread.`,
      ];
  }
}

function wordLines(job: Job, what: string): readonly Line[] {
  const word = job.asked?.word ?? null;
  return word === null ? [ln`${what}`] : [ln`${what}`, ln`Type or say it alone: ${word.toUpperCase()}`];
}

function markLines(job: Job, mark: (Refusal & { why: 'marked' })['mark']): readonly Line[] {
  const what = {
    edited: 'An edited message is not taken.',
    forwarded: 'A forwarded message is not taken.',
    quoted: 'A quoted message is not taken.',
    bot: 'A bot answers nothing here.',
    attachment: 'A message with something attached is not taken here.',
  }[mark];
  const word = job.asked?.word ?? null;
  const answers = job.asked?.answers.length ?? 0;
  if (word === null || answers === 0) return [ln`${what}`, ln`A new message, please.`];
  return wordLines(job, what);
}

function standbyOf(job: Job): string {
  return job.standby === null ? 'the standby' : personOf(job, job.standby);
}

/** What is asked instead of what was heard, where the open question can say it better than the code of the fault. */
function notUnderstood(
  job: Job,
  flow: Flow,
  { because: why, detail }: Refusal & { why: 'unclear' },
): readonly Line[] {
  // No word of it could have been a number, or meant to be one: `done`.
  const number = why === 'not-a-number' && detail === '' ? numberAsked(job, flow) : null;
  if (number !== null) return [number];
  if (why !== 'old-post') return unclearLines(why, detail);
  const now = currentStep(job, flow);
  return [
    now === null
      ? ln`That post is done.`
      : ln`That post is done. Now: ${stopped(titleOf(job, flow, now.id))}`,
  ];
}

/** `A number is asked: air pressure, in mbar.` Null where the open question asks for none. */
function numberAsked(job: Job, flow: Flow): Line | null {
  const ask = askOf(job, flow);
  switch (ask?.ask) {
    case 'reading': {
      const what = bare(filled(job, ask.text)).replace(/^second(?: person)?,\s*/i, '');
      return ln`A number is asked: ${uncap(what)}${ask.unit === 'pcs' ? '' : `, in ${ask.unit}`}.`;
    }
    case 'values':
      return ln`Numbers are asked: ${uncap(bare(filled(job, ask.text)))}, in ${ask.unit}.`;
    case 'dead-test':
      return ln`Five numbers are asked, in V, in one message.`;
    default:
      return null;
  }
}

function askOf(job: Job, flow: Flow): Ask | null {
  if (job.asked?.what !== 'step') return null;
  return stepOf(flow, job.asked.step)?.asks[job.asked.answers.length] ?? null;
}

function openAsk(job: Job, flow: Flow): Line {
  const ask = askOf(job, flow);
  if (ask?.ask === 'reading' || ask?.ask === 'field' || ask?.ask === 'values' || ask?.ask === 'second-look') {
    return ln`Open: ${stopped(filled(job, ask.text))}`;
  }
  if (ask?.ask === 'dead-test') return ln`Open: the five readings in one message.`;
  return ln`Answer the open question first.`;
}

/** So many people are named; with more, anybody knows where to ask. */
const MOST_NAMED = 4;

/** Somebody lacks a level, and who has it. */
export function levelLines({ person, level, until, have = [] }: Refusal & { why: 'level' }): readonly Line[] {
  const what =
    until === null
      ? ln`${person} has no level ${level} in the register.`
      : ln`${person}: level ${level} ran out on ${until}.`;
  if (have.length === 0) return [what, ln`Another person with it, or call the foreman.`];
  return [
    what,
    ln`Have it, and no work elsewhere: ${have.slice(0, MOST_NAMED).join(', ')}. Or call the foreman.`,
  ];
}

function gearLines({ kind, id, because: fault, instead }: Refusal & { why: 'gear' }): readonly Line[] {
  const out = fault.startsWith('out: ') ? fault.slice('out: '.length) : null;
  const is = kind === 'gloves' ? 'are' : 'is';
  const what =
    id === null
      ? `No ${gearKind(kind)} taken for this job.`
      : out !== null
        ? stopped(`${gearKind(kind)} ${id} ${is} out: ${out}`)
        : `${gearKind(kind)} ${id}: ${gearFault(fault)}.`;
  const others = instead.slice(0, 4).join(', ');
  const todo = others === '' ? 'None in the register would do. Call the foreman.' : `Would do: ${others}.`;
  return [ln`${what.charAt(0).toUpperCase()}${what.slice(1)}`, ln`${todo}`];
}

const GEAR_FAULTS: Readonly<Record<string, string>> = {
  none: 'not taken for this job',
  'no-test-on-record': 'no test on record',
  'bad-date': 'its date cannot be read',
  'tested-after-today': 'tested after today: check its date',
  'issued-after-today': 'issued after today: check its date',
  'issued-too-late': 'issued after its shelf time',
  'tested-too-low': 'tested at too low a voltage',
  'retest-owed': 'a new test is owed first',
  'calibration-due': 'calibration out of date',
  'cycles-used-up': 'its cycles since calibration are used up',
  overloaded: 'was overloaded',
  'below-range': 'torque below its range',
  'above-range': 'torque above its range',
  'too-coarse': 'too coarse for the tolerance',
  'adapter-refused': 'adapter does not suit it',
};

function gearFault(fault: string): string {
  return GEAR_FAULTS[fault] ?? because(fault);
}

function modeLines(mode: Mode): readonly Line[] {
  switch (mode) {
    case 'working':
    case 'parking':
    case 'catching-up':
      return [ln`The job is ${modeName(mode)}: that does not fit now.`, ln`WHERE says where it stands.`];
    case 'paused':
    case 'parked':
      return [ln`The job is ${modeName(mode)}.`, ln`Say RESUME to go on.`];
    case 'held':
    case 'stopped':
      return [ln`The job is ${modeName(mode)}. Nothing goes on.`, ln`The foreman's RELEASE takes it on.`];
    case 'handing-over':
      return [ln`The job is being handed over.`, ln`The new one says TAKE; RESUME keeps it.`];
    case 'done':
    case 'called-off':
      return [ln`The job is ${modeName(mode)}.`];
  }
}

/** Why a step is not left out, whoever asks. */
const KEPT_IN: Readonly<Record<KeptIn, string>> = {
  own: 'whoever holds the job leaves nothing out of it.',
  gate: 'it is a gate.',
  tightens: 'it tightens.',
  measures: 'it measures.',
  waits: 'it waits for what takes its time.',
  makes: 'what comes after rests on it.',
  ends: 'it closes or undoes something.',
  decides: 'it decides what comes after.',
  counts: 'it counts.',
  kept: 'the record rests on what is written down there.',
  park: 'how a bay is left is not cut short.',
  hazard: 'it is done in a hazard.',
};

function keptInWay(because: KeptIn): readonly Line[] {
  if (because === 'own') return [ln`Another foreman or a deputy does, in this thread.`];
  return [ln`Does it not fit this car? HOLD and why, or call off.`];
}
