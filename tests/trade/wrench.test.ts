import { describe, expect, test } from 'vitest';
import { chooseWrench, type Need, type Wrench, wrenchFor } from '../../src/trade/wrench.js';
import type { Quantity } from '../../src/units/quantity.js';

const nm = (value: number): Quantity => ({ value, unit: 'N·m' });
const need = (change: Partial<Need>): Need => ({
  torques: [nm(9)],
  tolerance: null,
  today: '2026-03-09',
  ...change,
});
const wrench = (change: Partial<Wrench>): Wrench => ({
  id: 'W1',
  range: { from: nm(5), to: nm(25) },
  dueOn: '2026-09-01',
  cycles: { done: 100, most: 5000 },
  overload: null,
  lever: null,
  deviationPercent: null,
  out: null,
  ...change,
});

describe('is this wrench fit', () => {
  test('a wrench in range and in date is dialled to the target', () => {
    expect(wrenchFor(wrench({}), need({}))).toMatchObject({
      ok: true,
      settings: [nm(9)],
      deviationPercent: 4,
    });
  });

  test('both ends of the range are in range', () => {
    expect(wrenchFor(wrench({}), need({ torques: [nm(5), nm(25)] }))).toMatchObject({ ok: true });
    expect(wrenchFor(wrench({}), need({ torques: [{ value: 221.26, unit: 'lbf·in' }] }))).toMatchObject({
      ok: true,
    });
  });

  test.each<[string, Partial<Wrench>, Partial<Need>, string[]]>([
    ['9 N·m on a wrench that starts at 40', { range: { from: nm(40), to: nm(200) } }, {}, ['below-range']],
    ['40 N·m on a wrench that ends at 25', {}, { torques: [nm(40)] }, ['above-range']],
    ['a first stage below the range', {}, { torques: [nm(2.7), nm(9)] }, ['below-range']],
    ['a range passed at both ends', {}, { torques: [nm(2), nm(40)] }, ['below-range', 'above-range']],
    ['calibration that ended last week', { dueOn: '2026-03-02' }, {}, ['calibration-due']],
    ['calibration that was due yesterday', { dueOn: '2026-03-08' }, {}, ['calibration-due']],
    ['cycles used up', { cycles: { done: 5000, most: 5000 } }, {}, ['cycles-used-up']],
    ['a wrench taken out', { out: 'dropped' }, {}, ['out-of-use']],
    ['an overload beyond a quarter', { overload: nm(32) }, {}, ['overloaded']],
    [
      '6 % on a small wrench for 5 % on the joint',
      { range: { from: nm(2), to: nm(10) } },
      { tolerance: { percent: 5 } },
      ['too-coarse'],
    ],
    [
      'an adapter folded over the whole lever',
      { lever: { lengthMm: 200, adapterMm: 190, angleDeg: 180 } },
      {},
      ['adapter-refused'],
    ],
    [
      'an adapter that takes the setting below the range',
      { lever: { lengthMm: 100, adapterMm: 100 } },
      {},
      ['below-range'],
    ],
    ['a range upside down', { range: { from: nm(25), to: nm(5) } }, {}, ['bad-range']],
    ['a range in bar', { range: { from: nm(5), to: { value: 9, unit: 'bar' } } }, {}, ['bad-range']],
    ['a due date in another order', { dueOn: '01.09.2026' }, {}, ['bad-date']],
    ['a cycle count that is none', { cycles: { done: Number.NaN, most: 5000 } }, {}, ['bad-cycles']],
    ['an overload in volts', { overload: { value: 3, unit: 'V' } }, {}, ['bad-overload']],
    ['a deviation that is none', { deviationPercent: Number.NaN }, {}, ['bad-deviation']],
  ])('%s: %s', (_, change, asked, faults) => {
    expect(wrenchFor(wrench(change), need(asked))).toMatchObject({ ok: false, because: faults[0], faults });
  });

  test('all that is wrong is said at once, the worst first', () => {
    const found = wrenchFor(wrench({ out: 'bent', dueOn: '2026-01-01' }), need({ torques: [nm(90)] }));
    expect(found).toMatchObject({
      because: 'out-of-use',
      faults: ['out-of-use', 'calibration-due', 'above-range'],
    });
  });

  test('a certificate better than its class is believed', () => {
    const fine = wrench({ deviationPercent: 2 });
    expect(wrenchFor(fine, need({ tolerance: { percent: 3 } }))).toMatchObject({
      ok: true,
      deviationPercent: 2,
    });
    expect(wrenchFor(wrench({}), need({ tolerance: { percent: 3 } }))).toMatchObject({
      faults: ['too-coarse'],
    });
    expect(wrenchFor(wrench({}), need({ tolerance: { percent: 4 } }))).toMatchObject({ ok: true });
  });

  test.each<[string, Partial<Need>, string]>([
    ['a voltage', { torques: [{ value: 9, unit: 'V' }] }, 'not-a-torque'],
    ['a torque of nothing', { torques: [nm(0)] }, 'not-positive'],
    ['no date', { today: 'today' }, 'bad-date'],
    ['month 13', { today: '2026-13-01' }, 'bad-date'],
    ['a tolerance as large as the torque', { tolerance: { percent: 100 } }, 'bad-tolerance'],
  ])('a need of %s is refused before any wrench is judged', (_, change, because) => {
    expect(wrenchFor(wrench({}), need(change))).toMatchObject({ ok: false, because });
    expect(chooseWrench([wrench({})], need(change))).toMatchObject({ ok: false, because });
  });
});

describe('what would do instead', () => {
  const small = wrench({ id: 'W2', range: { from: nm(2), to: nm(15) } });
  const large = wrench({ id: 'W3', range: { from: nm(40), to: nm(200) } });
  const late = wrench({ id: 'W4', dueOn: '2026-03-01' });

  test('the one nearest to 60 % of its range comes first, the others say why not', () => {
    const found = chooseWrench([large, wrench({}), late, small], need({}));
    if (!found.ok) throw new Error(found.because);
    expect(found.fit.map((one) => one.wrench.id)).toEqual(['W2', 'W1']);
    expect(found.unfit.map((one) => [one.wrench.id, one.because])).toEqual([
      ['W3', 'below-range'],
      ['W4', 'calibration-due'],
    ]);
  });

  test('equally fit wrenches go by id, whatever the order of the cabinet', () => {
    const twins = [wrench({ id: 'B' }), wrench({ id: 'A' })];
    for (const cabinet of [twins, [...twins].reverse()]) {
      const found = chooseWrench(cabinet, need({}));
      expect(found.ok && found.fit.map((one) => one.wrench.id)).toEqual(['A', 'B']);
    }
  });

  test('an empty cabinet has none to offer', () => {
    expect(chooseWrench([], need({}))).toEqual({ ok: true, fit: [], unfit: [] });
  });
});
