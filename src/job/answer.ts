import type { Ask, Step } from '../flow/flow.js';
import { judgeAndGoOn } from './conclude.js';
import type { Draft, Speaker } from './draft.js';
import { gearFor } from './fit.js';
import { hearGateWord, isGateWord, wordHere } from './gate.js';
import type { Heard } from './heard.js';
import { type Input, wordsOf } from './input.js';
import type { Refusal } from './refusal.js';
import { takeAnswer } from './taken.js';
import { indexOfStep, lacksAtAnswer, stepOf } from './view.js';
import { watchAnswered } from './watching.js';
import { changeMode, nameOf } from './ways.js';

/** An answer to the open question of a step. */
export function answerStep(draft: Draft, input: Input, heard: Heard, who: Speaker): void {
  const { asked } = draft.job;
  if (asked === null) return;
  const step = stepOf(draft.flow, asked.step);
  const ask = step.asks[asked.answers.length];
  if (ask === undefined) return;
  if (!speaksTo(draft, input, heard, who, ask)) return;

  // A need that went since the step was shown ends the visit; `advance` says what is missing and why.
  if (lacksAtAnswer(draft.job, draft.flow, indexOfStep(draft.flow, step.id)) !== null) {
    draft.emit({ type: 'visit-ended', step: step.id, because: 'lapse', at: draft.now });
    return;
  }
  const tapped = input.body.is === 'tap' || input.body.is === 'reaction';
  if (ask.ask === 'word' && tapped) return draft.refuse({ why: 'tap' }, who, true);
  const stale = staleness(draft, input, step);
  if (stale !== null) return draft.refuse(stale, who, step.kind === 'gate');
  if (ask.ask === 'word') return hearGateWord(draft, step, input, who);
  if (isGateWord(draft, wordsOf(input))) {
    return draft.refuse(earlyWord(draft, step, ask, who), who, true);
  }
  const mayNot = whoMay(draft, ask, who);
  if (mayNot !== null) return draft.refuse(mayNot, who, step.kind === 'gate');
  const mark = (['edited', 'forwarded', 'quoted', 'bot'] as const).find((m) => input.marks[m]);
  if (mark !== undefined) return draft.refuse({ why: 'marked', mark }, who);
  if (photoBeside(draft, step, ask, input, who)) return;
  if (problemTold(draft, step, heard, who, input)) return;
  const unfit = ask.ask === 'gear' ? null : gearRefusal(draft, step);
  if (unfit !== null) return draft.refuse(unfit, who);

  if (ask.ask === 'watch') return watchAnswered(draft, step, ask, heard, input, who);

  const taken = takeAnswer(draft, step, ask, heard, input, who);
  if (!taken.ok) return draft.refuse(taken.refusal, who);
  draft.emit({
    type: 'answered',
    step: step.id,
    visit: asked.visit,
    ask: asked.answers.length,
    answer: taken.answer,
    saidFor: who.by !== draft.job.holder && !bySecond(ask) ? draft.job.holder : null,
    by: who.by,
    name: who.name,
    at: draft.now,
  });
  judgeAndGoOn(draft, step, ask, taken.answer, who);
}

/** A measurement or a bolt counts only with gear that may be used today. A gate says so with its word. */
function gearRefusal(draft: Draft, step: Step): Refusal | null {
  if (step.kind === 'gate' || step.gear.length === 0) return null;
  const gear = gearFor(draft.job, draft.world, step);
  return gear.ok ? null : gear.refusal;
}

/** Whether a message is an answer at all: chat of others in the thread is kept and not answered. */
function speaksTo(draft: Draft, input: Input, heard: Heard, who: Speaker, ask: Ask): boolean {
  const { holder, standby } = draft.job;
  if (who.by === holder || who.by === standby) return true;
  if (isGateWord(draft, wordsOf(input))) return true;
  if (bySecond(ask) && heard.heard === 'word') return true;
  if (ask.ask === 'field' || ask.ask === 'gear' || ask.ask === 'standby') return false;
  return ['yes', 'readings', 'choice', 'sight'].includes(heard.heard);
}

/** The post with the open question must have arrived, and must have been seen before it is answered. */
export function staleness(draft: Draft, input: Input, step: Step | null): Refusal | null {
  const { asked, places } = draft.job;
  if (asked === null) return null;
  const place = places[asked.seq];
  if (place === undefined) return { why: 'not-delivered' };
  if (input.body.is === 'tap' && input.body.visit !== String(asked.visit)) return { why: 'stale' };
  if (input.seen === null) return step?.kind === 'gate' ? { why: 'stale' } : null;
  return input.seen < place ? { why: 'stale' } : null;
}

function earlyWord(draft: Draft, step: Step, ask: Ask, who: Speaker): Refusal {
  if (step.kind !== 'gate') return wordHere(draft, who);
  if (bySecond(ask)) return { why: 'second-first' };
  return { why: 'readings-first' };
}

function bySecond(ask: Ask): boolean {
  return ask.ask === 'second-look' || (ask.ask === 'reading' && ask.by === 'second');
}

function whoMay(draft: Draft, ask: Ask, who: Speaker): Refusal | null {
  const { holder, standby } = draft.job;
  if (bySecond(ask)) {
    if (who.by === holder) return { why: 'own-witness' };
    if (who.by !== standby) {
      return { why: 'not-second', second: standby === null ? null : nameOf(draft, standby) };
    }
    return null;
  }
  if (who.by === holder) return null;
  // Hands in a live zone do not type: the standby may say the readings for the holder.
  const scribe = ['reading', 'dead-test', 'values', 'watch'].includes(ask.ask);
  if (scribe && who.by === standby) return null;
  return { why: 'not-holder', holder: nameOf(draft, holder) };
}

/** A photo that no question asks for is kept with the step and answers nothing. */
function photoBeside(draft: Draft, step: Step, ask: Ask, input: Input, who: Speaker): boolean {
  if (input.body.is !== 'photo' || ask.ask === 'field' || (ask.ask === 'confirm' && step.photo)) return false;
  const { sha256, text } = input.body;
  draft.emit({
    type: 'noted',
    text,
    photo: sha256,
    step: step.id,
    by: who.by,
    name: who.name,
    at: draft.now,
  });
  return true;
}

/** `no` is either not yet or a problem: a bare one is asked back, a problem with its words is a hold. */
function problemTold(draft: Draft, step: Step, heard: Heard, who: Speaker, input: Input): boolean {
  if (heard.heard !== 'no') return false;
  const words = wordsOf(input).trim();
  const reason = heard.rest.trim();
  // A bare number after `no` was meant to correct something, and is no reason to hold a job.
  const number = /^[-\d.,\s]+\S{0,4}$/.test(reason);
  if ((reason === '' || number) && !/^problem\b/i.test(words)) {
    draft.refuse({ why: 'unclear', because: 'not-yet-or-problem', detail: '' }, who);
    return true;
  }
  changeMode(draft, 'held', who, `${step.id}: ${reason === '' ? words : reason}`);
  return true;
}
