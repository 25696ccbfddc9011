import type { Competence, Value } from '../job/event.js';
import { readingText } from '../talk/echo.js';
import { cap } from '../talk/line.js';
import { amount, bayOf, dueLine, minutes, spaced } from '../talk/phrase.js';
import { sightedText } from '../talk/watch.js';
import { CAUTIONS } from './cautions.js';
import type { Clock } from './cure.js';
import type { Gate } from './gates.js';
import { findingLine, gearLine, oneLine, type PrintInstant, printLine, readingLine } from './print.js';
import { stepLines } from './step-lines.js';
import type { Summary } from './summary.js';
import type { WatchedThing } from './watched.js';

/** The whole record as a plain text document, for the file, the insurer and the printer. */
export function fullForm(summary: Summary, at: PrintInstant): string {
  const parts: readonly (readonly [string, readonly string[]])[] = [
    [`RECORD OF JOB ${summary.number}`, headLines(summary, at)],
    [
      'NEXT DUE',
      summary.due.length === 0 ? ['Nothing entered.'] : summary.due.map((due) => printLine(dueLine(due), at)),
    ],
    ['PEOPLE', peopleLines(summary, at)],
    [
      'GATES',
      summary.gates.length === 0 ? ['None passed.'] : summary.gates.flatMap((gate) => gateLines(gate, at)),
    ],
    ['STEP BY STEP', summary.steps.flatMap((done) => stepLines(done, at))],
    ['WATCHED UNTIL SETTLED', summary.watched.flatMap((thing) => watchedLines(thing, at))],
    ['OLD PART', summary.oldPart.map((found) => `${at(found.at)}  ${findingLine(found)}`)],
    ['TIMERS, AIR AND CURE', cureLines(summary, at)],
    ['GEAR USED', summary.gear.map(gearLine)],
    [
      'HOLDS, STOPS, REFUSALS, CORRECTIONS, NOTES, LEAVINGS',
      summary.incidents.map((incident) => {
        const by = incident.by === null ? '' : ` (${incident.by})`;
        const words =
          incident.words.trim() === '' || incident.by === null ? '' : ` "${oneLine(incident.words)}"`;
        return `${at(incident.at)}  ${incident.kind}: ${oneLine(incident.what)}${by}${words}`;
      }),
    ],
    ['TIME PER STAGE', summary.stages.map(stageLine)],
    ['VALUES THE JOB RAN ON', summary.values.map(({ key, value }) => `${key}: ${valueText(value)}`)],
    ['LEFT OPEN', summary.open.length === 0 ? ['Nothing.'] : summary.open],
    [
      'NOT PROVED, NOT WITNESSED, NOT DONE',
      [...summary.warnings.map((warning) => `${warning}.`), ...summary.absent],
    ],
    ['CAUTIONS', CAUTIONS],
  ];
  return `${parts
    .filter(([, lines]) => lines.length > 0)
    .map(([title, lines]) => [title, ...lines.map((line) => `  ${line}`)].join('\n'))
    .join('\n\n')}\n`;
}

function headLines(summary: Summary, at: PrintInstant): readonly string[] {
  const { car } = summary;
  const odometer = car.odometerKm === null ? '' : `, ${car.odometerKm} km in the register`;
  return [
    `${summary.title} (${summary.flow}), record ${summary.job}`,
    `Car ${car.registration}, ${car.model}${odometer}. ${bayOf(summary.bay)}.`,
    `Begun ${at(summary.startedAt)}. ${
      summary.endedAt === null
        ? 'Under way.'
        : `Ended ${at(summary.endedAt)}: ${summary.outcome.replace('-', ' ')}.`
    }`,
    `Bundle of flow texts ${summary.bundle}`,
  ];
}

function peopleLines(summary: Summary, at: PrintInstant): readonly string[] {
  const until = (to: number | null) => (to === null ? 'now' : at(to));
  return [
    ...summary.holders.map(({ name, from, to }) => `In charge: ${name}, ${at(from)} to ${until(to)}`),
    ...summary.standbys.map(({ name, from, to }) => `Standby: ${name}, ${at(from)} to ${until(to)}`),
  ];
}

