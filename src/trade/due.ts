/**
 * When is what next due: whichever comes first of months and distance, and by the type that was FITTED, not
 * by the type that came off.
 *
 * Rules: months by calendar arithmetic (`dates.ts`); distance becomes a date by the car's use,
 * days = distance / (distance per year) x 365.25, rounded down (computed; the mean year of the Julian calendar).
 * "Whichever first" is common practice, no source. The intervals come from the maker, never from here.
 */
import { addDays, addMonths, compareDates, daysBetween, type IsoDate, isIsoDate } from './dates.js';
import { notPositive, type Refused, refuse } from './refused.js';

export type ServiceRule = {
  /** Whole months from the day it was done; null when the maker gives none. */
  readonly months: number | null;
  /** Kilometres from the odometer of the day it was done; null when the maker gives none. */
  readonly distanceKm: number | null;
};

export type ServiceDue = {
  readonly ok: true;
  /** Null when only a distance rules and the car's use is not known. */
  readonly dueOn: IsoDate | null;
  readonly dueAtKm: number | null;
  /** Which rule gave `dueOn`, or stands alone. A tie goes to months. */
  readonly ruledBy: 'months' | 'distance';
  /** True when a distance also counts but could not be turned into a date: say "or at … km, whichever first". */
  readonly distanceNotDated: boolean;
};

export type DueRefusal = Refused<
  'bad-date' | 'bad-interval' | 'no-rule' | 'no-odometer' | 'not-positive' | 'beyond-calendar'
>;

const badInterval = (what: string, months: number): Refused<'bad-interval'> | null =>
  Number.isInteger(months) && months >= 1 && months <= 600 ? null : refuse('bad-interval', what, months);

/**
 * Next due date of work done on `doneOn` at `odometerKm`, in a car driven `kmPerYear` (null: not known).
 * Valid: 1 to 600 whole months; distance and use above zero; odometer zero or more. Refuses when neither
 * months nor distance rules, and a distance rule without an odometer.
 */
export function serviceDue(asked: {
  readonly rule: ServiceRule;
  readonly doneOn: IsoDate;
  readonly odometerKm: number | null;
  readonly kmPerYear: number | null;
}): ServiceDue | DueRefusal {
  const { rule, doneOn, odometerKm, kmPerYear } = asked;
  if (!isIsoDate(doneOn)) return refuse('bad-date', 'doneOn', doneOn);
  if (rule.months === null && rule.distanceKm === null) return refuse('no-rule', 'rule', null);
  if (rule.months !== null) {
    const fault = badInterval('months', rule.months);
    if (fault !== null) return fault;
  }
  const byMonths = rule.months === null ? null : addMonths(doneOn, rule.months);
  if (rule.distanceKm === null)
    return { ok: true, dueOn: byMonths, dueAtKm: null, ruledBy: 'months', distanceNotDated: false };

  if (odometerKm === null || !Number.isFinite(odometerKm) || odometerKm < 0)
    return refuse('no-odometer', 'odometerKm', odometerKm, 0);
  const fault = notPositive({ distanceKm: rule.distanceKm, ...(kmPerYear === null ? {} : { kmPerYear }) });
  if (fault !== null) return fault;
  const dueAtKm = odometerKm + rule.distanceKm;
  if (kmPerYear === null) {
    const ruledBy = byMonths === null ? 'distance' : 'months';
    return { ok: true, dueOn: byMonths, dueAtKm, ruledBy, distanceNotDated: true };
  }
  const days = Math.floor((rule.distanceKm / kmPerYear) * 365.25);
  const reachable = days <= daysBetween(doneOn, '2199-12-31');
  if (!reachable && byMonths === null) return refuse('beyond-calendar', 'kmPerYear', kmPerYear);
  const byDistance = reachable ? addDays(doneOn, days) : null;
  const monthsFirst = byMonths !== null && (byDistance === null || compareDates(byMonths, byDistance) <= 0);
  return {
    ok: true,
    dueOn: monthsFirst ? byMonths : byDistance,
    dueAtKm,
    ruledBy: monthsFirst ? 'months' : 'distance',
    distanceNotDated: false,
  };
}

/** The life of a disconnect fuse by the type read off the label of the one that was fitted. */
export type FuseLife =
  | { readonly type: 'own-cell'; readonly months: number; readonly from: 'manufacture' | 'fitting' }
  | { readonly type: 'loop-fed'; readonly inspectMonths: number | null };

export type FuseDue =
  | {
      readonly ok: true;
      readonly due: 'replace' | 'inspect';
      readonly dueOn: IsoDate;
      readonly ruledBy: 'own-cell-from-manufacture' | 'own-cell-from-fitting' | 'loop-fed-inspection';
      /** An old-stock fuse whose life had ended on the day it was fitted: tell the foreman. */
      readonly spentWhenFitted: boolean;
    }
  | { readonly ok: true; readonly due: 'nothing'; readonly ruledBy: 'loop-fed-no-interval' };

export type FuseRefusal = Refused<'bad-date' | 'bad-interval' | 'no-manufacture-date' | 'made-after-fitting'>;

/**
 * What the fitted fuse is next due for. Own ageing cell: `months` from its manufacture or its fitting, as its
 * maker says; about eight years is common practice, no source, and is never filled in here. Loop-fed: an
 * inspection where the maker asks for one, else nothing. Refuses a life that runs from manufacture when that
 * date is not known, and a fuse made after the day it was fitted.
 */
export function fuseDue(asked: {
  readonly fitted: FuseLife;
  readonly fittedOn: IsoDate;
  readonly manufacturedOn: IsoDate | null;
}): FuseDue | FuseRefusal {
  const { fitted, fittedOn, manufacturedOn } = asked;
  if (!isIsoDate(fittedOn)) return refuse('bad-date', 'fittedOn', fittedOn);
  if (manufacturedOn !== null) {
    if (!isIsoDate(manufacturedOn)) return refuse('bad-date', 'manufacturedOn', manufacturedOn);
    if (compareDates(manufacturedOn, fittedOn) > 0)
      return refuse('made-after-fitting', 'manufacturedOn', manufacturedOn);
  }
  if (fitted.type === 'loop-fed') {
    if (fitted.inspectMonths === null) return { ok: true, due: 'nothing', ruledBy: 'loop-fed-no-interval' };
    const dueOn = addMonthsChecked(fittedOn, 'inspectMonths', fitted.inspectMonths);
    if (typeof dueOn !== 'string') return dueOn;
    return { ok: true, due: 'inspect', dueOn, ruledBy: 'loop-fed-inspection', spentWhenFitted: false };
  }
  const from = fitted.from === 'fitting' ? fittedOn : manufacturedOn;
  if (from === null) return refuse('no-manufacture-date', 'manufacturedOn', null);
  const dueOn = addMonthsChecked(from, 'months', fitted.months);
  if (typeof dueOn !== 'string') return dueOn;
  return {
    ok: true,
    due: 'replace',
    dueOn,
    ruledBy: fitted.from === 'fitting' ? 'own-cell-from-fitting' : 'own-cell-from-manufacture',
    spentWhenFitted: compareDates(dueOn, fittedOn) <= 0,
  };
}

const addMonthsChecked = (date: IsoDate, what: string, months: number): IsoDate | Refused<'bad-interval'> =>
  badInterval(what, months) ?? addMonths(date, months);
