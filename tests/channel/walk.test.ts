import { DateTime } from 'luxon';
import { describe, expect, test } from 'vitest';
import { nextTime, walkClock } from '../../src/channel/script/walk.js';
import { VirtualClock } from '../../src/desk/clock.js';
import { NotTaken } from '../../src/desk/port.js';

const ZONE = 'Europe/Dublin';
const local = (text: string) => DateTime.fromFormat(text, 'yyyy-MM-dd HH:mm:ss', { zone: ZONE }).toMillis();

describe('the next time that a clock shows', () => {
  const rows = [
    ['later today', '2026-03-02 09:00:00', '09:14', '2026-03-02 09:14:00'],
    ['earlier than now, so tomorrow', '2026-03-02 09:14:00', '09:10', '2026-03-03 09:10:00'],
    [
      'this minute, which has begun: the clock stands still',
      '2026-03-02 09:14:30',
      '09:14',
      '2026-03-02 09:14:30',
    ],
    ['past midnight', '2026-03-02 23:59:00', '00:00', '2026-03-03 00:00:00'],
    ['over the night in which an hour is skipped', '2026-03-28 23:00:00', '07:00', '2026-03-29 07:00:00'],
    ['over the night in which an hour comes twice', '2026-10-24 23:00:00', '07:00', '2026-10-25 07:00:00'],
    ['over the end of a month', '2026-02-28 22:00:00', '06:30', '2026-03-01 06:30:00'],
  ] as const;
  test.each(rows)('%s', (_, now, time, expected) => {
    expect(nextTime(local(now), time, ZONE)).toBe(local(expected));
  });
});

/** A desk with wake-ups at these instants, each run once. */
function deskWith(wakes: readonly number[], clock: VirtualClock) {
  const left = [...wakes].sort((a, b) => a - b);
  const ticks: number[] = [];
  return {
    ticks,
    nextWake: () => left[0] ?? null,
    tick: async () => {
      ticks.push(clock.now());
      while ((left[0] ?? Number.POSITIVE_INFINITY) <= clock.now()) left.shift();
    },
  };
}

describe('moving the clock on', () => {
  test('it stops at each wake-up on the way, in order, and at the end', async () => {
    const clock = new VirtualClock(0);
    const desk = deskWith([700, 300, 1100], clock);
    await walkClock(desk, clock, 1000);
    expect(desk.ticks).toEqual([300, 700, 1000]);
    expect(desk.nextWake()).toBe(1100);
  });

  test('a wake-up at the very end is run', async () => {
    const clock = new VirtualClock(0);
    const desk = deskWith([1000], clock);
    await walkClock(desk, clock, 1000);
    expect(desk.nextWake()).toBeNull();
  });

  test('a wake-up that is overdue is run without turning the clock back', async () => {
    const clock = new VirtualClock(500);
    const desk = deskWith([200], clock);
    await walkClock(desk, clock, 600);
    expect(desk.ticks).toEqual([500, 600]);
  });

  test('a wake-up that cannot be kept does not stop the clock', async () => {
    const clock = new VirtualClock(0);
    const tick = () => Promise.reject(new NotTaken('disk full'));
    await walkClock({ nextWake: () => 300, tick }, clock, 1000);
    expect(clock.now()).toBe(1000);
  });

  test('a wake-up that stays due for ever is told, not waited for', async () => {
    const clock = new VirtualClock(0);
    const desk = { nextWake: () => 300, tick: async () => undefined };
    await expect(walkClock(desk, clock, 1000)).rejects.toThrow('stays due for ever');
  });
});
