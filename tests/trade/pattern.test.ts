import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import {
  centreOutOrder,
  crossOrder,
  type Ordered,
  orderOf,
  PATTERNS,
  passesOf,
  spiralOrder,
} from '../../src/trade/pattern.js';
import rows from '../reference/torque.json' with { type: 'json' };

const crosses = rows.filter((row) => row.quantity === 'circular_cross_sequence');
const cover = rows.find((row) => row.id === 'TRQ-081');
const count = rows.find((row) => row.id === 'TRQ-082');
const orderIn = (found: Ordered) => (found.ok ? [...found.order] : found);
const upTo = (bolts: number) => Array.from({ length: bolts }, (_, i) => i + 1);
const sorted = (found: Ordered) => (found.ok ? [...found.order].sort((a, b) => a - b) : found);
const bolts = fc.integer({ min: 1, max: 200 });

test('the reference was read: four crosses, one cover, one count', () => {
  expect([crosses.length, cover?.id, count?.id]).toEqual([4, 'TRQ-081', 'TRQ-082']);
});

describe('cross', () => {
  test.each(crosses)('$id: $inputs.bolts bolts go $value ($source; $basis)', (row) => {
    expect(orderIn(crossOrder(Number((row.inputs as { bolts: number }).bolts)))).toEqual(row.value);
  });

  test.each([
    [1, [1]],
    [2, [1, 2]],
    [3, [1, 2, 3]],
    [5, [1, 3, 5, 2, 4]],
    [6, [1, 4, 2, 5, 3, 6]],
    [7, [1, 4, 7, 3, 6, 2, 5]],
    [10, [1, 6, 3, 8, 5, 10, 2, 7, 4, 9]],
  ])('%d bolts go %j', (n, order) => {
    expect(orderIn(crossOrder(n))).toEqual(order);
  });

  test('on an even ring every second bolt is the one opposite', () => {
    for (const n of upTo(100).map((half) => 2 * half)) {
      const order = orderIn(crossOrder(n)) as number[];
      order.forEach((bolt, i) => {
        if (i % 2 === 1) expect(bolt).toBe((order[i - 1] ?? 0) + n / 2);
      });
    }
  });

  test('from five bolts on, no two neighbours follow each other', () => {
    for (const n of upTo(200).filter((some) => some >= 5)) {
      const order = orderIn(crossOrder(n)) as number[];
      for (const [i, bolt] of order.slice(1).entries()) {
        const gap = Math.abs(bolt - (order[i] ?? 0));
        expect(Math.min(gap, n - gap)).toBeGreaterThan(1);
      }
    }
  });
});

describe('spiral', () => {
  test.each([
    [3, 3, [5, 1, 2, 3, 6, 9, 8, 7, 4]],
    [4, 2, [2, 3, 7, 6, 1, 4, 8, 5]],
    [5, 1, [3, 2, 4, 1, 5]],
    [1, 1, [1]],
    [5, 2, [3, 8, 2, 4, 9, 7, 1, 5, 10, 6]],
  ])('%d columns of %d go %j', (columns, down, order) => {
    expect(orderIn(spiralOrder(columns, down))).toEqual(order);
  });

  test('it never comes back towards the middle', () => {
    const side = fc.integer({ min: 1, max: 14 });
    fc.assert(
      fc.property(side, side, (columns, down) => {
        const rings = (orderIn(spiralOrder(columns, down)) as number[]).map((bolt) => {
          const [x, y] = [(bolt - 1) % columns, Math.floor((bolt - 1) / columns)];
          return Math.max(Math.abs(2 * x - columns + 1), Math.abs(2 * y - down + 1));
        });
        expect(rings).toEqual([...rings].sort((a, b) => a - b));
      }),
    );
  });
});

describe('a cover with bolts anywhere', () => {
  test('TRQ-081: a ten-bolt cover goes centre out, each bolt followed by its opposite (a design rule; computed)', () => {
    const { bolts_mm: at } = (cover?.inputs ?? {}) as { bolts_mm: Record<string, [number, number]> };
    const names = Object.keys(at);
    const found = centreOutOrder(Object.values(at).map(([xMm, yMm]) => ({ xMm, yMm })));
    expect(found.ok && found.order.map((bolt) => names[bolt - 1])).toEqual(cover?.value);
  });

  test('where the drawing has its origin makes no difference', () => {
    const ring = upTo(8).map((i) => ({ xMm: 100 * Math.cos(i), yMm: 60 * Math.sin(i) }));
    const moved = ring.map(({ xMm, yMm }) => ({ xMm: xMm + 1000, yMm: yMm - 500 }));
    expect(centreOutOrder(moved)).toEqual(centreOutOrder(ring));
  });

  test('a lopsided cover misses no bolt and takes none twice', () => {
    const place = fc.integer({ min: -500, max: 500 });
    fc.assert(
      fc.property(fc.array(fc.record({ xMm: place, yMm: place }), { minLength: 1, maxLength: 60 }), (at) => {
        expect(sorted(centreOutOrder(at))).toEqual(upTo(at.length));
        expect(centreOutOrder(at)).toEqual(centreOutOrder([...at]));
      }),
    );
  });
});

describe('any pattern', () => {
  test('every order holds each bolt exactly once and is the same each time', () => {
    fc.assert(
      fc.property(fc.constantFrom(...PATTERNS), bolts, (pattern, n) => {
        expect(sorted(orderOf(pattern, n))).toEqual(upTo(n));
        expect(orderOf(pattern, n)).toEqual(orderOf(pattern, n));
      }),
    );
  });

  test('a spiral of ten lies in two rows of five, one of nine in a single row', () => {
    expect(orderOf('spiral', 10)).toEqual(spiralOrder(5, 2));
    expect(orderOf('spiral', 9)).toEqual(spiralOrder(9, 1));
  });

  test('TRQ-082: ten bolts, three stages and a last round are 40 confirmations (computed)', () => {
    const found = passesOf(orderIn(crossOrder(10)) as number[], 3, 1);
    if (!found.ok) throw new Error(found.because);
    expect(found.passes.flat().length).toBe(count?.value);
    expect(found.passes[3]).toEqual(upTo(10));
    expect(found.passes[0]).toEqual(orderIn(crossOrder(10)));
    for (const pass of found.passes) expect([...pass].sort((a, b) => a - b)).toEqual(upTo(10));
  });

  test.each([0, -1, 2.5, 201, Number.NaN])('%d bolts are refused', (n) => {
    for (const pattern of PATTERNS)
      expect(orderOf(pattern, n)).toMatchObject({ ok: false, because: 'bad-count' });
    expect(crossOrder(n)).toMatchObject({ ok: false, because: 'bad-count' });
    expect(spiralOrder(n, 1)).toMatchObject({ ok: false, because: 'bad-count' });
  });

  test('a grid of more than 200, an empty cover, a bolt without place, no stage: all refused', () => {
    expect(spiralOrder(20, 20)).toMatchObject({
      because: 'bad-count',
      what: 'bolts',
      value: 400,
      limit: 200,
    });
    expect(centreOutOrder([])).toMatchObject({ because: 'bad-count' });
    expect(centreOutOrder([{ xMm: 0, yMm: Number.NaN }])).toMatchObject({
      because: 'bad-position',
      value: 1,
    });
    expect(passesOf([1], 0, 1)).toMatchObject({ because: 'bad-count', what: 'stages' });
    expect(passesOf([1], 1, -1)).toMatchObject({ because: 'bad-count', what: 'rounds' });
  });
});
