import type { Amount, Ask } from '../../src/flow/flow.js';
import type { Answer } from '../../src/job/event.js';
import type { Job } from '../../src/job/job.js';
import { type Quantity, valueIn } from '../../src/units/quantity.js';

/** What was told of one question, and the values of the job at that moment. */
export type Told = {
  readonly ask: Ask;
  readonly answer: Answer;
  readonly values: Readonly<Record<string, Job['values'][string]>>;
  /** Readings and counts told before, by name. */
  readonly before: ReadonlyMap<string, Quantity>;
};

/** Why a step may not be completed with this answer; null where it may. */
export function wrongNumber({ ask, answer, values, before }: Told): string | null {
  const figure = (key: string): Quantity | null => values[key]?.quantity ?? null;
  const volts = (key: string): number => {
    const quantity = figure(key);
    return quantity === null ? Number.NaN : valueIn(quantity, 'V');
  };
  if (answer.ask === 'dead-test') {
    const told = answer.readings.map((reading) => valueIn(reading.quantity, 'V'));
    const source = volts('shop.proving-voltage');
    const off = (source * (figure('shop.proving-tolerance')?.value ?? Number.NaN)) / 100;
    const [first, plusMinus, plusBody, minusBody, last] = told;
    const proved = [first, last].every((one) => one !== undefined && Math.abs(Math.abs(one) - source) <= off);
    const near = volts('shop.dead-limit');
    const dead = [plusMinus, plusBody, minusBody].every((one) => one !== undefined && Math.abs(one) <= near);
    return told.length === 5 && proved && dead ? null : `${told.join(' ')} V taken for dead`;
  }
  if (answer.ask !== 'reading' || ask.ask !== 'reading' || ask.limits === null) return null;
  const { quantity, bound } = answer.reading;
  const value = valueIn(quantity, quantity.unit);
  const of = (amount: Amount) => ('value' in amount ? amount : figure(`${amount.from}.${amount.name}`));
  const { limits } = ask;
  if (limits.is === 'nil') {
    const nil = Math.abs(valueIn(quantity, 'V')) <= volts('shop.dead-limit');
    return nil ? null : `${value} ${quantity.unit} taken for nil`;
  }
  if (limits.is === 'same')
    return before.get(limits.as)?.value === value ? null : `${value} taken for the same as ${limits.as}`;
  const within = (amount: Amount | null, fits: (limit: number) => boolean): boolean => {
    const limit = amount === null ? null : of(amount);
    return amount === null || (limit !== null && fits(valueIn(limit, quantity.unit)));
  };
  const fits =
    within(limits.min, (min) => value >= min) &&
    within(limits.max, (max) => value <= max && bound !== 'at-least');
  return fits ? null : `${value} ${quantity.unit} is out of its limits`;
}