function gateLines(gate: Gate, at: PrintInstant): readonly string[] {
  const line = (text: string) => `  ${text}`;
  return [
    `${at(gate.passedAt)}  ${gate.declaration}`,
    line(
      `Shown ${at(gate.shownAt)}, visit ${gate.visit}. Word asked ${gate.word}, typed "${oneLine(gate.words)}" by ${gate.by} (${gate.via})`,
    ),
    line(`Level: ${competenceText(gate.competence)}`),
    ...(gate.second === null ? [] : [line(`Second person: ${competenceText(gate.second)}`)]),
    ...(gate.seen === null
      ? []
      : [line(`Own look: ${gate.seen.by}, ${at(gate.seen.at)}. ${gate.seen.text}`)]),
    ...gate.gear.map((gear) => line(`Gear: ${gearLine(gear)}`)),
    ...gate.readings.map((row) => line(readingLine(row, at))),
    ...gate.fields.map((field) => line(findingLine(field))),
    ...(gate.proved.length === 0 ? [line('Proved: nothing by itself')] : []),
    ...gate.proved.map((fact) => line(`Proved: ${provedText(fact, at)}`)),
    ...(gate.reopenedAt === null ? [] : [line(`Opened again ${at(gate.reopenedAt)}.`)]),
  ];
}

/** How long what a gate proved has stood: a proof is worth nothing after its first doubt. */
function provedText(fact: Gate['proved'][number], at: PrintInstant): string {
  if (fact.until === null) return `${fact.label}, stood to the end of this record`;
  return `${fact.label}, stood until ${at(fact.until)}, then ${fact.to === 'gone' ? 'gone' : 'in doubt'}`;
}

function competenceText(held: Competence | null): string {
  return held === null ? 'none asked' : `${held.name}, ${held.level}, in date to ${held.until}`;
}

function watchedLines(thing: WatchedThing, at: PrintInstant): readonly string[] {
  const { total, tail } = thing;
  const all = total === null ? 'nothing read that counts' : readingText(total);
  const end =
    tail === null
      ? 'no tail could be told'
      : `tail ends near ${amount(tail.end)}, between ${amount(tail.from)} and ${amount(tail.to)}`;
  const estimate = thing.until === 'spill-still' ? `; ${end}` : '';
  return [
    `${cap(spaced(thing.name))} (${thing.label}): ${all}${estimate}.`,
    ...thing.sightings.map((row) => {
      const { outcome } = row;
      const come = [
        `${spaced(thing.name)} ${readingText(outcome.total)}`,
        ...(outcome.rate === null ? [] : [amount(outcome.rate)]),
        spaced(outcome.verdict),
      ];
      const notes = [
        row.by,
        ...(row.saidFor === null ? [] : ['said by the standby']),
        ...(row.takenBackAt === null ? [] : [`taken back ${at(row.takenBackAt)}`]),
      ];
      return `  ${at(row.at)}  ${sightedText(row.sighted)}: ${come.join(', ')} (${notes.join('; ')}) "${oneLine(row.words)}"`;
    }),
  ];
}

function cureLines(summary: Summary, at: PrintInstant): readonly string[] {
  return [
    ...summary.cure.clocks.flatMap((clock) => clockLines(clock, at)),
    ...summary.cure.air.map((air) => `${at(air.at)}  air ${air.celsius} °C, ${air.percentRh} % (${air.by})`),
    ...summary.cure.sheet.map(
      ({ key, value }) => `${spaced(key.slice('sealant.'.length))}: ${valueText(value)}`,
    ),
  ];
}

function clockLines(clock: Clock, at: PrintInstant): readonly string[] {
  const [first, ...moved] = clock.told;
  const until = clock.is === 'after' ? 'not before' : 'not after';
  const end =
    clock.endedAt === null ? '' : `; ${clock.is === 'after' ? 'reached' : 'passed'} ${at(clock.endedAt)}`;
  return [
    `${clock.label}: from ${at(clock.startedAt)}, ${until} ${first === undefined ? '?' : at(first.instant)}${end}`,
    ...moved.map((told) => `  moved ${at(told.at)} (${told.because}): ${until} ${at(told.instant)}`),
  ];
}

function stageLine({ stage, workedMs, waitedMs, stoodMs }: Summary['stages'][number]): string {
  const min = (ms: number) => minutes(ms / 60_000);
  return `${spaced(stage)}: worked ${min(workedMs)}, waited ${min(waitedMs)}, stood still ${min(stoodMs)}`;
}

function valueText(value: Value): string {
  const what = value.quantity === null ? (value.text ?? '-') : amount(value.quantity);
  return `${what} (${value.reference}, entered by ${value.enteredBy})`;
}
