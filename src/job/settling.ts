import { type Held, judgedSpan, judgeHolding, judgeStill, spreadOf } from '../trade/holding.js';
import { intervalsOf, judgeSpill, SPILL_LIMITS, type SpillLimits, spillOf } from '../trade/spill.js';
import { tailOf } from '../trade/tail.js';
import { convert, type Quantity, valueIn } from '../units/quantity.js';
import { dimensionOf, type Unit } from '../units/unit.js';
import type { Figure, Reading, WatchOutcome } from './event.js';
import type { Job } from './job.js';
import { needed } from './judgement.js';
import type { Refusal } from './refusal.js';
import { trayReadings, type Watch } from './watch.js';
import type { Sighting } from './watch-log.js';

/** What was sighted, before it has come to anything. */
export type Sight = Pick<Sighting, 'sighted' | 'saidAt'>;

/** What all sightings come to, with the figures for the record; or why the last of them cannot be. */
export type Settled =
  | { readonly ok: true; readonly outcome: WatchOutcome; readonly figures: readonly Figure[] }
  | { readonly ok: false; readonly refusal: Refusal };

type Settle = (job: Job, watch: Watch, all: readonly Sight[], from: number) => Settled;

/** By the names of `SETTLINGS` in `flow/calc.ts`, which says what each of them reads. */
const SETTLES: Readonly<Record<string, Settle>> = {
  'spill-still': spillStill,
  'vacuum-holds': vacuumHolds,
  'level-still': levelStill,
};

const no = (refusal: Refusal): Settled => ({ ok: false, refusal });

/** Judges all sightings of a watch, those from `from` on being of the step that is open. The last one is new. */
export function settle(job: Job, watch: Watch, all: readonly Sight[], from: number): Settled {
  const last = all.at(-1);
  const before = all.at(-2);
  if (last !== undefined && before !== undefined && last.saidAt < before.saidAt) {
    return no({ why: 'said-before', last: before.saidAt });
  }
  const judge = SETTLES[watch.until];
  return judge === undefined
    ? no({ why: 'unclear', because: 'not-a-number', detail: '' })
    : judge(job, watch, all, from);
}

/** How long a thing has to hold or to stand still, in minutes; null for a spill and where the figure is missing. */
export function watchMinutes(job: Job, watch: Watch): number | null {
  if (watch.until === 'vacuum-holds') return vacuumLimits(job)?.minutes ?? null;
  return watch.until === 'level-still' ? levelLimits(job, watch.unit).minutes : null;
}

function spillStill(job: Job, watch: Watch, all: readonly Sight[], from: number): Settled {
  const spill = spillOf(trayReadings(all));
  if (!spill.ok) {
    if (spill.because !== 'went-down') return no({ why: 'unclear', because: 'not-a-number', detail: '' });
    return no({ why: 'went-down', stood: inUnit(spill.limit ?? 0, 'ml', watch.unit) });
  }
  const span = spill.points.slice(from);
  const limits = spillLimits(job);
  const verdict = judgeSpill(span, limits);
  const last = intervalsOf(span).at(-1);
  const fitted = tailOf(span, limits.errorMl);
  const amount = (ml: number) => inUnit(round(ml, 0), 'ml', watch.unit);
  const total: Reading = {
    quantity: inUnit(spill.totalMl, 'ml', watch.unit),
    assumedUnit: false,
    bound: spill.unread > 0 ? 'at-least' : null,
    at: all.at(-1)?.saidAt ?? job.now,
  };
  const rate: Quantity | null =
    last === undefined ? null : { value: round(last.mlPerMin, 1), unit: 'ml/min' };
  const tail = fitted.ok
    ? { end: amount(fitted.endMl), from: amount(fitted.fromMl), to: amount(fitted.toMl) }
    : null;
  const rule = job.values['shop.stillness-limit'] === undefined ? 'common-practice' : 'shop';
  const max: Quantity = { value: limits.stillMlPerMin, unit: 'ml/min' };
  const figures: Figure[] = [
    ...(rate === null ? [] : [{ name: 'spill-rate', quantity: rate, max, rule }]),
    ...(tail === null ? [] : [{ name: 'spill-estimate', quantity: tail.end, rule: 'exponential-tail' }]),
  ];
  return { ok: true, outcome: { verdict, total, rate, tail }, figures };
}

function spillLimits(job: Job): SpillLimits {
  return {
    stillMlPerMin: needed(job, 'shop.stillness-limit', 'ml/min') ?? SPILL_LIMITS.stillMlPerMin,
    stillMinutes: needed(job, 'shop.stillness-minutes', 'min') ?? SPILL_LIMITS.stillMinutes,
    errorMl: needed(job, 'shop.tray-error', 'ml') ?? SPILL_LIMITS.errorMl,
  };
}

