import type { Ask, GearKind, Step } from '../flow/flow.js';
import { changesOfDoubt } from '../rule/change.js';
import { lackingAtAnswer } from '../rule/next.js';
import { isIsoDate } from '../trade/dates.js';
import { judgeUseBy, usable } from '../trade/in-date.js';
import { valueIn } from '../units/quantity.js';
import { dimensionOf } from '../units/unit.js';
import { completeStep } from './advance.js';
import type { Draft, Speaker } from './draft.js';
import { NOBODY } from './draft.js';
import type { Answer, Figure, GearUsed, Reading, Refusal, Value } from './event.js';
import { competence, faultOf, gearFor, usedNow } from './fit.js';
import { hearGateWord, isGateWord } from './gate.js';
import type { Heard, HeardNumber } from './heard.js';
import { type Input, wordsOf } from './input.js';
import { type Judgement, judgeAnswer, judgeStep } from './judge.js';
import { boltsOf } from './tighten.js';
import { indexOfStep, stepOf, viewOfJob } from './view.js';
import { changeMode, nameOf, personNamed, stop } from './ways.js';

type Taken =
  | { readonly ok: true; readonly answer: Answer }
  | { readonly ok: false; readonly refusal: Refusal };

const no = (refusal: Refusal): Taken => ({ ok: false, refusal });
const yes = (answer: Answer): Taken => ({ ok: true, answer });

