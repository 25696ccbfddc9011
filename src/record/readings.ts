import type { Ask, Flow } from '../flow/flow.js';
import type { Answer, Event, Figure, Reading, Verdict } from '../job/event.js';
import { DEAD_TEST_ORDER } from '../talk/echo.js';
import { spaced, stepOf } from '../talk/phrase.js';
import type { Quantity } from '../units/quantity.js';
import type { RecordLine } from './line.js';

/** One reading, with the limits that applied and what it was judged to be. */
export type ReadingRow = {
  readonly step: string;
  readonly visit: number;
  readonly name: string;
  readonly label: string;
  /** When it was said, ms since 1970. */
  readonly at: number;
  readonly quantity: Quantity;
  readonly bound: 'at-least' | null;
  readonly assumedUnit: boolean;
  readonly by: string;
  /** Read out by the standby for this person. */
  readonly saidFor: string | null;
  readonly min: Quantity | null;
  readonly max: Quantity | null;
  readonly rule: string | null;
  readonly verdict: Verdict | null;
  /** Part of what completed its step. False where the visit ended before. */
  readonly counted: boolean;
  /** When its step was opened again, and what was read then counts. */
  readonly untilAt: number | null;
  /** When it was corrected: misread or mistyped, it counted no more. */
  readonly takenBackAt: number | null;
};

type Answered = Event & { readonly type: 'answered' };
type Open = { -readonly [K in keyof ReadingRow]: ReadingRow[K] };

/** Every reading of a job, in the order in which it was said, those that count no more included. */
export function readingsOf(flow: Flow, lines: readonly RecordLine[]): readonly ReadingRow[] {
  const rows: Open[] = [];
  const asks = new Map<Open, number>();
  for (const { events } of lines) {
    let latest: Open[] = [];
    for (const event of events) {
      if (event.type === 'answered') {
        latest = rowsOf(flow, event);
        rows.push(...latest);
        for (const row of latest) asks.set(row, event.ask);
      } else if (event.type === 'answer-taken-back') {
        for (const row of rows) {
          const said = row.step === event.step && asks.get(row) === event.ask;
          if (said && !row.counted && row.visit === rows.findLast(({ step }) => step === row.step)?.visit)
            row.takenBackAt ??= event.at;
        }
      } else if (event.type === 'judged') {
        const own = rows.filter(
          (row) => row.step === event.step && (latest.includes(row) || row.verdict === null),
        );
        judge(own, latest, event);
      } else if (event.type === 'step-completed') {
        for (const row of rows)
          if (row.step === event.step && row.visit === event.visit) row.counted = row.takenBackAt === null;
      } else if (event.type === 'steps-reopened') {
        for (const row of rows) {
          if (row.counted && event.steps.includes(row.step)) row.untilAt ??= event.at;
        }
      }
    }
  }
  return rows;
}

function rowsOf(flow: Flow, event: Answered): Open[] {
  const ask = stepOf(flow, event.step)?.asks[event.ask] ?? null;
  return readingsIn(event.answer).map(({ name, label, reading }) => ({
    step: event.step,
    visit: event.visit,
    name,
    label: label === null ? labelOfAsk(ask, name) : `${sideOf(ask)}${label}`,
    at: reading.at,
    quantity: reading.quantity,
    bound: reading.bound,
    assumedUnit: reading.assumedUnit,
    by: event.name,
    saidFor: event.saidFor,
    min: null,
    max: null,
    rule: null,
    verdict: null,
    counted: false,
    untilAt: null,
    takenBackAt: null,
  }));
}

/** The names under which the judgement of a dead test keeps its five. */
const FIVE = ['proving-before', 'plus-minus', 'plus-body', 'minus-body', 'proving-after'] as const;

function readingsIn(
  answer: Answer,
): readonly { readonly name: string; readonly label: string | null; readonly reading: Reading }[] {
  switch (answer.ask) {
    case 'reading':
      return [{ name: answer.name, label: null, reading: answer.reading }];
    case 'dead-test':
      return answer.readings.map((reading, at) => ({
        name: FIVE[at] ?? answer.name,
        label: DEAD_TEST_ORDER[at] ?? null,
        reading,
      }));
    case 'values':
      return answer.readings.map((reading, at) => ({
        name: `${answer.name}-${at + 1}`,
        label: `bolt ${at + 1}`,
        reading,
      }));
    default:
      return [];
  }
}

/** Which of several dead tests of a step: `Car side, + to -`. */
function sideOf(ask: Ask | null): string {
  return ask?.ask === 'dead-test' && ask.text !== '' ? `${ask.text}, ` : '';
}

function labelOfAsk(ask: Ask | null, name: string): string {
  return ask?.ask === 'reading' || ask?.ask === 'values' ? ask.text.replace(/[?.:]$/, '') : spaced(name);
}

/** A judgement names what it judged; one that names none of the readings is about those just said. */
function judge(
  own: readonly Open[],
  latest: readonly Open[],
  event: Event & { readonly type: 'judged' },
): void {
  const named = own.filter((row) => figureOf(event.figures, row) !== undefined);
  for (const row of named.length > 0 ? named : latest) {
    const figure = figureOf(event.figures, row);
    row.verdict = event.verdict;
    row.min = figure?.min ?? null;
    row.max = figure?.max ?? null;
    row.rule = figure?.rule ?? null;
  }
}

function figureOf(figures: readonly Figure[], row: Open): Figure | undefined {
  return figures.find((figure) => figure.name === row.name);
}

/** What was chosen, written down or photographed. */
export type Finding = {
  readonly step: string;
  readonly visit: number;
  readonly name: string;
  readonly kind: 'choice' | 'text' | 'serial' | 'batch' | 'date' | 'count' | 'photo';
  readonly text: string;
  readonly photo: string | null;
  readonly by: string;
  readonly at: number;
  /** When it was corrected: what was given then counts. */
  readonly takenBackAt: number | null;
};

/** Choices and fields, in the order in which they were given; a photo sent with an answer is its finding too. */
export function findingsOf(lines: readonly RecordLine[]): readonly Finding[] {
  const found: { readonly ask: number; finding: Finding }[] = [];
  for (const event of lines.flatMap((line) => line.events)) {
    if (event.type === 'answer-taken-back') {
      const last = found.findLast(({ ask, finding }) => finding.step === event.step && ask === event.ask);
      if (last !== undefined) last.finding = { ...last.finding, takenBackAt: event.at };
    }
    if (event.type !== 'answered') continue;
    const { answer, step, visit, ask, name: by, at } = event;
    const given = { step, visit, by, at, takenBackAt: null };
    if (answer.ask === 'choice') {
      const { choice: name, option: text } = answer;
      found.push({ ask, finding: { ...given, name, kind: 'choice', text, photo: null } });
    } else if (answer.ask === 'field') {
      const { name, type: kind, text, photo } = answer;
      found.push({ ask, finding: { ...given, name, kind, text, photo } });
    }
  }
  return found.map(({ finding }) => finding);
}
