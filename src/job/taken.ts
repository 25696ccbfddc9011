import type { Ask, GearKind, Step } from '../flow/flow.js';
import { applies } from '../rule/rules.js';
import { isIsoDate } from '../trade/dates.js';
import { judgeUseBy, usable } from '../trade/in-date.js';
import { valueIn } from '../units/quantity.js';
import { dimensionOf } from '../units/unit.js';
import type { Draft, Speaker } from './draft.js';
import type { Answer, GearUsed, Reading } from './event.js';
import { competence, faultOf, usedNow } from './fit.js';
import type { Heard, HeardNumber } from './heard.js';
import { type Input, wordsOf } from './input.js';
import type { Refusal } from './refusal.js';
import { boltsOf } from './tighten.js';
import { valueOfRef } from './value.js';
import { personNamed } from './ways.js';
import type { Gear, Sealant } from './world.js';

/** What was heard, taken as an answer to a question, or why it cannot be. */
export type Taken =
  | { readonly ok: true; readonly answer: Answer }
  | { readonly ok: false; readonly refusal: Refusal };

const no = (refusal: Refusal): Taken => ({ ok: false, refusal });
const yes = (answer: Answer): Taken => ({ ok: true, answer });

/** Takes what was heard as the answer to this question. Nothing is guessed: what does not fit is asked back. */
export function takeAnswer(
  draft: Draft,
  step: Step,
  ask: Ask,
  heard: Heard,
  input: Input,
  who: Speaker,
): Taken {
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
    case 'watch':
      // What is watched is taken by `watching.ts`.
      return no({ why: 'unclear', because: 'not-a-number', detail: '' });
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
export function asReading(
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
  const chosen = ask.as === undefined ? undefined : otherThan(draft, ask.as, text);
  if (chosen !== undefined) return no({ why: 'differs', said: text, before: chosen });
  return yes({ ask: 'field', name: ask.name, type: ask.type, text, photo });
}

const plain = (serial: string) => serial.toUpperCase().replace(/[\s-]/g, '');

/** The question says that this may be the case. */
const NOTHING_TO_WRITE = 'NOTHINGTOWRITE';

/** What was chosen under this name, in words, where the text says another of its options, or none; else undefined. */
function otherThan(draft: Draft, choice: string, text: string): string | undefined {
  const chosen = draft.job.choices[choice];
  const said = plain(text).replaceAll(' ', '');
  if (chosen === undefined || said === NOTHING_TO_WRITE) return undefined;
  const options = draft.flow.steps
    .flatMap((step) => step.asks)
    .flatMap((one) => (one.ask === 'choice' && one.choice === choice ? one.options : []));
  const says = (option: string) =>
    options.some(
      ({ say, also }) => say === option && [say, ...also].some((name) => said.includes(plain(name))),
    );
  const others = options.filter(({ say }) => say !== chosen && says(say));
  return says(chosen) && others.length === 0 ? undefined : chosen.replaceAll('-', ' ');
}

/** `2026-03`, `03/2026`, `2026-03-14`: a month stands for its first day, which errs on the early side. */
function asDate(text: string): string | null {
  const month = /^(\d{4})-(\d{2})$/.exec(text) ?? null;
  const turned = /^(\d{1,2})[/.](\d{4})$/.exec(text);
  const date =
    month !== null ? `${text}-01` : turned === null ? text : `${turned[2]}-${turned[1]?.padStart(2, '0')}-01`;
  return isIsoDate(date) ? date : null;
}

/** The batch on the shelf with this number, or null. */
export function batchNamed(draft: Draft, text: string): Sealant | null {
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
  const unfit = kinds.includes('wrench') ? wrenchMissing(draft, used) : null;
  if (unfit !== null) return no(unfit);
  return yes({ ask: 'gear', gear: used });
}

/** Every joint ahead needs one of the wrenches taken: better said at the bench than over an open pack. */
function wrenchMissing(draft: Draft, used: readonly GearUsed[]): Refusal | null {
  const { job, flow, world } = draft;
  const fits = (step: Step, gear: Gear) => faultOf(job, world, step, gear) === null;
  const wrenches = [...world.gear.values()].filter((gear) => gear.kind === 'wrench');
  const taken = wrenches.filter((gear) => used.some((piece) => piece.id === gear.id));
  const bare = flow.steps.find((step) => {
    const torque = step.tighten === null ? null : valueOfRef(job, step.tighten.torque);
    return torque !== null && applies(step, job.choices) && !taken.some((gear) => fits(step, gear));
  });
  const first = taken[0];
  if (bare === undefined || first === undefined) return null;
  const because = faultOf(job, world, bare, first) ?? 'out of range';
  const instead = wrenches.filter((gear) => fits(bare, gear)).map((gear) => gear.id);
  return { why: 'gear', kind: 'wrench', id: first.id, because, instead };
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
