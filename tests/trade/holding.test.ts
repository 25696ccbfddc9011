import { describe, expect, test } from 'vitest';
import { judgedSpan, judgeHolding, judgeStill, spreadOf } from '../../src/trade/holding.js';

const limits = { minutes: 5, change: 20 };
const read = (readings: readonly (readonly [minute: number, value: number])[]) =>
  readings.map(([minute, value]) => ({ atMs: minute * 60_000, value }));

describe('a pressure that may change by 20 in 5 minutes', () => {
  test.each<[readonly (readonly [number, number])[], string]>([
    [[], 'early'],
    [[[0, -850]], 'early'],
    [
      [
        [0, -850],
        [4.9, -850],
      ],
      'early',
    ],
    [
      [
        [0, -850],
        [5, -830],
      ],
      'holds',
    ],
    [
      [
        [0, -850],
        [5, -829],
      ],
      'lost',
    ],
    [
      [
        [0, -850],
        [1, -820],
      ],
      'lost',
    ],
    // Pumped again in between: what was lost stays lost.
    [
      [
        [0, -850],
        [2, -820],
        [6, -850],
      ],
      'lost',
    ],
    [
      [
        [0, 150],
        [5, 171],
      ],
      'lost',
    ],
    [
      [
        [0, 150],
        [5, 129],
      ],
      'lost',
    ],
  ])('read as %j is %s', (readings, verdict) => {
    expect(judgeHolding(read(readings), limits)).toBe(verdict);
  });
});

describe('a level that may change by 20 in 5 minutes', () => {
  test.each<[readonly (readonly [number, number])[], string]>([
    [[], 'moving'],
    [[[0, 80]], 'moving'],
    [
      [
        [0, 80],
        [4, 80],
      ],
      'moving',
    ],
    [
      [
        [0, 80],
        [5, 100],
      ],
      'still',
    ],
    [
      [
        [0, 80],
        [5, 101],
      ],
      'moving',
    ],
    [
      [
        [0, 200],
        [5, 100],
        [10, 95],
      ],
      'still',
    ],
    // Up and down within the five minutes is a change.
    [
      [
        [0, 80],
        [2, 120],
        [5, 80],
      ],
      'moving',
    ],
    [
      [
        [0, 80],
        [3, 80],
        [6, 80],
      ],
      'still',
    ],
  ])('read as %j is %s', (readings, verdict) => {
    expect(judgeStill(read(readings), limits)).toBe(verdict);
  });

  test('is told by the readings it is judged by, not by how it sank before', () => {
    const sank = read([
      [0, 200],
      [5, 100],
      [10, 95],
    ]);
    expect(spreadOf(judgedSpan(sank, 5))).toBe(5);
    expect(judgedSpan(sank, 60)).toEqual(sank);
    expect(judgedSpan([], 5)).toEqual([]);
  });
});
