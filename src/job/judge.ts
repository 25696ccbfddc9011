import type { Ask, Limits, Step } from '../flow/flow.js';
import { deadReadings, judgeDeadTest, judgeNil } from '../trade/dead-test.js';
import { secondsToTestAgain } from '../trade/discharge.js';
import { type Quantity, valueIn } from '../units/quantity.js';
import type { Figure, Reading } from './event.js';
import type { Job } from './job.js';
import { type Judgement, needed, passed, poleVolts } from './judgement.js';
import { amountOf, DEAD_LIMIT, keyOf, PACK_VOLTAGE, PROVING_TOLERANCE, valueOfRef } from './value.js';
import type { World } from './world.js';

/** Judges one answered question by its own limits; null where it has none. */
export function judgeAnswer(
  job: Job,
  world: World,
  step: Step,
  ask: Ask,
  readings: readonly Reading[],
): Judgement | null {
  if (ask.ask === 'dead-test') return deadTest(job, world, step, ask, readings);
  const first = readings[0];
  if (ask.ask !== 'reading' || ask.limits === null || first === undefined) return null;
  return withinLimits(job, step, ask.name, ask.limits, first);
}

function deadTest(
  job: Job,
  world: World,
  step: Step,
  ask: Ask & { ask: 'dead-test' },
  readings: readonly Reading[],
): Judgement {
  const volts = readings.map((reading) => valueIn(reading.quantity, 'V'));
  const five = deadReadings(volts);
  const source = needed(job, keyOf(ask.source), 'V');
  const pack = needed(job, keyOf(ask.pack), 'V');
  const limit = valueOfRef(job, DEAD_LIMIT);
  const tolerance = valueOfRef(job, PROVING_TOLERANCE);
  const figures = readings.map((reading, at) =>
    at === 0 || at === 4
      ? {
          name: at === 0 ? 'proving-before' : 'proving-after',
          quantity: reading.quantity,
          rule: 'prove-test-prove',
        }
      : {
          name: ['plus-minus', 'plus-body', 'minus-body'][at - 1] ?? '',
          quantity: reading.quantity,
          ...(limit === null ? {} : { max: limit }),
          rule: 'dead-band',
        },
  );
  if (!five.ok || source === null || pack === null || limit === null || tolerance === null) {
    return { verdict: 'again', because: five.ok ? 'value-missing' : five.because, figures };
  }
  const judged = judgeDeadTest({
    readings: five.readings,
    source: { nominalVolts: source, toleranceFraction: valueIn(tolerance, '%') / 100 },
    pack: { nominalVolts: pack },
    deadLimitVolts: valueIn(limit, 'V'),
    firstAtMs: readings[0]?.at ?? 0,
    lastAtMs: readings.at(-1)?.at ?? 0,
    windowMinutes: world.settings.deadTestMinutes,
  });
  if (!judged.ok) return { verdict: 'hold', because: judged.because, figures };
  switch (judged.outcome) {
    case 'dead':
      return { verdict: 'passed', because: 'dead', figures };
    case 'live':
      return { verdict: 'stop', because: 'live', figures, ...(judged.testerOut ? { testerOut: true } : {}) };
    case 'tester-failed-after':
      return { verdict: 'hold', because: 'tester-failed-after', figures, testerOut: true };
    case 'wait-and-test-again':
      return warm(job, step, figures, limit, readings.at(-1)?.at ?? 0);
    case 'maybe-kilovolts':
    case 'tester-not-proved':
    case 'too-slow':
      return { verdict: 'again', because: judged.outcome, figures };
  }
}

/** Between near zero and the hazard line: wait, and say for how long where the readings before this one allow it. */
function warm(job: Job, step: Step, figures: readonly Figure[], limit: Quantity, atMs: number): Judgement {
  const before = job.warm[step.id];
  const volts = poleVolts(figures);
  const seconds =
    before === undefined
      ? null
      : secondsToTestAgain({ atMs: before.at, volts: before.volts }, { atMs, volts }, valueIn(limit, 'V'));
  const advice: readonly Figure[] =
    seconds === null
      ? []
      : [
          {
            name: 'test-again',
            quantity: { value: Math.ceil(seconds / 60), unit: 'min' },
            rule: 'rc-discharge',
          },
        ];
  // Twice between near zero and the hazard line is not a matter of waiting any more.
  const verdict = (job.again[step.id] ?? 0) > 0 ? 'hold' : 'again';
  return { verdict, because: 'wait-and-test-again', figures: [...figures, ...advice] };
}

function withinLimits(job: Job, step: Step, name: string, limits: Limits, reading: Reading): Judgement {
  const { quantity } = reading;
  if (limits.is === 'nil') {
    const limit = valueOfRef(job, DEAD_LIMIT);
    const pack = valueOfRef(job, PACK_VOLTAGE);
    if (limit === null || pack === null) return { verdict: 'again', because: 'value-missing', figures: [] };
    const figures: Figure[] = [{ name, quantity, max: limit, rule: 'dead-band' }];
    const judged = judgeNil({
      volts: valueIn(quantity, 'V'),
      pack: { nominalVolts: valueIn(pack, 'V') },
      deadLimitVolts: valueIn(limit, 'V'),
    });
    if (!judged.ok) return { verdict: 'hold', because: judged.because, figures };
    if (judged.outcome === 'nil') return passed(figures);
    if (judged.outcome === 'live') return { verdict: 'stop', because: 'live', figures };
    if (judged.outcome === 'maybe-kilovolts') return { verdict: 'again', because: judged.outcome, figures };
    return warm(job, step, figures, limit, reading.at);
  }
  if (limits.is === 'same') return sameAs(job, step, name, limits.as, reading);
  const min = limits.min === null ? null : amountOf(job, limits.min);
  const max = limits.max === null ? null : amountOf(job, limits.max);
  const figure: Figure = {
    name,
    quantity,
    ...(min === null ? {} : { min }),
    ...(max === null ? {} : { max }),
  };
  const value = valueIn(quantity, quantity.unit);
  const low = min !== null && value < valueIn(min, quantity.unit);
  const high = max !== null && (value > valueIn(max, quantity.unit) || reading.bound === 'at-least');
  if (!low && !high) return passed([figure]);
  return { verdict: step.outOfLimits, because: low ? 'too-low' : 'too-high', figures: [figure] };
}

/** What went in comes out: the same number as an earlier reading or count. */
function sameAs(job: Job, step: Step, name: string, as: string, { quantity }: Reading): Judgement {
  const read = job.readings[as]?.[0]?.quantity;
  const count = Number(job.fields[as] ?? Number.NaN);
  const before = read ?? (Number.isFinite(count) ? { value: count, unit: quantity.unit } : null);
  if (before === null) return { verdict: 'hold', because: 'value-missing', figures: [] };
  const figures: Figure[] = [{ name, quantity, min: before, max: before, rule: 'same-count' }];
  if (valueIn(before, quantity.unit) === quantity.value) return passed(figures);
  return { verdict: step.outOfLimits, because: 'count-differs', figures };
}
