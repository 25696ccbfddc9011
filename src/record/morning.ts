import type { Gear, Person } from '../job/world.js';
import { cap, ln, when, wrap } from '../talk/line.js';
import type { Line, Post } from '../talk/post.js';
import { boardOf } from './board.js';
import {
  beginsWith,
  clocksOf,
  type DayBay,
  headOf,
  joined,
  looksDue,
  openFirst,
  openLineOf,
  proveAgain,
  type RowedBay,
  stateOf,
} from './day-bay.js';
import { atOf, few, fewListed } from './few.js';
import { unfitPeople, unusableGear } from './gear-due.js';

/** Everything that the morning post is made from. The tallies are of the time since the workshop closed. */
export type MorningFigures = {
  /** When it is made, ms since 1970. */
  readonly now: number;
  /** The opening time that it stands for; null where it was asked for later in the day. */
  readonly at: number | null;
  readonly late: boolean;
  /** Today in the workshop's zone, `YYYY-MM-DD`. */
  readonly today: string;
  readonly bays: readonly DayBay[];
  readonly gear: Iterable<Gear>;
  readonly people: Iterable<Person>;
};

/** The morning post: what goes on, what has to be proved again for it, what ran out over night, what may not be used. */
export function morningPost(figures: MorningFigures): Post {
  const { now, bays, today } = figures;
  const { rows } = boardOf(bays, now);
  const held = openFirst(
    rows.flatMap((row): RowedBay[] => {
      const of = bays.find(({ bay }) => bay === row.bay);
      return of === undefined || (of.job === null && of.shut == null) ? [] : [{ of, row }];
    }),
  );
  const free = bays.filter(({ job, shut }) => job === null && shut == null).map(({ label }) => label);
  const people = unfitPeople(figures.people, today);
  const gear = unusableGear(figures.gear, today);
  const lines = [
    headLine(figures, held.length),
    ...held.flatMap((bay) => bayLines(bay, now)),
    ...(free.length === 0 ? [] : [ln`Free: ${fewListed(free, 12)}.`]),
    ...(gear.length === 0 ? [] : [ln`Not to be used today: ${fewListed(gear, 5)}.`]),
    ...(people.none.length === 0 ? [] : [ln`No level in date, no gate: ${fewListed(people.none, 5)}.`]),
    ...(people.lastDay.length === 0 ? [] : [ln`Last day of the level: ${fewListed(people.lastDay, 5)}.`]),
  ];
  return {
    to: 'foreman',
    kind: 'told',
    lines: lines.flatMap((line) => wrap(line)),
    buttons: [],
    visit: null,
  };
}

function headLine({ at, late, now }: MorningFigures, jobs: number): Line {
  const count = jobs === 0 ? 'nothing left over' : jobs === 1 ? '1 job goes on' : `${jobs} jobs go on`;
  if (at === null)
    return ln`What the morning begins with, as of ${{ instant: now, as: 'day-time' }}: ${count}.`;
  const made = late ? ln` (made late, ${when(now, at)})` : '';
  return ln`Morning, ${{ instant: at, as: 'day-time' }}${made}: ${count}.`;
}

function bayLines(bay: RowedBay, now: number): readonly Line[] {
  const { job, flow, tally } = bay.of;
  const again = job === null || flow === null ? [] : proveAgain(job, flow);
  const looks = job === null || flow === null ? 0 : looksDue(job, flow);
  const ended = (tally?.ended ?? []).map(({ label, at }) => ln`${label} ${atOf(at, now)}`);
  const clocks = clocksOf(bay, now);
  const next = [
    ...(again.length === 0 ? [] : [ln`Prove again: ${fewListed(again, 5)}`]),
    ...(looks === 0 ? [] : [ln`${looks === 1 ? 'one look' : `${looks} looks`} first`]),
    ...(ended.length === 0 ? [] : [ln`ended: ${fewListed(ended, 3)}`]),
    ...(clocks.length === 0 ? [] : [ln`runs on: ${joined(few(clocks, 2).shown)}`]),
  ];
  const [first = '', ...rest] = joined(next);
  const line = typeof first === 'string' ? [cap(first), ...rest] : [first, ...rest];
  return [
    ln`${headOf(bay)}: ${stateOf(bay, now)} Begins with: ${beginsWith(bay)}.`,
    ...openLineOf(bay),
    ...(next.length === 0 ? [] : [ln`${line}.`]),
  ];
}
