import { ln, stopped, time, when, wrap } from '../talk/line.js';
import type { Line, Post } from '../talk/post.js';
import { boardOf } from './board.js';
import {
  beginsWith,
  clocksOf,
  type DayBay,
  headOf,
  joined,
  openFirst,
  openLineOf,
  type RowedBay,
  stateOf,
} from './day-bay.js';
import { atOf, few, fewLines, fewListed } from './few.js';
import { type GearDue, gearDueText } from './gear-due.js';
import type { Held, JobTally } from './tally.js';
import { againstUsual, type Usual } from './usual.js';

/** Everything that the end-of-day post is made from. */
export type DayFigures = {
  /** When it is made, ms since 1970. */
  readonly now: number;
  /** The closing time that it stands for; null where it was asked for in the middle of the day. */
  readonly at: number | null;
  readonly late: boolean;
  /** Working days, `YYYY-MM-DD`, whose own post was never made. */
  readonly missed: readonly string[];
  readonly bays: readonly DayBay[];
  /** By flow. */
  readonly usual: ReadonlyMap<string, Usual>;
  /** Gear whose last day comes within 14 days, soonest first. */
  readonly gear: readonly GearDue[];
  /** When the workshop opens next; null where it does not for long. */
  readonly opensAt: number | null;
};

/** The end-of-day post: what stands open first of all, then every bay in one to three lines, then the day's figures. */
export function dayPost(figures: DayFigures): Post {
  const { now, bays } = figures;
  const { rows } = boardOf(bays, now);
  const rowed = rows.flatMap((row): RowedBay[] => {
    const of = bays.find(({ bay }) => bay === row.bay);
    return of === undefined ? [] : [{ of, row }];
  });
  const held = openFirst(rowed.filter(({ of }) => of.job !== null || of.shut != null));
  const idle = bays.filter(({ job, shut, ended }) => job === null && shut == null && ended.length === 0);
  const tallies = bays.flatMap(({ tally, ended }) => [...ended, ...(tally === null ? [] : [tally])]);
  const ended = bays.flatMap((bay) => bay.ended);
  const lines = [
    ...headLines(figures, held, ended),
    ...held.flatMap((bay) => bayLines(bay, figures)),
    ...bays.flatMap((bay) => endedLines(bay, now)),
    ...(idle.length === 0
      ? []
      : [
          ln`Free: ${fewListed(
            idle.map(({ label }) => label),
            12,
          )}.`,
        ]),
    ...holdLines(tallies, bays, now),
    ...refusedLines(tallies, bays),
    ...foundLines(tallies, bays, now),
    ...timeLines(ended, figures.usual),
    ...usedLines(tallies),
    ...gearLines(figures.gear),
    ...morningLines(held, figures.opensAt, now),
  ];
  return {
    to: 'foreman',
    kind: 'told',
    lines: lines.flatMap((line) => wrap(line)),
    buttons: [],
    visit: null,
  };
}

function headLines(
  { at, late, missed, now }: DayFigures,
  held: readonly RowedBay[],
  ended: readonly JobTally[],
): readonly Line[] {
  const parked = held.filter(({ of }) => of.job?.mode === 'parked').length;
  const done = ended.filter(({ how }) => how === 'done').length;
  const off = ended.length - done;
  const counts = [
    `${done} done`,
    ...(off === 0 ? [] : [`${off} called off`]),
    `${parked} parked`,
    `${held.length - parked} still open`,
  ].join(', ');
  const open = held.filter(({ row }) => row.open.length > 0).length;
  const said =
    at === null ? ln`The day so far, ${time(now)}` : ln`End of day, ${{ instant: at, as: 'day-time' }}`;
  return [
    ln`${said}: ${counts}.`,
    ...(late && at !== null
      ? [ln`Made late, ${{ instant: now, as: 'day-time' }}: the bays are as they are now.`]
      : []),
    ...(missed.length === 0
      ? []
      : [ln`No post was made for ${fewListed(missed, 3)}: nobody was here at closing.`]),
    ...(open === 0
      ? []
      : [ln`${open === 1 ? 'One bay' : `${open} bays`} with something open, first in the list.`]),
  ];
}

function bayLines(bay: RowedBay, { now, at }: DayFigures): readonly Line[] {
  const clocks = clocksOf(bay, now);
  const ended = (bay.of.tally?.ended ?? []).map((one) => ln`${one.label} ${atOf(one.at, now)}`);
  const times = [
    ...(ended.length === 0 ? [] : [ln`Ended: ${fewListed(ended, 3)}.`]),
    ...(clocks.length === 0
      ? []
      : [ln`${at === null ? 'Runs' : 'Runs over night'}: ${joined(few(clocks, 3).shown)}.`]),
  ];
  return [
    ln`${headOf(bay)}: ${stateOf(bay, now)}`,
    ...openLineOf(bay),
    ...(times.length === 0 ? [] : [times.reduce((line, one) => ln`${line} ${one}`)]),
  ];
}

