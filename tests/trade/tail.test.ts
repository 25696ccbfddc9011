import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import type { SpillPoint } from '../../src/trade/spill.js';
import { tailOf } from '../../src/trade/tail.js';

const MINUTE = 60_000;
const ERROR = 10;

function read(totals: readonly (readonly [minute: number, ml: number])[]): readonly SpillPoint[] {
  return totals.map(([minute, totalMl]) => ({ atMs: minute * MINUTE, totalMl, unread: false }));
}

/** Totals of an exponential tail: `end` in the end, halving every `half` minutes. */
const spilled = (end: number, half: number, minute: number) => end * (1 - 2 ** (-minute / half));

function tailAt(points: readonly SpillPoint[]) {
  const tail = tailOf(points, ERROR);
  if (!tail.ok) throw new Error(tail.because);
  return tail;
}

describe('the end of a tail', () => {
  // Aitken's delta-squared process: three equally spaced terms of a geometric approach give its limit exactly. Textbook
  // material (Press and others, Numerical Recipes, series acceleration), from memory; worked here by hand.
  test.each<[number, number, number, number]>([
    [0, 100, 150, 200],
    [0, 64, 96, 128],
    [50, 140, 167, 50 + 90 / 0.7],
    [0, 1000, 1100, 1000 + 100 / 0.9],
  ])('%i, %i, %i ml at equal times end at %d ml, in closed form', (v0, v1, v2, end) => {
    expect(end).toBeCloseTo(v2 - (v2 - v1) ** 2 / (v2 - v1 - (v1 - v0)), 6);
    for (const gap of [0.5, 1, 3]) {
      const tail = tailAt(read([v0, v1, v2].map((ml, at) => [at * gap, ml] as const)));
      expect(tail.endMl).toBeCloseTo(end, 3);
      expect(tail.halfMinutes).toBeCloseTo((gap * Math.LN2) / Math.log((v1 - v0) / (v2 - v1)), 4);
    }
  });

  test('is found again from readings of a closed-form exponential, at whatever times', () => {
    fc.assert(
      fc.property(
        fc.double({ min: 50, max: 5000, noNaN: true }),
        fc.double({ min: 0.8, max: 6, noNaN: true }),
        fc.uniqueArray(fc.integer({ min: 1, max: 20 }), { minLength: 3, maxLength: 8 }),
        (end, half, minutes) => {
          const times = [0, ...minutes.toSorted((a, b) => a - b)];
          const points = read(times.map((minute) => [minute, spilled(end, half, minute)] as const));
          const tail = tailOf(points, ERROR);
          // Where all but the first reading lie past the fall there is nothing to tell a rate by.
          fc.pre((times[2] ?? 0) <= 4 * half);
          expect(tail.ok).toBe(true);
          if (!tail.ok) return;
          expect(Math.abs(tail.endMl - end)).toBeLessThan(0.001 * end);
          expect(Math.abs(tail.halfMinutes - half)).toBeLessThan(0.01 * half);
          expect(tail.fromMl).toBeLessThanOrEqual(tail.endMl);
          expect(tail.toMl).toBeGreaterThanOrEqual(tail.endMl);
        },
      ),
    );
  });

  test('lies within its bounds though every reading is off by what a reading can be off', () => {
    let inside = 0;
    let all = 0;
    fc.assert(
      fc.property(
        fc.array(fc.integer({ min: -ERROR, max: ERROR }), { minLength: 6, maxLength: 6 }),
        (off) => {
          const points = read(
            [0, 1, 2, 3, 5, 8].map((minute, at) => {
              const ml = spilled(400, 1.5, minute) + (off[at] ?? 0);
              return [minute, Math.max(0, ml)] as const;
            }),
          );
          const tail = tailOf(points, ERROR);
          if (!tail.ok) return;
          all += 1;
          if (tail.fromMl <= 400 + ERROR && tail.toMl >= 400 - ERROR) inside += 1;
        },
      ),
      { numRuns: 300 },
    );
    expect(all).toBeGreaterThan(200);
    expect(inside / all).toBeGreaterThan(0.95);
  });

  test('gets surer with every reading', () => {
    const width = (count: number) => {
      const minutes = [0, 1, 2, 3, 5, 8].slice(0, count);
      const { toMl, endMl } = tailAt(read(minutes.map((one) => [one, spilled(300, 1.2, one)] as const)));
      return toMl - endMl;
    };
    expect(width(4)).toBeLessThan(width(3));
    expect(width(5)).toBeLessThan(width(4));
    expect(width(6)).toBeLessThan(width(5));
  });

  test('is never less than what has run out', () => {
    const points = read([
      [0, 0],
      [1, 100],
      [2, 140],
      [3, 150],
      [5, 158],
    ]);
    expect(tailAt(points).fromMl).toBeGreaterThanOrEqual(158);
  });

  test('after a valve was plugged is told from what ran since', () => {
    const tail = tailAt(
      read([
        [0, 0],
        [1, 100],
        [2, 210],
        [3, 320],
        [4, 322],
        [8, 322],
      ]),
    );
    expect(tail.endMl).toBeLessThan(330);
  });
});

describe('no tail is told', () => {
  const unread = read([
    [0, 0],
    [1, 100],
    [2, 150],
  ]).map((point, at) => ({ ...point, unread: at === 1 }));
  test.each<[string, readonly SpillPoint[], number, string]>([
    [
      'below three readings',
      read([
        [0, 0],
        [1, 100],
      ]),
      ERROR,
      'too-few',
    ],
    [
      'from three readings at two times',
      read([
        [0, 0],
        [1, 100],
        [1, 150],
      ]),
      ERROR,
      'too-few',
    ],
    [
      'where nothing ran',
      read([
        [0, 80],
        [1, 80],
        [2, 80],
      ]),
      ERROR,
      'nothing-ran',
    ],
    [
      'where the rate rises',
      read([
        [0, 0],
        [1, 100],
        [2, 210],
      ]),
      ERROR,
      'too-few',
    ],
    [
      'where the rate rises by less than can be read',
      read([
        [0, 0],
        [1, 4],
        [2, 9],
      ]),
      ERROR,
      'not-falling',
    ],
    [
      'where it runs on and on',
      read([
        [0, 0],
        [1, 5],
        [2, 10],
        [3, 15],
      ]),
      ERROR,
      'not-falling',
    ],
    ['over a tray emptied unread', unread, ERROR, 'unread'],
    [
      'without an error of reading',
      read([
        [0, 0],
        [1, 100],
        [2, 150],
      ]),
      0,
      'bad-error',
    ],
  ])('%s', (_, points, error, because) => {
    expect(tailOf(points, error)).toMatchObject({ ok: false, because });
  });
});
