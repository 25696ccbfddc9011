import { planLines } from '../talk/instruction.js';
import { cap } from '../talk/line.js';
import { spaced } from '../talk/phrase.js';
import { because, figuresText } from '../talk/verdict.js';
import {
  findingLine,
  gearBrief,
  oneLine,
  type PrintInstant,
  photoOf,
  printLine,
  readingLine,
} from './print.js';
import type { StepDone } from './steps.js';

/** One visit to a step on paper: what, who, when, by which words, with what, what was read and how it was judged. */
export function stepLines(done: StepDone, at: PrintInstant): readonly string[] {
  const line = (text: string) => `  ${text}`;
  const head = `${at(done.at)}  ${done.text} (${spaced(done.step)})`;
  if (done.end === 'stood') return [head, line('Not asked, stood already.')];
  if (done.end === 'not-witnessed') {
    return [head, line(`NOT WITNESSED BY THE BOT: catch-up agreed by ${done.by ?? 'nobody'}.`)];
  }
  const shown = done.shownAt === null ? '' : `, shown ${at(done.shownAt)}`;
  const words = oneLine(done.words);
  const said = `${done.by ?? 'Nobody'} (${done.via})${words === '' ? '' : ` "${words}"`}${shown}`;
  const lines = [
    head,
    line(done.end === 'ended' ? `Closed nothing, last said by ${said}.` : `${said}.`),
    ...(done.saidFor === null ? [] : [line('Said by the standby for the one at work.')]),
    ...done.findings.map((found) => line(findingLine(found))),
    ...(done.photo === null ? [] : [line(`photo:${photoOf(done.photo)}`)]),
  ];
  if (done.gate && done.end === 'done') return [...lines.slice(0, 2), line('A gate: all of it under GATES.')];
  const measured = done.readings.some(({ quantity }) => quantity.unit !== 'pcs');
  return [
    ...lines,
    ...(done.gear.length === 0 ? [] : [line(`Gear: ${gearBrief(done.gear)}.`)]),
    ...(measured && done.gear.length === 0 ? [line('Gear: the step names none from the register.')] : []),
    ...(done.plan === null ? [] : planLines(done.plan).map((text) => line(printLine(text, at)))),
    ...done.readings.map((row) => line(readingLine(row, at))),
    ...(done.sightings.length === 0 ? [] : [line(`Read ${done.sightings.length} times: see WATCHED.`)]),
    ...done.judged.filter((judged) => !toldBy(judged, done)).map((judged) => line(judgedLine(judged))),
    ...(done.seen === null
      ? []
      : [line(`Own look: ${done.seen.by}, ${at(done.seen.at)}. ${done.seen.text}`)]),
    ...(done.reopenedAt === null ? [] : [line(`Opened again ${at(done.reopenedAt)}.`)]),
  ];
}

/** The readings' own lines say it already: that they passed, and by which limits. */
function toldBy({ verdict, figures }: StepDone['judged'][number], { readings }: StepDone): boolean {
  return verdict === 'passed' && figures.every(({ name }) => readings.some((row) => row.name === name));
}

/** How it was judged, with every figure and the rules that they rest on. */
function judgedLine({ verdict, because: why, figures }: StepDone['judged'][number]): string {
  const rules = [...new Set(figures.flatMap(({ rule }) => (rule === undefined ? [] : [spaced(rule)])))];
  const shown = figures.length === 0 ? '' : `: ${figuresText(figures, figures.length)}`;
  const by = rules.length === 0 ? '' : ` (rule: ${rules.join(', ')})`;
  return `Judged ${VERDICTS[verdict]}. ${cap(because(why))}${shown}${by}`;
}

const VERDICTS: Readonly<Record<StepDone['judged'][number]['verdict'], string>> = {
  passed: 'passed',
  again: 'to be taken again',
  hold: 'a hold',
  stop: 'a stop',
};
