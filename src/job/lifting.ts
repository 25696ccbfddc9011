import type { Balanced, Load, Pads, Standing, Unbalanced } from '../trade/lift.js';
import { balanceOnLift, carOf } from '../trade/lift.js';
import { tableUse } from '../trade/lift-table.js';
import { valueIn } from '../units/quantity.js';
import type { Figure } from './event.js';
import type { Job } from './job.js';
import { hold, type Judgement, missing, needed, passed, read, round } from './judgement.js';

/** Judgements of what hangs and what carries: the car on its pads, the pack on its table. */

type OnLift = { readonly car: Load; readonly pads: Pads; readonly leastMarginM: number };

/** The car with everything on. */
export function liftBalance(job: Job): Judgement {
  const asked = onLift(job);
  if (asked === null) return missing();
  if ('verdict' in asked) return asked;
  const judged = balanceOnLift({ ...asked, parts: [] });
  if (!judged.ok && !('after' in judged)) return hold(judged.because);
  const figures = figuresOf(asked, judged.standings[0], '');
  return judged.ok ? passed(figures) : hold(judged.because, figures);
}

/** The car before the pack leaves it and after: both have to stand, as nobody can go back half-way. */
export function liftBalancePackOut(job: Job): Judgement {
  const asked = onLift(job);
  const [massKg, xM] = [needed(job, 'vehicle.pack-mass', 'kg'), needed(job, 'vehicle.pack-position', 'm')];
  if (asked === null || massKg === null || xM === null) return missing();
  if ('verdict' in asked) return asked;
  const judged = balanceOnLift({ ...asked, parts: [{ massKg, xM }] });
  if (!judged.ok && !('after' in judged)) return hold(judged.because);
  const [on, off] = judged.standings;
  const figures = marginsFirst([...figuresOf(asked, on, ''), ...figuresOf(asked, off, '-off')]);
  return judged.ok ? passed(figures) : hold(codeOf(judged), figures);
}

/** The table against the pack: the lower of its plate and the shop's figure counts. */
export function tableCarries(job: Job): Judgement {
  const loadKg = needed(job, 'vehicle.pack-mass', 'kg');
  const plate = job.readings['table-rating']?.[0]?.quantity;
  const ratings = [read(job, 'table-rating', 'kg'), needed(job, 'shop.table-rating', 'kg')].filter(
    (rating) => rating !== null,
  );
  if (loadKg === null || ratings.length === 0) return missing();
  const ratingKg = Math.min(...ratings);
  const judged = tableUse({ loadKg, ratingKg });
  const max =
    plate !== undefined && valueIn(plate, 'kg') === ratingKg
      ? plate
      : { value: ratingKg, unit: 'kg' as const };
  const figures: Figure[] = [
    { name: 'table-load', quantity: { value: loadKg, unit: 'kg' }, max, rule: 'statics' },
  ];
  if (judged.ok) return passed(figures);
  return hold(judged.because === 'over-rating' ? 'over-table-rating' : judged.because, figures);
}

/** Car, pads and margin out of the register and the readings; null while something of it is missing. */
function onLift(job: Job): OnLift | Judgement | null {
  const kg = (key: string) => needed(job, key, 'kg');
  const m = (key: string) => needed(job, key, 'm');
  const [frontKg, rearKg] = [kg('vehicle.axle-load-front'), kg('vehicle.axle-load-rear')];
  const wheelbaseM = m('vehicle.wheelbase');
  const [frontM, rearM] = [read(job, 'pad-front', 'm'), read(job, 'pad-rear', 'm')];
  const [padRatingKg, liftRatingKg] = [kg('lift.pad-rating'), kg('lift.rating')];
  const leastMarginM = m('shop.balance-margin');
  if (frontKg === null || rearKg === null || wheelbaseM === null) return null;
  if (frontM === null || rearM === null) return null;
  if (padRatingKg === null || liftRatingKg === null || leastMarginM === null) return null;
  const car = carOf({ frontKg, rearKg, wheelbaseM });
  if (!car.ok) return hold(car.because);
  const pads: Pads = { frontM, rearM, halfTrackM: null, padRatingKg, liftRatingKg };
  return { car: car.car, pads, leastMarginM };
}

function figuresOf(asked: OnLift, standing: Standing | undefined, suffix: '' | '-off'): Figure[] {
  if (standing === undefined) return [];
  const pair = { value: 2 * asked.pads.padRatingKg, unit: 'kg' } as const;
  return [
    {
      name: `front-load${suffix}`,
      quantity: { value: round(standing.frontKg, 1), unit: 'kg' },
      max: pair,
      rule: 'statics',
    },
    {
      name: `rear-load${suffix}`,
      quantity: { value: round(standing.rearKg, 1), unit: 'kg' },
      max: pair,
      rule: 'statics',
    },
    {
      name: `balance-margin${suffix}`,
      quantity: { value: round(standing.marginM * 1000, 0), unit: 'mm' },
      min: { value: round(asked.leastMarginM * 1000, 0), unit: 'mm' },
      rule: 'statics',
    },
  ];
}

/** A post names the first few figures only: the margins decide. */
function marginsFirst(figures: readonly Figure[]): Figure[] {
  const margin = (figure: Figure) => figure.name.startsWith('balance-margin');
  return [...figures.filter(margin), ...figures.filter((figure) => !margin(figure))];
}

/** Whether it is the car as it stands, or what it would be without the pack. */
function codeOf(judged: Exclude<Balanced | Unbalanced, Balanced>): string {
  return judged.after === 0 ? judged.because : `${judged.because}-off`;
}
