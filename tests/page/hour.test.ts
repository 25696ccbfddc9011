import { describe, expect, test } from 'vitest';
import { printAge, printInstant, printNear, printSpan } from '../../src/channel/floor/page/hour.js';

const ZONE = 'Europe/Dublin';
const SUMMER = Date.UTC(2026, 6, 1, 8, 5);

describe('the clock on the page', () => {
  test.each([
    ['time', '09:05'],
    ['day-time', 'Wed 1 Jul 09:05'],
    ['date', '2026-07-01'],
  ] as const)('an instant as %s reads %s in the workshop, wherever the phone is', (as, text) => {
    expect(printInstant(SUMMER, as, ZONE)).toBe(text);
  });

  test('midnight is 00:00, not 24:00', () => {
    expect(printInstant(Date.UTC(2026, 0, 1), 'time', ZONE)).toBe('00:00');
  });

  test('an instant further than 8 hours away is said with its day', () => {
    expect(printNear(SUMMER, SUMMER - 9 * 3_600_000, ZONE)).toBe('Wed 1 Jul 09:05');
    expect(printNear(SUMMER, SUMMER - 7 * 3_600_000, ZONE)).toBe('09:05');
  });

  test.each([
    [0, '0:00'],
    [-5_000, '0:00'],
    [59_999, '0:59'],
    [247_000, '4:07'],
    [3_600_000, '1 h 0 min'],
    [61_680_000, '17 h 8 min'],
    [183_600_000, '2 d 3 h'],
  ])('%i ms left read %s', (ms, text) => {
    expect(printSpan(ms)).toBe(text);
  });

  test.each([
    [20_000, 'just now'],
    [720_000, '12 min'],
    [11_100_000, '3 h 5 min'],
  ])('%i ms gone read %s', (ms, text) => {
    expect(printAge(ms)).toBe(text);
  });
});
