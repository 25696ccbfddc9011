import { describe, expect, test } from 'vitest';
import { type Event, SUMMONS, type Summons } from '../../src/job/event.js';
import {
  againAfter,
  goesAt,
  toldLately,
  urgencyOf,
  type Waiting,
  withCalls,
} from '../../src/record/calls.js';

const MINUTE = 60_000;
const at = (minute: number) => minute * MINUTE;
const call = (minute: number): Waiting => ({ at: at(minute), urgency: 'call' });
const news = (minute: number): Waiting => ({ at: at(minute), urgency: 'news' });
const summons = (what: Summons, minute: number, detail = ''): Event[] => [
  { type: 'summoned', what, to: 'foreman', detail, at: at(minute) },
];

/** Instants of posts when these come in, none of them of the kinds that go at once. */
function sentFor(coming: readonly Waiting[], before: readonly number[] = []): number[] {
  const sent = [...before];
  let waiting: Waiting[] = [];
  const until = Math.max(...coming.map((one) => one.at)) + at(60);
  for (let now = 0; now <= until; now += MINUTE / 4) {
    waiting.push(...coming.filter((one) => one.at > now - MINUTE / 4 && one.at <= now));
    const goes = goesAt(waiting, sent);
    if (goes === null || goes > now) continue;
    sent.push(now);
    waiting = [];
  }
  return sent.slice(before.length);
}

const most = (sent: readonly number[], window: number) =>
  Math.max(...sent.map((first) => sent.filter((one) => one >= first && one < first + window).length));

describe('what goes to the foreman, and when', () => {
  test('a stop, a hold, the third refusal at a gate and a reading out of limits never wait, whoever brings them', () => {
    const atOnce = SUMMONS.filter((what) => urgencyOf(summons(what, 0), true, true) === 'at-once');
    expect(atOnce).toEqual(['stop', 'hold', 'gate-refused', 'out-of-limits']);
  });

  test('in a quiet thread a call and news go at once', () => {
    expect(sentFor([call(1)])).toEqual([at(1)]);
    expect(sentFor([news(1)])).toEqual([at(1)]);
  });

  test('calls within two minutes of the one before come together, none of them later than five minutes', () => {
    expect(sentFor([call(1), call(2), call(2.5)])).toEqual([at(1), at(3)]);
  });

  test('news waits for twenty minutes, and comes with a call where there is one', () => {
    expect(sentFor([news(1), news(2), news(9)])).toEqual([at(1), at(21)]);
    expect(sentFor([news(1), news(2), call(9)])).toEqual([at(1), at(9)]);
  });

  test('twelve bays that all call, and call again, in a bad ten minutes bring at most ten posts (HUM-026, HSE CHIS6 citing EEMUA 191)', () => {
    const coming = Array.from({ length: 60 }, (_, index) => call(index / 6));
    expect(most(sentFor(coming), at(10))).toBeLessThanOrEqual(10);
    // Eight of the kinds that never wait among them: the others leave them the room.
    const urgent = Array.from({ length: 8 }, (_, index) => at(index * 0.2));
    const all = [...urgent, ...sentFor(coming, urgent)].sort((a, b) => a - b);
    expect(most(all, at(10))).toBeLessThanOrEqual(10);
  });

  test('news without end brings fewer than one post in ten minutes (HUM-025, HSE CHIS6 citing EEMUA 191)', () => {
    const coming = Array.from({ length: 240 }, (_, index) => news(index / 2));
    expect(most(sentFor(coming), at(60))).toBeLessThan(6);
  });
});

const still = () => true;

describe('the same thing', () => {
  test('is told again after 15 min, 30 min, an hour, two, then every four hours', () => {
    expect([1, 2, 3, 4, 5, 6, 40].map((times) => againAfter(times) / MINUTE)).toEqual([
      15, 30, 60, 120, 240, 240, 240,
    ]);
  });

  test('is not told twice within a quarter of an hour, and another thing is', () => {
    const log = withCalls(new Map(), summons('level', 0, 'Pip Lorne 2S'), still);
    expect(toldLately(log, summons('level', 14, 'Pip Lorne 2S'), still)).toBe(true);
    expect(toldLately(log, summons('level', 16, 'Pip Lorne 2S'), still)).toBe(false);
    expect(toldLately(log, summons('level', 14, 'Wilf Harrow 3S'), still)).toBe(false);
    expect(
      toldLately(log, [...summons('level', 14, 'Pip Lorne 2S'), ...summons('exposed', 14, 'x')], still),
    ).toBe(false);
  });

  test('that was seen to and comes again is a new one', () => {
    const log = withCalls(new Map(), summons('exposed', 0, 'standby-here'), still);
    expect(toldLately(log, summons('exposed', 6, 'standby-here'), () => false)).toBe(false);
  });

  test('of the kinds that go at once each is a new thing', () => {
    for (const what of ['stop', 'hold', 'gate-refused', 'out-of-limits'] as const)
      expect(toldLately(withCalls(new Map(), summons(what, 0), still), summons(what, 1), still)).toBe(false);
  });
});
