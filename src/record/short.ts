import { cap, listed, ln, when } from '../talk/line.js';
import { amount, bayOf, dueLine, gearPiece, minutes, spaced } from '../talk/phrase.js';
import type { Line } from '../talk/post.js';
import type { Summary } from './summary.js';

/** The record on a phone: what was done, by whom, what was proved, what is open, what is next due. */
export function shortForm(summary: Summary): readonly Line[] {
  const now = summary.endedAt ?? summary.startedAt;
  const { car } = summary;
  const names = summary.holders.map((holding) => holding.name);
  const ended = summary.endedAt === null ? '' : ln`, ${when(summary.endedAt, summary.startedAt)}`;
  return [
    ln`${summary.number}: ${summary.title}, ${OUTCOMES[summary.outcome]}${ended}.`,
    ln`${bayOf(summary.bay)}, ${car.registration} ${car.model}. ${names.join(', then ')}.`,
    ...summary.gates
      .filter((gate) => gate.reopenedAt === null && gate.readings.length > 0)
      .map((gate) => {
        const tester = gate.gear.find((gear) => gear.kind === 'tester');
        const parts = [
          ln`${when(gate.passedAt, now)}`,
          ...(tester === undefined ? [] : [gearPiece(tester)]),
          gate.by,
          ...(gate.seen === null ? [] : [`seen by ${gate.seen.by}`]),
        ];
        return ln`${cap(gate.proved.map((fact) => fact.label).join(', '))}: ${listed(parts)}.`;
      }),
    ...(summary.warnings.length === 0 ? [] : [ln`${summary.warnings.join('. ')}.`]),
    ln`Gates passed ${summary.gates.length}, refusals ${counted(summary, 'refusal')}, holds ${counted(summary, 'hold')}, stops ${counted(summary, 'stop')}.`,
    ...partLines(summary),
    summary.open.length === 0 ? ln`Nothing is left open.` : ln`LEFT OPEN: ${summary.open.join(', ')}.`,
    ...unwitnessed(summary),
    ...leftOut(summary),
    ...timeLine(summary),
    ...summary.due.map(dueLine),
  ];
}

const OUTCOMES: Readonly<Record<Summary['outcome'], string>> = {
  done: 'done',
  'called-off': 'called off',
  'under-way': 'under way',
};

function counted(summary: Summary, kind: Summary['incidents'][number]['kind']): number {
  return summary.incidents.filter((incident) => incident.kind === kind).length;
}

function partLines(summary: Summary): readonly Line[] {
  const stands = summary.findings.filter(({ takenBackAt }) => takenBackAt === null);
  // A serial read a second time, to compare, is on the phone once; of one told anew the last counts.
  const parts = new Map(
    stands.flatMap(({ kind, name, text }) =>
      kind === 'batch' || (kind === 'serial' && !name.endsWith('-again')) ? [[name, text] as const] : [],
    ),
  );
  const type = stands.findLast(({ name }) => name === 'fuse-type' || name === 'lv-type');
  const texts = [...parts].map(([name, text]) => `${spaced(name)} ${text}`);
  if (type !== undefined) texts.unshift(`fitted type ${spaced(type.text)}`);
  return texts.length === 0 ? [] : [ln`${cap(texts.join(', '))}.`];
}

function unwitnessed(summary: Summary): readonly Line[] {
  const passed = summary.absent.filter((text) => text.startsWith('Not witnessed')).length;
  return passed === 0 ? [] : [ln`${passed} steps not witnessed by the bot: see the record.`];
}

function leftOut(summary: Summary): readonly Line[] {
  return summary.incidents
    .filter(({ kind }) => kind === 'left-out')
    .map(({ by, what }) => ln`${cap(what)} (${by ?? 'nobody'}).`);
}

function timeLine(summary: Summary): readonly Line[] {
  const sum = (key: 'workedMs' | 'waitedMs' | 'stoodMs') =>
    summary.stages.reduce((total, stage) => total + stage[key], 0) / 60_000;
  if (summary.stages.length === 0) return [];
  const stood = sum('stoodMs');
  const rest = stood < 1 ? '' : `, stood still ${minutes(stood)}`;
  return [ln`Worked ${minutes(sum('workedMs'))}, waited ${minutes(sum('waitedMs'))}${rest}.`];
}

/** Amount with its bound, as it stood on the meter. */
export function measured(row: Summary['readings'][number]): string {
  return `${row.bound === 'at-least' ? 'at least ' : ''}${amount(row.quantity)}`;
}
