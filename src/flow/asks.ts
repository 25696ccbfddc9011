import { amountOf, refOf } from './facts.js';
import type { Ask, Limits, Option, StepKind } from './flow.js';
import type { ReadingText, StepText, WatchedText } from './grammar.js';

/**
 * The questions of a step in the order in which they are put: standby, gear, fields, the holder's readings, the
 * second person's readings and look, what is watched, the confirmation or the choice, and the word of a gate last.
 * `choice` is the name under which a choose step keeps its answer.
 */
export function asksOf(kind: StepKind, step: StepText, choice: string | null): readonly Ask[] {
  const asks: Ask[] = [];
  if (step.standby === true) asks.push({ ask: 'standby' });
  if (step.takes !== undefined) asks.push({ ask: 'gear', kinds: step.takes });
  for (const { name, ask, type, as } of step.fields ?? []) {
    asks.push({ ask: 'field', name, text: ask, type, ...(as === undefined ? {} : { as }) });
  }
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
  if (step.reading !== undefined && step.until !== undefined) asks.push(watchOf(step.reading, step.until));
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
    namedIn:
      option['named-in'] === undefined ? null : { ref: refOf(option['named-in']), hold: option.else ?? '' },
  }));
}

function readingOf(text: ReadingText): Ask {
  if ('dead-test' in text) {
    return {
      ask: 'dead-test',
      name: text['dead-test'],
      text: text.ask ?? '',
      source: refOf(text.source),
      pack: refOf(text.pack),
    };
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

function watchOf({ name, ask, unit, plausible }: WatchedText, until: string): Ask {
  const band = plausible === undefined ? null : { from: plausible[0], to: plausible[1] };
  return { ask: 'watch', name, text: ask, unit, plausible: band, until };
}

type LimitsText = NonNullable<Extract<ReadingText, { name: string }>['limits']>;

function limitsOf(text: LimitsText): Limits {
  if (text === 'nil') return { is: 'nil' };
  if ('same' in text) return { is: 'same', as: text.same };
  return { is: 'between', min: amountOf(text.min), max: amountOf(text.max) };
}
