import type { GearUsed } from '../job/event.js';
import { amount, gearKind, spaced } from '../talk/phrase.js';
import type { Line } from '../talk/post.js';
import type { Finding, ReadingRow } from './readings.js';
import { measured } from './short.js';

/** How an instant is printed: the caller knows the workshop's time zone. */
export type PrintInstant = (ms: number) => string;

/** A reading on paper: what, how much, the limits, by whom, by which rule, how judged, whether it still counts. */
export function readingLine(row: ReadingRow, at: PrintInstant): string {
  const limits = [
    row.min === null ? null : `at least ${amount(row.min)}`,
    row.max === null ? null : `at most ${amount(row.max)}`,
  ].filter((text) => text !== null);
  const notes = [
    row.assumedUnit && row.quantity.unit !== 'pcs' ? 'unit assumed' : null,
    row.saidFor === null ? null : 'said by the standby',
    row.rule === null ? null : `rule: ${spaced(row.rule)}`,
    verdictOf(row),
    row.takenBackAt === null ? null : 'corrected, does not count',
    row.counted || row.takenBackAt !== null ? null : 'never counted',
    row.untilAt === null ? null : `step opened again ${at(row.untilAt)}`,
  ].filter((text) => text !== null);
  const shown = limits.length === 0 ? '' : ` [${limits.join(', ')}]`;
  return `${at(row.at)}  ${row.label}: ${measured(row)}${shown} (${[row.by, ...notes].join('; ')})`;
}

/** A reading with neither limits nor a rule of its own is judged with its step, not by itself. */
function verdictOf({ verdict, rule, min, max }: ReadingRow): string | null {
  if (verdict === null) return null;
  if (verdict !== 'passed' || min !== null || max !== null) return VERDICTS[verdict];
  return rule === null ? null : 'good';
}

const VERDICTS: Readonly<Record<NonNullable<ReadingRow['verdict']>, string>> = {
  passed: 'in limits',
  again: 'taken again',
  hold: 'out of limits: hold',
  stop: 'out of limits: stop',
};

/** A piece of gear as it was when it was used: serial, last test, last good day. */
export function gearLine(gear: GearUsed): string {
  const gloves = gear.gloveClass === null ? '' : `, class ${gear.gloveClass}`;
  return `${gearKind(gear.kind)} ${gear.id}, ${gear.label}, serial ${gear.serial}${gloves}, tested ${gear.tested}, in date to ${gear.until}`;
}

/** The same in short, where several stand in one line: all of it is under GEAR USED. */
export function gearBrief(gear: readonly GearUsed[]): string {
  return gear
    .map(({ kind, id, serial, until }) => `${gearKind(kind)} ${id} (${serial}, in date to ${until})`)
    .join(', ');
}

/** What was chosen, written down or photographed. */
export function findingLine({ name, kind, text, photo, by, takenBackAt }: Finding): string {
  const notes = [by, ...(takenBackAt === null ? [] : ['corrected, does not count'])].join('; ');
  const said = kind === 'choice' ? spaced(text) : text;
  const what = `${kind === 'choice' ? 'chosen' : spaced(name)}:${said === '' ? '' : ` ${said}`}`;
  return `${what}${photoOf(photo)} (${notes})`;
}

export function photoOf(photo: string | null): string {
  return photo === null ? '' : ` [photo ${photo}]`;
}

export function oneLine(text: string): string {
  return text.replace(/\s+/g, ' ').trim();
}

export function printLine(line: Line, at: PrintInstant): string {
  return line.map((part) => (typeof part === 'string' ? part : at(part.instant))).join('');
}