/** What ended in a bay: the first two jobs in a line each, then their number. */
function endedLines({ label, ended }: DayBay, now: number): readonly Line[] {
  const lines = ended.map((one) => {
    const how = one.how === 'called-off' ? 'called off' : 'done';
    const open = one.leftOpen.length === 0 ? '' : ln` LEFT OPEN: ${fewListed(one.leftOpen, 6)}.`;
    return ln`${label}, ${one.registration}, ${one.flow}: ${how} ${atOf(one.endedAt ?? now, now)}.${open}`;
  });
  const { shown, more } = few(lines, 2);
  return more === 0 ? shown : [...shown, ln`${label}: ${more} more ended.`];
}

type Labelled = ReadonlyMap<string, string>;

const labelsOf = (bays: readonly DayBay[]): Labelled => new Map(bays.map(({ bay, label }) => [bay, label]));

const labelIn = (labels: Labelled, { bay }: JobTally): string => labels.get(bay) ?? bay;

function holdLines(tallies: readonly JobTally[], bays: readonly DayBay[], now: number): readonly Line[] {
  const labels = labelsOf(bays);
  const held = tallies
    .flatMap((tally) => tally.holds.map((one) => ({ tally, one })))
    // Stops before holds, what still stands before what was released.
    .toSorted((a, b) => rankOf(b.one) - rankOf(a.one) || a.one.at - b.one.at);
  const stops = held.filter(({ one }) => one.stop).length;
  const head = [
    stops === 0 ? '' : `Stops ${stops}`,
    held.length > stops ? `Holds ${held.length - stops}` : '',
  ]
    .filter((text) => text !== '')
    .join(', ');
  return fewLines(
    ln`${head}:`,
    held.map(({ tally, one }) => {
      const by = one.by === null ? '' : `, ${one.by}`;
      const why = one.why === '' ? '' : `: ${one.why.replace(/[.:]$/, '')}`;
      const end = one.releasedAt === null ? '. NOT RELEASED.' : ln`, released ${atOf(one.releasedAt, now)}.`;
      return ln`- ${labelIn(labels, tally)} ${atOf(one.at, now)}${one.stop ? ' STOP' : ''}${by}${why}${end}`;
    }),
    4,
  );
}

function rankOf({ stop, releasedAt }: Held): number {
  return (stop ? 2 : 0) + (releasedAt === null ? 1 : 0);
}

function refusedLines(tallies: readonly JobTally[], bays: readonly DayBay[]): readonly Line[] {
  const labels = labelsOf(bays);
  const refused = tallies.flatMap((tally) =>
    tally.refused.map(({ gate, times }) => ({ text: `${labelIn(labels, tally)} ${gate} (${times})`, times })),
  );
  const total = refused.reduce((sum, { times }) => sum + times, 0);
  const most = refused.toSorted((a, b) => b.times - a.times).map(({ text }) => text);
  return total === 0 ? [] : [ln`Refused at gates ${total}: ${fewListed(most, 3)}.`];
}

function foundLines(tallies: readonly JobTally[], bays: readonly DayBay[], now: number): readonly Line[] {
  const labels = labelsOf(bays);
  const found = tallies
    .flatMap((tally) => tally.findings.map((one) => ({ tally, one })))
    .toSorted((a, b) => a.one.at - b.one.at);
  return fewLines(
    ln`Found ${found.length}:`,
    found.map(({ tally, one }) => ln`- ${labelIn(labels, tally)} ${atOf(one.at, now)}: ${stopped(one.what)}`),
    4,
  );
}

function timeLines(ended: readonly JobTally[], usual: DayFigures['usual']): readonly Line[] {
  const lines = ended.flatMap((one): Line[] => {
    const text = againstUsual(one.stages, usual.get(one.flow) ?? new Map());
    return text === null ? [] : [ln`- ${one.registration}, ${one.flow}: ${text}.`];
  });
  return fewLines(ln`Time against usual:`, lines, 4);
}

function usedLines(tallies: readonly JobTally[]): readonly Line[] {
  const used = tallies.flatMap(({ registration, used }) =>
    used.map(({ name, text }) => `${name} ${text} (${registration})`),
  );
  return used.length === 0 ? [] : [ln`Used: ${fewListed(used, 6)}.`];
}

function gearLines(gear: readonly GearDue[]): readonly Line[] {
  return gear.length === 0 ? [] : [ln`Gear due within 14 days: ${fewListed(gear.map(gearDueText), 5)}.`];
}

function morningLines(held: readonly RowedBay[], opensAt: number | null, now: number): readonly Line[] {
  const at = opensAt === null ? '' : ln`, ${when(opensAt, now)}`;
  if (held.length === 0) return [ln`The morning${at}, begins with nothing left over.`];
  const first = held.map((bay) => ln`${bay.of.label}: ${beginsWith(bay)}`);
  return [ln`The morning${at}, begins with ${joined(few(first, 6).shown)}.`];
}
