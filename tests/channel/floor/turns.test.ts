import { describe, expect, test } from 'vitest';
import { openTurns } from '../../../src/channel/floor/turns.js';

describe('work that takes turns', () => {
  /** Work that ends when it is told to. */
  const works = () => {
    const ends: (() => void)[] = [];
    let most = 0;
    let now = 0;
    const work = async () => {
      most = Math.max(most, ++now);
      await new Promise<void>((resolve) => ends.push(resolve));
      now--;
      return 'done';
    };
    return { work, ends, most: () => most };
  };
  const settle = () => new Promise((resolve) => setImmediate(resolve));

  test('is never more at once than there are places, and each is done', async () => {
    const { work, ends, most } = works();
    const turns = openTurns(2, 10);
    const all = Array.from({ length: 7 }, () => turns.take(work));
    for (let at = 0; at < 7; at++) {
      await settle();
      ends[at]?.();
    }
    expect(await Promise.all(all)).toEqual(Array(7).fill('done'));
    expect(most()).toBe(2);
  });

  test('is sent away when the line is full, and taken again when it is not', async () => {
    const { work, ends } = works();
    const turns = openTurns(1, 1);
    const first = turns.take(work);
    const second = turns.take(work);
    expect(await turns.take(work)).toBeNull();
    ends[0]?.();
    await first;
    await settle();
    ends[1]?.();
    expect(await second).toBe('done');
    const again = turns.take(work);
    await settle();
    ends[2]?.();
    expect(await again).toBe('done');
  });

  test('that fails gives its place free', async () => {
    const turns = openTurns(1, 0);
    await expect(turns.take(() => Promise.reject(new Error('no')))).rejects.toThrow('no');
    expect(await turns.take(async () => 1)).toBe(1);
  });
});
