import type { Ask, Flow, Step } from '../flow/flow.js';
import type { Asked, Job } from '../job/job.js';
import type { FactId } from '../rule/rules.js';
import { stoppedCure } from './change.js';
import { DEAD_TEST_ORDER } from './echo.js';
import { instruction, planLines } from './instruction.js';
import { bare, cap, ln, uncap, when } from './line.js';
import { filled, gearKind, labelOf, personOf, stepOf } from './phrase.js';
import type { Button, Line } from './post.js';
import { promptLine } from './watch.js';

/** The question that is open, in words, with its buttons and the visit that a tap must name. */
export type Question = {
  readonly lines: readonly Line[];
  readonly buttons: readonly Button[];
  readonly visit: string | null;
};

const LABEL_WIDTH = 15;
const MOST_BUTTONS = 3;

const OK: Button = { label: 'OK', says: 'ok' };
const PROBLEM: Button = { label: 'Problem', says: 'problem' };

/**
 * What the bay is asked now; null where nothing is. `full` puts the whole step, else only the open question of it.
 * `prefix` goes before the text of a whole step.
 */
export function questionOf(job: Job, flow: Flow, full: boolean, prefix = ''): Question | null {
  const { asked } = job;
  if (job.mode !== 'working' && job.mode !== 'parking') return null;
  if (asked !== null && !asked.ended) {
    if (asked.what === 'look') return lookQuestion(flow, asked);
    if (asked.what === 'which') return whichQuestion(flow, asked);
    return stepQuestion(job, flow, asked, full, prefix);
  }
  if (asked !== null) return null;
  if (job.oldLock !== null) return oldLockQuestion(job);
  if (job.waitingFor !== null) return waitQuestion(job, flow, job.waitingFor, full);
  return null;
}

function lookQuestion(flow: Flow, asked: Asked): Question {
  const buttons = [
    { label: 'Yes', says: 'yes' },
    { label: 'No', says: 'no' },
  ];
  const looks = asked.facts.map((fact) => lookOf(flow, fact));
  const only = looks.length === 1 ? looks[0] : undefined;
  const lines =
    only !== undefined
      ? [ln`Look: ${only} Yes or no.`]
      : [ln`Look at all of these:`, ...looks.map((look) => ln`- ${look}`), ln`All so? Yes or no.`];
  return { lines, buttons, visit: String(asked.visit) };
}

function lookOf(flow: Flow, fact: FactId): string {
  return flow.facts.get(fact)?.look ?? `${cap(labelOf(flow, fact))}?`;
}

function whichQuestion(flow: Flow, asked: Asked): Question {
  const lines = asked.facts.map((fact, at) => ln`${at + 1} ${labelOf(flow, fact)}`);
  const few = asked.facts.length <= MOST_BUTTONS;
  const buttons = few ? asked.facts.map((_, at) => ({ label: String(at + 1), says: String(at + 1) })) : [];
  return { lines: [ln`Which one is not so? Its number:`, ...lines], buttons, visit: String(asked.visit) };
}

function stepQuestion(job: Job, flow: Flow, asked: Asked, full: boolean, prefix: string): Question | null {
  const step = stepOf(flow, asked.step);
  const ask = step?.asks[asked.answers.length];
  if (step === null || ask === undefined) return null;
  const told = full && asked.answers.length === 0;
  const shown = told ? instruction(job, step, asked.plan, prefix) : again(job, step, ask, asked);
  return {
    lines: [...shown, ...askLines(job, step, ask, asked, told)],
    buttons: buttonsOf(step, ask),
    visit: String(asked.visit),
  };
}

/** What is said again before a later question of a step: the declaration that a gate's word seals. */
function again(job: Job, step: Step, ask: Ask, asked: Asked): readonly Line[] {
  if (ask.ask === 'word') return [ln`Gate: ${filled(job, step.text)}`];
  if (ask.ask === 'confirm' || ask.ask === 'choice')
    return [ln`${filled(job, step.text)}`, ...planLines(asked.plan)];
  return [];
}

