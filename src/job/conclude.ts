import type { Ask, Step } from '../flow/flow.js';
import { changesOfLoss } from '../rule/change.js';
import { valueIn } from '../units/quantity.js';
import { completeStep } from './advance.js';
import { judgeStep } from './calculation.js';
import type { Draft, Speaker } from './draft.js';
import { NOBODY } from './draft.js';
import type { Answer, Figure, Value } from './event.js';
import { judgeAnswer } from './judge.js';
import type { Judgement } from './judgement.js';
import { isNamed } from './named.js';
import { batchNamed } from './taken.js';
import { testerLapses } from './time.js';
import { changeMode, nameOf, stop } from './ways.js';

/** Judges what was answered and puts the next question, or closes the step. */
export function judgeAndGoOn(draft: Draft, step: Step, ask: Ask, answer: Answer, who: Speaker): void {
  loadSealant(draft, answer);
  if (answer.ask === 'standby') {
    const name = nameOf(draft, answer.person);
    draft.emit({ type: 'standby-named', person: answer.person, by: who.by, name, at: draft.now });
  }
  if (answer.ask === 'choice' && ask.ask === 'choice') {
    const option = ask.options.find(({ say }) => say === answer.option);
    const unnamed = option !== undefined && !isNamed(draft.job, option) ? option.namedIn : null;
    const held = option?.hold ?? unnamed?.hold ?? null;
    if (held !== null) return changeMode(draft, 'held', who, held);
  }
  const readings = answer.ask === 'reading' ? [answer.reading] : 'readings' in answer ? answer.readings : [];
  const own = judgeAnswer(draft.job, draft.world, step, ask, readings);
  if (own !== null && !conclude(draft, step, own, who)) return;
  const rest = step.asks.slice(draft.job.asked?.answers.length ?? step.asks.length);
  const read = readings.length > 0 && !rest.some((one) => one.ask === 'values' || isHolderReading(one));
  if (read && step.judge !== null) {
    const judged = judgeStep(draft.job, draft.flow, step);
    if (judged !== null && !conclude(draft, step, judged, who)) return;
    // Only air that the plan was good in: a slip of the thumb may not slow every cure to come.
    if (step.asks.some((one) => one.ask === 'reading' && one.name === 'panel-temp')) logAir(draft, who);
  }
  if (rest.length === 0) completeStep(draft, step, who, null);
}

function isHolderReading(ask: Ask): boolean {
  return ask.ask === 'reading' && ask.by === 'holder';
}

/** Records the judgement; false when the step does not go on. */
export function conclude(draft: Draft, step: Step, judged: Judgement, who: Speaker): boolean {
  const { verdict, because, figures } = judged;
  draft.emit({ type: 'judged', step: step.id, verdict, because, figures, at: draft.now });
  if (judged.testerOut === true) testerOut(draft);
  if (judged.alarm === true) alarm(draft, step, because);
  if (verdict === 'passed') {
    keepFigures(draft, figures);
    return true;
  }
  const detail = `${step.id}: ${because}`;
  if (verdict === 'again') {
    draft.emit({ type: 'visit-ended', step: step.id, because: 'correction', at: draft.now });
    return false;
  }
  draft.emit({ type: 'summoned', what: 'out-of-limits', to: 'foreman', detail, at: draft.now });
  if (verdict === 'stop') stop(draft, who, null);
  else changeMode(draft, 'held', NOBODY, detail);
  return false;
}

function keepFigures(draft: Draft, figures: readonly Figure[]): void {
  if (figures.length > 0) draft.emit({ type: 'figures-kept', figures, at: draft.now });
}

/** Ends what a step names under `alarm:`: a look does not bring it back, only its maker. */
export function alarm(draft: Draft, step: Step, because: string): void {
  const facts = step.alarm.filter((fact) => draft.value(fact) !== 'gone');
  if (facts.length === 0) return;
  const changes = draft.timed(changesOfLoss(draft.flow.rules, facts, draft.value));
  draft.emit({ type: 'alarmed', step: step.id, because, facts, at: draft.now, changes });
}

/** A tester that failed its second proving has proved nothing today: here, and wherever else it was used. */
function testerOut(draft: Draft): void {
  const tester = Object.values(draft.job.gear).find((used) => used.kind === 'tester');
  testerLapses(draft);
  const detail = tester?.id ?? '';
  draft.emit({ type: 'summoned', what: 'tester-out', to: 'shop', detail, at: draft.now });
  draft.emit({ type: 'summoned', what: 'tester-out', to: 'foreman', detail, at: draft.now });
}

/** The data sheet of the batch in hand, copied into the job. */
function loadSealant(draft: Draft, answer: Answer): void {
  if (answer.ask !== 'field' || answer.name !== 'sealant-batch') return;
  const batch = batchNamed(draft, answer.text);
  if (batch === null) return;
  const sheet = Object.entries(batch.sheet).map(([name, quantity]): [string, Value] => [
    `sealant.${name}`,
    { quantity, text: null, reference: batch.reference, enteredBy: 'register' },
  ]);
  draft.emit({ type: 'values-loaded', values: Object.fromEntries(sheet), at: draft.now });
}

/** Air read at the bench is the first entry of the air log that the cure is computed from. */
function logAir(draft: Draft, who: Speaker): void {
  const [air, humidity, panel] = ['air-temp', 'humidity', 'panel-temp'].map(
    (name) => draft.job.readings[name]?.[0]?.quantity,
  );
  if (air === undefined || humidity === undefined || panel === undefined) return;
  // The colder of air and panel: the bead sits on the panel.
  const celsius = Math.min(valueIn(air, '°C'), valueIn(panel, '°C'));
  const percentRh = valueIn(humidity, '%');
  draft.emit({ type: 'air-logged', celsius, percentRh, by: who.by, name: who.name, at: draft.now });
}
