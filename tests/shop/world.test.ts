import { describe, expect, test } from 'vitest';
import { WORKSHOP } from '../../src/shop/demo/workshop.js';
import { monthOf, shopDay } from '../../src/shop/hours.js';
import { printJson } from '../../src/shop/json.js';
import { jobGround, worldOf } from '../../src/shop/world.js';
import { demoRegister } from './folders.js';

const HOUR = 3_600_000;
const moment = (now: number) => ({ now, elsewhere: new Map(), standbyElsewhere: new Map(), draw: 0.5 });
const at = (text: string) => Date.parse(text);

const never = { monday: [], tuesday: [], wednesday: [], thursday: [], friday: [], saturday: [], sunday: [] };
const night = { from: '22:00', to: '06:00' };

function nightShop(zone: string, weekday: string) {
  const hours = { ...never, [weekday]: [night] };
  return demoRegister({ 'shop.json': printJson({ ...WORKSHOP['shop.json'], zone, hours, deputies: [] }) });
}

describe('the shift that runs now', () => {
  const register = demoRegister();
  test.each([
    // Dublin has UTC until 29 March 2026, then one hour more.
    ['Monday morning', '2026-03-02T08:00Z', '2026-03-02', '2026-03-02T15:30Z'],
    ['the last minute of the early shift', '2026-03-02T15:29:59Z', '2026-03-02', '2026-03-02T15:30Z'],
    ['the minute the late shift takes over', '2026-03-02T15:30Z', '2026-03-02', '2026-03-02T23:00Z'],
    ['Friday evening', '2026-03-06T18:00Z', '2026-03-06', null],
    ['Sunday', '2026-03-08T10:00Z', '2026-03-08', null],
    ['a closed Tuesday', '2026-03-17T10:00Z', '2026-03-17', null],
    ['the first morning of summer time', '2026-03-30T06:30Z', '2026-03-30', '2026-03-30T14:30Z'],
    ['before the first shift of summer time', '2026-03-30T05:59Z', '2026-03-30', null],
    ['half an hour past local midnight', '2026-03-30T23:30Z', '2026-03-31', null],
  ])('on %s it is %s, %s', (_, now, today, end) => {
    const world = worldOf(register, moment(at(now)));
    expect(world.today).toBe(today);
    expect(world.shiftEndsAt).toBe(end === null ? null : at(end));
  });
});

describe('a night shift over the change of clocks ends at six by the clock on the wall', () => {
  test.each([
    ['in spring, after 7 hours', 'saturday', '2026-03-28T22:30Z', '2026-03-29T05:00Z', 7],
    ['in autumn, after 9 hours', 'saturday', '2026-10-24T21:30Z', '2026-10-25T06:00Z', 9],
    ['on an ordinary night, after 8 hours', 'saturday', '2026-03-21T22:30Z', '2026-03-22T06:00Z', 8],
  ])('%s', (_, weekday, now, end, hours) => {
    const register = nightShop('Europe/Dublin', weekday);
    const before = worldOf(register, moment(at(now)));
    const after = worldOf(register, moment(at(end) - 1));
    expect([before.shiftEndsAt, after.shiftEndsAt]).toEqual([at(end), at(end)]);
    expect(worldOf(register, moment(at(end))).shiftEndsAt).toBeNull();
    const [shift] = shopDay(register.shop, at(now)).shifts;
    expect(((shift?.endsAt ?? 0) - (shift?.startsAt ?? 0)) / HOUR).toBe(hours);
  });
});

test.each([
  ['spring', '2026-03-29T12:00Z', 23],
  ['autumn', '2026-10-25T12:00Z', 25],
  ['summer', '2026-07-01T12:00Z', 24],
])('a day of the change in %s has so many hours', (_, now, hours) => {
  const { from, until } = shopDay(demoRegister().shop, at(now));
  expect((until - from) / HOUR).toBe(hours);
});

test('the month of an instant is the month by the clock on the wall', () => {
  expect(monthOf('Europe/Dublin', at('2026-04-30T23:30Z'))).toBe('2026-05');
  expect(monthOf('UTC', at('2026-04-30T23:30Z'))).toBe('2026-04');
});

describe('who may act as foreman', () => {
  const register = demoRegister();
  test.each([
    ['before the deputy is named', '2026-03-19T06:59Z', ['orla']],
    ['while she is', '2026-03-19T07:00Z', ['orla', 'tamsin']],
    ['when her time is over', '2026-03-20T15:30Z', ['orla']],
  ])('%s', (_, now, foremen) => {
    expect(worldOf(register, moment(at(now))).foremen).toEqual(foremen);
  });
});

describe('what a job takes with it', () => {
  const register = demoRegister();

  test('values are named by their source, with manual and person', () => {
    const ground = jobGround(register, 'demo 1', '1');
    if (typeof ground === 'string') throw new Error(ground);
    expect(ground.values['vehicle.pack-voltage']).toEqual({
      quantity: { value: 386, unit: 'V' },
      text: null,
      reference: 'Teasel demo manual 2.1',
      enteredBy: 'Orla Fenwick',
    });
    expect(ground.values['vehicle.cover-pattern']).toMatchObject({ quantity: null, text: 'cross' });
    expect(ground.values['shop.dead-limit']?.reference).toBe('common practice, no source');
    expect(ground.values['lift.pad-rating']?.quantity).toEqual({ value: 1100, unit: 'kg' });
    expect(ground.car).toEqual({
      registration: 'DEMO-1',
      model: 'teasel',
      odometerKm: 81200,
      kmPerYear: 15000,
    });
  });

  test("a car has its model's variants but for its own", () => {
    const choices = ['DEMO-1', 'DEMO-2', 'DEMO-3', 'DEMO-4'].map((registration) => {
      const ground = jobGround(register, registration, '3');
      return typeof ground === 'string' ? ground : [ground.choices.access, ground.choices.order];
    });
    expect(choices).toEqual([
      ['hatch', 'loop-first'],
      ['hatch', 'lv-first'],
      ['pack-out', 'lv-first'],
      ['hatch', 'loop-first'],
    ]);
  });

  test('a bay without a lift brings no lift values', () => {
    const ground = jobGround(register, 'DEMO-1', '3');
    if (typeof ground === 'string') throw new Error(ground);
    expect(Object.keys(ground.values).filter((key) => key.startsWith('lift.'))).toEqual([]);
  });

  test.each([
    ['DEMO-9', '1', 'unknown-car'],
    ['DEMO-1', '9', 'unknown-bay'],
  ])('car %s in bay %s: %s', (car, bay, expected) => {
    expect(jobGround(register, car, bay)).toBe(expected);
  });
});