function askLines(job: Job, step: Step, ask: Ask, asked: Asked, told: boolean): readonly Line[] {
  const standby = job.standby === null ? 'Standby' : personOf(job, job.standby);
  switch (ask.ask) {
    case 'confirm':
      return [step.photo ? ln`Photo when done. No camera: NO PHOTO and why.` : ln`OK when done.`];
    case 'reading': {
      const unit = ask.unit === 'pcs' ? '' : `, in ${ask.unit}`;
      const text = `${bare(filled(job, ask.text))}${unit}?`;
      return [ask.by === 'second' ? ln`${standby}: ${ofSecond('reading', text)}` : ln`${text}`];
    }
    case 'watch':
      return [told ? ln`${bare(filled(job, ask.text))}, in ${ask.unit}?` : promptLine(job, ask)];
    case 'dead-test':
      return [
        ln`${ask.text === '' ? 'Five' : `${bare(ask.text)}: five`} numbers and the unit in one message:`,
        ln`(${DEAD_TEST_ORDER.join(', ')})`,
      ];
    case 'values': {
      const count = asked.plan === null ? '' : `${asked.plan.bolts} values, `;
      const what = `${count}in ${ask.unit}, in one message, bolt by bolt.`;
      return [ask.text === step.text ? ln`${cap(what)}` : ln`${bare(filled(job, ask.text))}: ${what}`];
    }
    case 'choice':
      return choiceLines(ask);
    case 'field':
      return [fieldLine(job, ask)];
    case 'gear':
      return [ln`Ids in one message: ${ask.kinds.map(gearKind).join(', ')}.`];
    case 'standby':
      return [told ? ln`Say the name.` : ln`Who stands by? Say the name.`];
    case 'second-look':
      return [ln`${standby}: ${ofSecond('look', filled(job, ask.text))} Answer SEEN.`];
    case 'word':
      return [ln`Type or say: ${(asked.word ?? ask.words[0] ?? '').toUpperCase()}`];
  }
}

/** The name stands before it, so what the flow calls the person goes; 'own' is said once. */
function ofSecond(what: 'reading' | 'look', text: string): string {
  const rest = text.replace(/^second(?: person)?,\s*/i, '');
  return /^own\b/i.test(rest) ? uncap(rest) : `your own ${what}. ${cap(rest)}`;
}

function choiceLines(ask: Ask & { readonly ask: 'choice' }): readonly Line[] {
  const options = ask.options.map((option, at) => `${at + 1} ${option.say.replaceAll('-', ' ')}`);
  return [ln`${options.join(', ')}`];
}

function asButtons(ask: Ask & { readonly ask: 'choice' }): boolean {
  return (
    ask.options.length <= MOST_BUTTONS && ask.options.every((option) => option.say.length <= LABEL_WIDTH)
  );
}

function fieldLine(job: Job, ask: Ask & { readonly ask: 'field' }): Line {
  const text = bare(filled(job, ask.text));
  switch (ask.type) {
    case 'photo':
      return /^photo\b/i.test(text) ? ln`${text}.` : ln`Photo: ${text}.`;
    case 'date':
      return ln`${text}? Such as 2026-03-14, or 2026-03.`;
    case 'count':
    case 'text':
    case 'serial':
    case 'batch':
      return ln`${text}?`;
  }
}

/** No tap stands for a reading, a name or a word: only what has few answers has buttons. */
function buttonsOf(step: Step, ask: Ask): readonly Button[] {
  if (ask.ask === 'confirm') return step.photo ? [PROBLEM] : [OK, PROBLEM];
  if (ask.ask !== 'choice' || !asButtons(ask)) return [];
  return ask.options.map((option) => ({ label: cap(option.say.replaceAll('-', ' ')), says: option.say }));
}

function oldLockQuestion(job: Job): Question {
  const owner = job.oldLock === null ? '' : personOf(job, job.oldLock);
  return {
    lines: [ln`${owner}: new lock is on. Take yours off, then say LOCK OFF.`],
    buttons: [],
    visit: null,
  };
}

function waitQuestion(job: Job, flow: Flow, wait: NonNullable<Job['waitingFor']>, full: boolean): Question {
  const step = stepOf(flow, wait.step);
  const facts = wait.facts.map((fact) => labelOf(flow, fact)).join(', ');
  const stopped = wait.facts.flatMap((fact) => job.facts[fact]?.stopped ?? [])[0];
  const lines =
    stopped === undefined
      ? [ln`Waiting, not before ${when(wait.until, job.now)}: ${facts}.`]
      : [ln`${stoppedCure(job, stopped)}: ${facts}.`, ln`Air in range again: log it, AIR 18 C 45 %.`];
  if (full && step !== null && step.kind === 'wait') {
    lines.unshift(ln`${filled(job, step.text)}`);
    for (const card of step.card) lines.push(ln`${filled(job, card)}`);
  }
  lines.push(ln`LIST says what else can be done.`);
  return { lines, buttons: [], visit: null };
}
