/**
 * Is a dated thing (tester, proving source, torque wrench, lift, sealant) in date on a given day?
 *
 * Rule: due date = last test + interval in calendar months, clamped to the end of the month (`dates.ts`).
 * The due day itself is the last good day: common practice for calibration labels, no source. Where a stricter
 * reading is wanted (gloves) the caller looks at the state: 'due' is the due day and nothing else.
 * A use-by date on a cartridge is inclusive: common practice, no source.
 */
import { addMonths, daysBetween, type IsoDate, isIsoDate } from './dates.js';
import { type Refused, refuse } from './refused.js';

export const DATE_STATES = ['in-date', 'due', 'overdue'] as const;
export type DateState = (typeof DATE_STATES)[number];

export type InDate = {
  readonly ok: true;
  /** 'due' on the due day itself, 'overdue' from the day after. */
  readonly state: DateState;
  readonly dueOn: IsoDate;
  /** Zero on the due day, negative when overdue. */
  readonly daysLeft: number;
};

export type InDateRefusal = Refused<'bad-date' | 'bad-interval' | 'tested-after-today'>;

const judged = (dueOn: IsoDate, on: IsoDate): InDate => {
  const daysLeft = daysBetween(on, dueOn);
  return { ok: true, state: daysLeft > 0 ? 'in-date' : daysLeft === 0 ? 'due' : 'overdue', dueOn, daysLeft };
};

/**
 * The state of a thing tested on `testedOn` every `intervalMonths` months, on the day `on`.
 * Valid: dates that exist, a whole interval of 1 to 240 months, a test not later than `on`; a test date in the
 * future is a slip of the pen and is refused, never taken as good.
 */
export function judgeInDate(asked: {
  readonly testedOn: IsoDate;
  readonly intervalMonths: number;
  readonly on: IsoDate;
}): InDate | InDateRefusal {
  const { testedOn, intervalMonths, on } = asked;
  if (!isIsoDate(testedOn)) return refuse('bad-date', 'testedOn', testedOn);
  if (!isIsoDate(on)) return refuse('bad-date', 'on', on);
  if (!Number.isInteger(intervalMonths) || intervalMonths < 1 || intervalMonths > 240)
    return refuse('bad-interval', 'intervalMonths', intervalMonths);
  if (daysBetween(testedOn, on) < 0) return refuse('tested-after-today', 'testedOn', testedOn);
  return judged(addMonths(testedOn, intervalMonths), on);
}

/** The state of a thing with a printed use-by date, which is itself the last good day. */
export function judgeUseBy(asked: {
  readonly useBy: IsoDate;
  readonly on: IsoDate;
}): InDate | Refused<'bad-date'> {
  if (!isIsoDate(asked.useBy)) return refuse('bad-date', 'useBy', asked.useBy);
  if (!isIsoDate(asked.on)) return refuse('bad-date', 'on', asked.on);
  return judged(asked.useBy, asked.on);
}

/** May it be used? Yes up to and including the due day. */
export const usable = (judgement: InDate): boolean => judgement.state !== 'overdue';
