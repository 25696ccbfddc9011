import { describe, expect, test } from 'vitest';
import type { Ask, Step } from '../../src/flow/flow.js';
import type { Event, Figure, Reading } from '../../src/job/event.js';
import { emptyJob, evolve } from '../../src/job/evolve.js';
import type { Job } from '../../src/job/job.js';
import { judgeAnswer } from '../../src/job/judge.js';
import type { World } from '../../src/job/world.js';

const MINUTE = 60_000;
const world = {} as unknown as World;
const gap: Ask & { ask: 'reading' } = {
  ...{ ask: 'reading', name: 'gap', text: 'Across the gap', unit: 'V', plausible: null, by: 'holder' },
  limits: { is: 'nil' },
};
const step = { id: 'gap', outOfLimits: 'hold', asks: [gap] } as unknown as Step;
const volts = (value: number, minutes: number): Reading => ({
  ...{ quantity: { value, unit: 'V' }, assumedUnit: false, bound: null },
  at: minutes * MINUTE,
});
const value = (amount: number): Job['values'][string] => ({
  ...{ quantity: { value: amount, unit: 'V' }, text: null, reference: 'sheet', enteredBy: 'test' },
});
const start: Job = {
  ...emptyJob('J'),
  values: { 'shop.dead-limit': value(5), 'vehicle.pack-voltage': value(400) },
};

function read(
  job: Job,
  reading: Reading,
): { readonly job: Job; readonly figures: readonly Figure[]; readonly verdict: string } {
  const judged = judgeAnswer(job, world, step, gap, [reading]);
  if (judged === null) throw new Error('not judged');
  const event: Event = { ...{ type: 'judged', step: 'gap', at: reading.at }, ...judged };
  return { job: evolve(job, event), figures: judged.figures, verdict: judged.verdict };
}
const advice = (figures: readonly Figure[]) =>
  figures.find((figure) => figure.name === 'test-again')?.quantity;

describe('a gap that is not near zero yet', () => {
  test('one reading promises nothing, the next says when it is worth testing again', () => {
    const first = read(start, volts(40, 0));
    expect([first.verdict, advice(first.figures)]).toEqual(['again', undefined]);
    const second = read(first.job, volts(30, 2));
    expect([second.verdict, advice(second.figures)]).toEqual(['hold', { value: 13, unit: 'min' }]);
    // After a release the pair is the last two.
    const third = read(second.job, volts(20, 10));
    expect(advice(third.figures)).toEqual({
      value: Math.ceil((8 / Math.log(30 / 20)) * Math.log(20 / 5)),
      unit: 'min',
    });
  });

  test('crossed probes fall like any others', () => {
    const first = read(start, volts(-40, 0));
    expect(advice(read(first.job, volts(30, 2)).figures)).toEqual({ value: 13, unit: 'min' });
  });

  test('when something was put back in between, the readings before it are forgotten', () => {
    const first = read(start, volts(40, 0));
    const undone: Event = {
      type: 'undone',
      facts: ['lv-off'],
      changes: [],
      by: 'mara',
      name: 'Mara',
      at: MINUTE,
    };
    expect(advice(read(evolve(first.job, undone), volts(30, 2)).figures)).toBeUndefined();
  });

  test('when the step is done, they are forgotten too', () => {
    const first = read(start, volts(40, 0));
    const done: Event = {
      ...{ type: 'step-completed', step: 'gap', visit: 1, shownAt: 0, gate: null, gear: [], choice: null },
      ...{ changes: [], by: 'mara', name: 'Mara', at: MINUTE },
    };
    expect(evolve(first.job, done).warm).toEqual({});
  });
});
