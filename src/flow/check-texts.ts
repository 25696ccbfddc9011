import type { Fault } from './fault.js';
import type { Path } from './source.js';
import { SPELLINGS } from './spelling.js';
import { type FlowFile, filesOf, type Line, type Shelf } from './text.js';

/** A phone held in a glove shows about this many characters of a line. */
const LINE = 80;

/** Steps that are read off something: it is named first. */
const READ: ReadonlySet<string> = new Set(['measure', 'tighten', 'watch']);

/** Wording: one spelling in all files (faults), lines that fit a phone and begin with the tool (advice). */
export function checkTexts(shelf: Shelf): {
  readonly faults: readonly Fault[];
  readonly advice: readonly Fault[];
} {
  const faults: Fault[] = [];
  const advice: Fault[] = [];
  const firstOf = new Map<string, string>();
  for (const file of filesOf(shelf)) {
    for (const [path, text] of textsIn(file)) {
      const at = file.source.fault(path, '', '');
      for (const pair of SPELLINGS) {
        for (const [which, word] of pair.entries()) {
          if (!new RegExp(`\\b${word}(?:s|d|ed)?\\b`, 'i').test(text)) continue;
          const other = pair[1 - which] ?? '';
          const where = firstOf.get(other);
          if (where !== undefined) {
            faults.push(
              file.source.fault(path, `"${word}" here and "${other}" in ${where}`, 'keep to one spelling'),
            );
          } else if (!firstOf.has(word)) firstOf.set(word, `${at.file}:${at.line}`);
        }
      }
      const shown = text.replace(/\{[a-z]+\.[a-z0-9-]+\}/g, '12.5 N·m');
      if (shown.length > LINE) {
        advice.push(
          file.source.advice(path, `${shown.length} characters in one line`, `keep it below ${LINE}`),
        );
      }
    }
    for (const line of file.lines) {
      if (line.is !== 'step' || !READ.has(line.kind)) continue;
      if ((line.step[line.kind] ?? '').includes(':')) continue;
      const remedy = "tool or place first: 'Gauge on the test port: ...'";
      advice.push(file.source.advice([...line.path, line.kind], 'no tool is named first', remedy));
    }
  }
  return { faults, advice };
}

function textsIn(file: FlowFile): (readonly [Path, string])[] {
  const texts: [Path, string][] = [[['title'], file.head.title]];
  for (const [id, fact] of Object.entries(file.head.facts ?? {})) {
    for (const key of ['label', 'look', 'warning', 'make-still'] as const) {
      const text = fact[key];
      if (text !== undefined) texts.push([['facts', id, key], text]);
    }
  }
  for (const line of file.lines) if (line.is === 'step') texts.push(...textsOf(line));
  return texts;
}

function textsOf({ path, step, kind }: Line & { is: 'step' }): [Path, string][] {
  const texts: [Path, string][] = [[[...path, kind], step[kind] ?? '']];
  for (const key of ['card', 'meanwhile'] as const) {
    for (const [index, text] of (step[key] ?? []).entries()) texts.push([[...path, key, index], text]);
  }
  for (const [index, reading] of (step.readings ?? []).entries()) {
    if (reading.ask !== undefined) texts.push([[...path, 'readings', index, 'ask'], reading.ask]);
  }
  if (step.reading !== undefined) texts.push([[...path, 'reading', 'ask'], step.reading.ask]);
  for (const [index, field] of (step.fields ?? []).entries()) {
    texts.push([[...path, 'fields', index, 'ask'], field.ask]);
  }
  for (const [say, { hold }] of Object.entries(step.options ?? {})) {
    if (hold !== undefined) texts.push([[...path, 'options', say, 'hold'], hold]);
  }
  if (step.second !== undefined) texts.push([[...path, 'second', 'look'], step.second.look]);
  return texts;
}