/** An answer to the open question of a step. */
export function answerStep(draft: Draft, input: Input, heard: Heard, who: Speaker): void {
  const { asked } = draft.job;
  if (asked === null) return;
  const step = stepOf(draft.flow, asked.step);
  const ask = step.asks[asked.answers.length];
  if (ask === undefined) return;
  if (!speaksTo(draft, input, heard, who, ask)) return;

  // A need that went since the step was shown ends the visit; `advance` says what is missing and why.
  const view = viewOfJob(draft.job, draft.flow);
  if (lackingAtAnswer(draft.flow.rules, view, indexOfStep(draft.flow, step.id)) !== null) {
    draft.emit({ type: 'visit-ended', step: step.id, because: 'lapse', at: draft.now });
    return;
  }
  const stale = staleness(draft, input, step);
  if (stale !== null) return draft.refuse(stale, who, step.kind === 'gate');
  if (ask.ask === 'word') return hearGateWord(draft, step, input, who);
  if (isGateWord(draft, wordsOf(input))) {
    return draft.refuse(earlyWord(step, ask), who, true);
  }
  const mayNot = whoMay(draft, ask, who);
  if (mayNot !== null) return draft.refuse(mayNot, who, step.kind === 'gate');
  const mark = (['edited', 'forwarded', 'quoted', 'bot'] as const).find((m) => input.marks[m]);
  if (mark !== undefined) return draft.refuse({ why: 'marked', mark }, who);
  if (problemTold(draft, step, heard, who, input)) return;
  const unfit = ask.ask === 'gear' ? null : gearRefusal(draft, step);
  if (unfit !== null) return draft.refuse(unfit, who);

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
  if (ask.ask === 'field' || ask.ask === 'gear' || ask.ask === 'standby') return false;
  return heard.heard === 'yes' || heard.heard === 'readings' || heard.heard === 'choice';
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

function earlyWord(step: Step, ask: Ask): Refusal {
  if (step.kind !== 'gate') return { why: 'nothing-asked' };
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
  const scribe = ask.ask === 'reading' || ask.ask === 'dead-test' || ask.ask === 'values';
  if (scribe && who.by === standby) return null;
  return { why: 'not-holder', holder: nameOf(draft, holder) };
}

/** `no` is either not yet or a problem: a bare one is asked back, a problem with its words is a hold. */
function problemTold(draft: Draft, step: Step, heard: Heard, who: Speaker, input: Input): boolean {
  if (heard.heard !== 'no') return false;
  const words = wordsOf(input).trim();
  const reason = heard.rest.trim();
  if (reason === '' && !/^problem\b/i.test(words)) {
    draft.refuse({ why: 'unclear', because: 'not-yet-or-problem', detail: '' }, who);
    return true;
  }
  changeMode(draft, 'held', who, `${step.id}: ${reason === '' ? words : reason}`);
  return true;
}

function takeAnswer(draft: Draft, step: Step, ask: Ask, heard: Heard, input: Input, who: Speaker): Taken {
  if (heard.heard === 'unclear') {
    return no({ why: 'unclear', because: heard.because, detail: heard.detail });
  }
  switch (ask.ask) {
    case 'confirm':
      return confirmed(step, heard, input);
    case 'reading':
      return reading(ask, heard, input);
    case 'dead-test':
      return deadTest(heard, input);
    case 'values':
      return values(draft, step, ask, heard, input);
    case 'choice':
      if (heard.heard !== 'choice') return no({ why: 'unclear', because: 'which-option', detail: '' });
      return yes({ ask: 'choice', choice: ask.choice, option: heard.option });
    case 'field':
      return field(draft, ask, heard, input);
    case 'gear':
      return gear(draft, step, ask.kinds, input);
    case 'standby':
      return standby(draft, step, input, who);
    case 'second-look':
      if (heard.heard !== 'word' || heard.word !== 'seen') {
        return no({ why: 'unclear', because: 'which-word', detail: 'SEEN' });
      }
      return yes({ ask: 'second-look' });
    case 'word':
      return no({ why: 'wrong-word', near: false });
  }
}

function confirmed(step: Step, heard: Heard, input: Input): Taken {
  const withoutPhoto = /^no photo\b\s*\S/i.test(wordsOf(input).trim());
  if (step.photo && input.body.is !== 'photo' && !withoutPhoto) return no({ why: 'photo-first' });
  const photo = input.body.is === 'photo' ? input.body.sha256 : null;
  if (photo !== null || withoutPhoto || heard.heard === 'yes') return yes({ ask: 'confirm', photo });
  return no({ why: 'unclear', because: 'which-word', detail: 'OK' });
}

/** One number as a reading; its unit is the step's own where none was said. */
function asReading(
  number: HeardNumber,
  ask: { readonly unit: Reading['quantity']['unit'] },
  at: number,
): Taken | Reading {
  const unit = number.unit ?? ask.unit;
  if (dimensionOf(unit) !== dimensionOf(ask.unit)) {
    return no({ why: 'unclear', because: 'wrong-unit', detail: `${unit}, ${ask.unit}` });
  }
  const quantity = { value: number.value, unit };
  return { quantity, assumedUnit: number.unit === null, bound: number.bound, at };
}

function numbersOf(heard: Heard): readonly HeardNumber[] | Taken {
  if (heard.heard === 'readings') return heard.numbers;
  const detail = heard.heard === 'no-number' ? heard.word : '';
  return no({ why: 'unclear', because: 'not-a-number', detail });
}

function reading(ask: Ask & { ask: 'reading' }, heard: Heard, input: Input): Taken {
  const numbers = numbersOf(heard);
  if ('ok' in numbers) return numbers;
  const [only, second] = numbers;
  if (only === undefined) return no({ why: 'unclear', because: 'not-a-number', detail: '' });
  if (second !== undefined) {
    const both = `${only.value}, ${second.value}`;
    return no({ why: 'unclear', because: 'two-numbers', detail: both });
  }
  const taken = asReading(only, ask, input.saidAt);
  if ('ok' in taken) return taken;
  const { plausible } = ask;
  const value = valueIn(taken.quantity, ask.unit);
  if (plausible !== null && (value < plausible.from || value > plausible.to) && taken.bound === null) {
    return no({ why: 'implausible', value, unit: ask.unit, from: plausible.from, to: plausible.to });
  }
  return yes({ ask: 'reading', name: ask.name, reading: taken });
}

/** Exactly five, in order, the unit said at least once: four are refused, never guessed which. */
function deadTest(heard: Heard, input: Input): Taken {
  const numbers = numbersOf(heard);
  if ('ok' in numbers) return numbers;
  if (numbers.length !== 5) {
    return no({ why: 'unclear', because: 'how-many', detail: `${numbers.length}, 5` });
  }
  const said = [...new Set(numbers.flatMap((number) => (number.unit === null ? [] : [number.unit])))];
  const unit = said[0];
  if (unit === undefined) return no({ why: 'unclear', because: 'no-unit', detail: 'V' });
  if (said.length > 1 && numbers.some((number) => number.unit === null)) {
    return no({ why: 'unclear', because: 'ambiguous-unit', detail: said.join(', ') });
  }
  const readings: Reading[] = [];
  for (const number of numbers) {
    const taken = asReading({ ...number, unit: number.unit ?? unit }, { unit: 'V' }, input.saidAt);
    if ('ok' in taken) return taken;
    readings.push({ ...taken, assumedUnit: number.unit === null });
  }
  return yes({ ask: 'dead-test', name: 'dead-test', readings });
}

function values(draft: Draft, step: Step, ask: Ask & { ask: 'values' }, heard: Heard, input: Input): Taken {
  const numbers = numbersOf(heard);
  if ('ok' in numbers) return numbers;
  const bolts = boltsOf(draft.job, step);
  if (bolts !== null && numbers.length !== bolts) {
    return no({ why: 'unclear', because: 'how-many', detail: `${numbers.length}, ${bolts}` });
  }
  const said = numbers.find((number) => number.unit !== null)?.unit ?? null;
  const readings: Reading[] = [];
  for (const number of numbers) {
    const taken = asReading({ ...number, unit: number.unit ?? said }, ask, input.saidAt);
    if ('ok' in taken) return taken;
    readings.push({ ...taken, assumedUnit: number.unit === null });
  }
  return yes({ ask: 'values', name: ask.name, readings });
}

function field(draft: Draft, ask: Ask & { ask: 'field' }, heard: Heard, input: Input): Taken {
  const text = wordsOf(input).trim();
  const photo = input.body.is === 'photo' ? input.body.sha256 : null;
  if (ask.type === 'photo') {
    if (photo === null) return no({ why: 'photo-first' });
    return yes({ ask: 'field', name: ask.name, type: ask.type, text, photo });
  }
  if (text === '') return no({ why: 'unclear', because: 'empty', detail: '' });
  if (ask.type === 'count') {
    const whole = /^\d{1,4}$/.test(text) || (heard.heard === 'readings' && heard.numbers.length === 1);
    const number = /^\d{1,4}$/.test(text)
      ? Number(text)
      : heard.heard === 'readings'
        ? heard.numbers[0]?.value
        : null;
    if (!whole || number == null || !Number.isInteger(number) || number < 0) {
      return no({ why: 'unclear', because: 'not-a-number', detail: text });
    }
    return yes({ ask: 'field', name: ask.name, type: ask.type, text: String(number), photo });
  }
  if (ask.type === 'date') {
    const date = asDate(text);
    if (date === null) return no({ why: 'unclear', because: 'not-a-date', detail: text });
    return yes({ ask: 'field', name: ask.name, type: ask.type, text: date, photo });
  }
  if (ask.type === 'batch' && ask.name === 'sealant-batch') {
    const batch = batchNamed(draft, text);
    if (batch === null) return no({ why: 'unknown-value', said: text });
    const useBy = judgeUseBy({ useBy: batch.useBy, on: draft.world.today });
    if (!useBy.ok || !usable(useBy)) {
      return no({ why: 'out-of-date', what: batch.batch, on: batch.useBy });
    }
    return yes({ ask: 'field', name: ask.name, type: ask.type, text: batch.batch, photo });
  }
  // A serial that is read twice has to be the same twice.
  const before = ask.name.endsWith('-again')
    ? draft.job.fields[ask.name.slice(0, -'-again'.length)]
    : undefined;
  if (before !== undefined && plain(before) !== plain(text))
    return no({ why: 'differs', said: text, before });
  return yes({ ask: 'field', name: ask.name, type: ask.type, text, photo });
}

const plain = (serial: string) => serial.toUpperCase().replace(/[\s-]/g, '');

/** `2026-03`, `03/2026`, `2026-03-14`: a month stands for its first day, which errs on the early side. */
function asDate(text: string): string | null {
  const month = /^(\d{4})-(\d{2})$/.exec(text) ?? null;
  const turned = /^(\d{1,2})[/.](\d{4})$/.exec(text);
  const date =
    month !== null ? `${text}-01` : turned === null ? text : `${turned[2]}-${turned[1]?.padStart(2, '0')}-01`;
  return isIsoDate(date) ? date : null;
}

function batchNamed(draft: Draft, text: string) {
  const wanted = text.toLowerCase();
  return [...draft.world.sealants.values()].find((one) => one.batch.toLowerCase() === wanted) ?? null;
}

/** All pieces named in one message, one at least of every kind that is asked. */
function gear(draft: Draft, step: Step, kinds: readonly GearKind[], input: Input): Taken {
  const said = wordsOf(input)
    .split(/[\s,;+&]+/)
    .filter((word) => word !== '' && !/^(and|plus|with|gloves?|tester|source|wrench(es)?)$/i.test(word));
  const used: GearUsed[] = [];
  for (const id of said) {
    const piece = [...draft.world.gear.values()].find((one) => one.id.toLowerCase() === id.toLowerCase());
    if (piece === undefined) return no({ why: 'unknown-gear', said: id, kinds });
    const because = faultOf(draft.job, draft.world, piece.kind === 'wrench' ? null : step, piece);
    if (because !== null) {
      const instead = [...draft.world.gear.values()].filter(
        (other) =>
          other.kind === piece.kind &&
          other.id !== piece.id &&
          faultOf(draft.job, draft.world, other.kind === 'wrench' ? null : step, other) === null,
      );
      const ids = instead.map((other) => other.id);
      return no({ why: 'gear', kind: piece.kind, id: piece.id, because, instead: ids });
    }
    used.push(usedNow(piece));
  }
  const lacking = kinds.find((kind) => !used.some((piece) => piece.kind === kind));
  if (lacking !== undefined) return no({ why: 'unknown-gear', said: '', kinds: [lacking] });
  return yes({ ask: 'gear', gear: used });
}

function standby(draft: Draft, step: Step, input: Input, who: Speaker): Taken {
  const text = wordsOf(input)
    .replace(/^standby\b/i, '')
    .trim();
  const person = personNamed(draft, text);
  if (person === null) return no({ why: 'unknown-person', said: text });
  if (person === who.by || person === draft.job.holder) return no({ why: 'own-witness' });
  const bay = draft.world.standbyElsewhere.get(person);
  if (bay !== undefined) return no({ why: 'standby-elsewhere', bay });
  const level = draft.flow.hazards.get(step.hazard)?.second?.level ?? lowestSecondLevel(draft);
  if (level !== null) {
    const held = competence(draft.world, draft.flow, person, level);
    if (!held.ok) return no(held.refusal);
  }
  return yes({ ask: 'standby', person });
}

/** Whoever stands by must be able to stand by at every gate that asks for it. */
function lowestSecondLevel(draft: Draft): string | null {
  const { levels, hazards } = draft.flow;
  const asked = [...hazards.values()].flatMap((hazard) => hazard.second?.level ?? []);
  return asked.sort((a, b) => levels.indexOf(a) - levels.indexOf(b))[0] ?? null;
}

/** Judges what was answered and puts the next question, or closes the step. */
function judgeAndGoOn(draft: Draft, step: Step, ask: Ask, answer: Answer, who: Speaker): void {
  loadSealant(draft, answer);
  if (answer.ask === 'standby') {
    const name = nameOf(draft, answer.person);
    draft.emit({ type: 'standby-named', person: answer.person, by: who.by, name, at: draft.now });
  }
  if (answer.ask === 'choice' && ask.ask === 'choice') {
    const held = ask.options.find((option) => option.say === answer.option)?.hold ?? null;
    if (held !== null) return changeMode(draft, 'held', who, held);
  }
  const readings = answer.ask === 'reading' ? [answer.reading] : 'readings' in answer ? answer.readings : [];
  const own = judgeAnswer(draft.job, draft.world, step, ask, readings);
  if (own !== null && !conclude(draft, step, own, who)) return;
  const rest = step.asks.slice(draft.job.asked?.answers.length ?? step.asks.length);
  const read = readings.length > 0 && !rest.some((one) => one.ask === 'values' || isHolderReading(one));
  if (read && step.judge !== null) {
    logAir(draft, who);
    const judged = judgeStep(draft.job, draft.flow, step);
    if (judged !== null && !conclude(draft, step, judged, who)) return;
  }
  if (rest.length === 0) completeStep(draft, step, who, null);
}

function isHolderReading(ask: Ask): boolean {
  return ask.ask === 'reading' && ask.by === 'holder';
}

/** Records the judgement; false when the step does not go on. */
function conclude(draft: Draft, step: Step, judged: Judgement, who: Speaker): boolean {
  const { verdict, because, figures } = judged;
  draft.emit({ type: 'judged', step: step.id, verdict, because, figures, at: draft.now });
  if (judged.testerOut === true) testerOut(draft);
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

/** A tester that failed its second proving has proved nothing today: here, and wherever else it was used. */
function testerOut(draft: Draft): void {
  const tester = Object.values(draft.job.gear).find((used) => used.kind === 'tester');
  const facts = [...draft.flow.facts.values()].filter((fact) => fact.lapse.on.includes('gear'));
  const ids = facts.map((fact) => fact.id);
  draft.doubt('tester-failed', changesOfDoubt(draft.flow.rules, ids, draft.value));
  const detail = tester?.id ?? '';
  draft.emit({ type: 'summoned', what: 'tester-out', to: 'shop', detail, at: draft.now });
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