type Holding = { readonly minutes: number; readonly change: number; readonly rule: string };

/** The car's own figures, else the shop's; in Pa. Null where neither is known. */
function vacuumLimits(job: Job): Holding | null {
  const figure = (name: string, unit: Unit) =>
    needed(job, `vehicle.${name}`, unit) ?? needed(job, `shop.${name}`, unit);
  const [minutes, change] = [figure('vacuum-minutes', 'min'), figure('vacuum-rise', 'Pa')];
  const rule = job.values['vehicle.vacuum-rise'] === undefined ? 'shop' : 'maker';
  return minutes === null || change === null ? null : { minutes, change, rule };
}

function vacuumHolds(job: Job, watch: Watch, all: readonly Sight[], from: number): Settled {
  const limits = vacuumLimits(job);
  if (limits === null) return no({ why: 'value-missing', key: 'shop.vacuum-rise' });
  const held = heldIn(all.slice(from), 'Pa');
  const judged = judgeHolding(held, limits);
  const verdict = judged === 'holds' ? 'settled' : judged === 'lost' ? 'failed' : 'running';
  return standing(watch, all, verdict, changeOf('vacuum-change', watch, held, 'Pa', limits));
}

/** How long no change is watched, and what is no change. Common practice, no source. */
const LEVEL = { minutes: 5, mm: 2, ml: 20 };

function levelLimits(job: Job, unit: Unit): Holding {
  const minutes =
    needed(job, 'vehicle.level-minutes', 'min') ?? needed(job, 'shop.level-minutes', 'min') ?? LEVEL.minutes;
  const long = dimensionOf(unit) === 'length';
  const set = long ? needed(job, 'shop.level-change', 'mm') : needed(job, 'shop.level-change-volume', 'ml');
  const change = set ?? (long ? LEVEL.mm : LEVEL.ml);
  return { minutes, change, rule: set === null ? 'common-practice' : 'shop' };
}

function levelStill(job: Job, watch: Watch, all: readonly Sight[], from: number): Settled {
  const unit: Unit = dimensionOf(watch.unit) === 'length' ? 'mm' : 'ml';
  const limits = levelLimits(job, watch.unit);
  const span = all.slice(from);
  const held = heldIn(span, unit);
  if (held.length === 0) return no({ why: 'not-settled', until: watch.until });
  const still = judgeStill(held, limits) === 'still';
  const bubbles = bubblesIn(span);
  const verdict = !still || bubbles === true ? 'running' : bubbles === false ? 'settled' : 'bubbles-open';
  // A level that sank while it was bled and stands now is told by the span in which it stands.
  const judged = judgedSpan(held, limits.minutes);
  return standing(watch, all, verdict, changeOf('level-change', watch, judged, unit, limits));
}

/** What was said about bubbles since the last reading, or with it; null for nothing. */
function bubblesIn(span: readonly Sight[]): boolean | null {
  const last = span.at(-1)?.sighted;
  if (last?.is === 'bubbles') return last.seen;
  return last?.is === 'stands' ? last.bubbles : null;
}

function heldIn(span: readonly Sight[], unit: Unit): readonly Held[] {
  return span.flatMap(({ sighted, saidAt }) =>
    sighted.is === 'stands' ? [{ atMs: saidAt, value: valueIn(sighted.reading.quantity, unit) }] : [],
  );
}

/** How far the readings lie apart, as people read it, with its limit. */
function changeOf(
  name: string,
  watch: Watch,
  held: readonly Held[],
  unit: Unit,
  limits: Holding,
): readonly Figure[] {
  if (held.length < 2) return [];
  const quantity = inUnit(spreadOf(held), unit, watch.unit);
  const max = inUnit(limits.change, unit, watch.unit);
  return [{ name, quantity, max, rule: limits.rule }];
}

/** What holds or stands still is where it was read last. */
function standing(
  { unit }: Watch,
  all: readonly Sight[],
  verdict: WatchOutcome['verdict'],
  figures: readonly Figure[],
): Settled {
  const last = all.findLast(({ sighted }) => sighted.is === 'stands')?.sighted;
  if (last?.is !== 'stands') return no({ why: 'unclear', because: 'not-a-number', detail: unit });
  return { ok: true, outcome: { verdict, total: last.reading, rate: null, tail: null }, figures };
}

/** A difference has no zero of its own: only for volumes, pressures and lengths, which have none either. */
function inUnit(value: number, from: Unit, to: Unit): Quantity {
  return convert({ value, unit: from }, to);
}

function round(value: number, digits: number): number {
  return Number(value.toFixed(digits));
}
