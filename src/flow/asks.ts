import { amountOf, refOf } from './facts.js';
import type { Ask, Limits, Option, StepKind } from './flow.js';
import type { ReadingText, StepText } from './grammar.js';

/**
 * The questions of a step in the order in which they are put: standby, gear, fields, the holder's readings, the
 * second person's readings and look, the confirmation or the choice, and the word of a gate last.
 * `choice` is the name under which a choose step keeps its answer.
 */
export function asksOf(kind: StepKind, step: StepText, choice: string | null): readonly Ask[] {
  const asks: Ask[] = [];
  if (step.standby === true) asks.push({ ask: 'standby' });
  if (step.takes !== undefined) asks.push({ ask: 'gear', kinds: step.takes });
  for (const { name, ask, type } of step.fields ?? []) asks.push({ ask: 'field', name, text: ask, type });
  // Where the answer is not a plain confirmation, which brings its photo with it, the photo is a question.
  const shot = step.photo === true && kind !== 'do' && kind !== 'tighten';
  if (shot) asks.push({ ask: 'field', name: `${step.id}-photo`, text: 'Photo', type: 'photo' });
  const readings = (step.readings ?? []).map(readingOf);
  const bySecond = (ask: Ask) => ask.ask === 'reading' && ask.by === 'second';
  asks.push(...readings.filter((ask) => !bySecond(ask)), ...readings.filter(bySecond));
  if (step.second !== undefined) asks.push({ ask: 'second-look', text: step.second.look });
  if (kind === 'tighten' && step.values !== undefined) {
    asks.push({ ask: 'values', name: step.values, text: step.tighten ?? '', unit: 'N·m' });
  }
  if (kind === 'do' || (kind === 'tighten' && step.values === undefined)) asks.push({ ask: 'confirm' });
  if (choice !== null) asks.push({ ask: 'choice', choice, options: optionsOf(step) });
  if (kind === 'gate') asks.push({ ask: 'word', words: step.words ?? [] });
  return asks;
}

/** The options of a choose step, in file order. */
export function optionsOf(step: StepText): readonly Option[] {
  return Object.entries(step.options ?? {}).map(([say, option]) => ({
    say,
    also: option.also ?? [],
    hold: option.hold ?? null,
  }));
}

function readingOf(text: ReadingText): Ask {
  if ('dead-test' in text) {
    return { ask: 'dead-test', name: text['dead-test'], source: refOf(text.source), pack: refOf(text.pack) };
  }
  const [from, to] = text.plausible ?? [null, null];
  return {
    ask: 'reading',
    name: text.name,
    text: text.ask,
    unit: text.unit,
    limits: text.limits === undefined ? null : limitsOf(text.limits),
    plausible: from === null || to === null ? null : { from, to },
    by: text.by ?? 'holder',
  };
}

type LimitsText = NonNullable<Extract<ReadingText, { name: string }>['limits']>;

function limitsOf(text: LimitsText): Limits {
  if (text === 'nil') return { is: 'nil' };
  if ('same' in text) return { is: 'same', as: text.same };
  return { is: 'between', min: amountOf(text.min), max: amountOf(text.max) };
}
