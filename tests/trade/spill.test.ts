import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { judgeSpill, SPILL_LIMITS, spillOf, type TrayReading } from '../../src/trade/spill.js';

const MINUTE = 60_000;

/** `['0', '100', '+30', 'out 150', 'out ?', 'dry']`, one a minute unless it says `@3`. */
function tray(...said: readonly string[]): readonly TrayReading[] {
  return said.map((text, at) => {
    const [what = '', minute] = text.split('@');
    const atMs = (minute === undefined ? at : Number(minute)) * MINUTE;
    const word = what.trim();
    if (word === 'dry') return { is: 'nothing-more', atMs };
    if (word === 'out ?') return { is: 'emptied', atMs, ml: null };
    if (word.startsWith('out ')) return { is: 'emptied', atMs, ml: Number(word.slice(4)) };
    if (word.startsWith('+')) return { is: 'added', atMs, ml: Number(word.slice(1)) };
    return { is: 'stands', atMs, ml: Number(word) };
  });
}

function points(...said: readonly string[]) {
  const spill = spillOf(tray(...said));
  if (!spill.ok) throw new Error(spill.because);
  return spill.points;
}

describe('what ran out', () => {
  test.each<[readonly string[], number, number]>([
    [['120'], 120, 120],
    [['120', '+30'], 150, 150],
    [['120', 'out 200', '30'], 230, 30],
    [['out 200', 'out 200', 'dry'], 400, 0],
    [['100', 'dry', '110'], 110, 110],
    [['dry'], 0, 0],
    [['100', 'out ?', '5'], 105, 5],
  ])('of %j is %i ml in all, %i ml of it in the tray', (said, totalMl, standsMl) => {
    expect(spillOf(tray(...said))).toMatchObject({ ok: true, totalMl, standsMl });
  });

  test('a tray emptied unread is told, and counts with what was last read', () => {
    expect(spillOf(tray('100', 'out ?', 'out ?', '5'))).toMatchObject({ unread: 2, totalMl: 105 });
    expect(spillOf(tray('100', 'out 120', '5'))).toMatchObject({ unread: 0 });
  });

  test.each<[readonly string[], string, number]>([
    [['200', '150'], 'went-down', 200],
    [['200', 'out 150'], 'went-down', 200],
    [['200', '0'], 'went-down', 200],
    [['-5'], 'not-a-volume', 0],
    [['10', '+-5'], 'not-a-volume', 0],
    [['NaN'], 'not-a-volume', 0],
    [['100@5', '120@4'], 'out-of-order', 5 * MINUTE],
  ])('%j is refused as %s', (said, because, limit) => {
    expect(spillOf(tray(...said))).toMatchObject({ ok: false, because, limit });
  });

  test('the same spill comes to the same total wherever the tray is emptied', () => {
    const rises = fc.array(fc.integer({ min: 0, max: 500 }), { minLength: 1, maxLength: 12 });
    fc.assert(
      fc.property(rises, fc.array(fc.boolean(), { minLength: 12, maxLength: 12 }), (came, emptied) => {
        let [inTray, total] = [0, 0];
        const readings: TrayReading[] = [];
        const whole: TrayReading[] = [];
        came.forEach((ml, at) => {
          inTray += ml;
          total += ml;
          const atMs = at * MINUTE;
          readings.push({ is: emptied[at] ? 'emptied' : 'stands', atMs, ml: inTray });
          whole.push({ is: 'stands', atMs, ml: total });
          if (emptied[at]) inTray = 0;
        });
        const [split, one] = [spillOf(readings), spillOf(whole)];
        expect(split).toMatchObject({ ok: true, totalMl: total, standsMl: inTray });
        if (split.ok && one.ok) expect(split.points).toEqual(one.points);
        if (split.ok && one.ok)
          expect(judgeSpill(split.points, SPILL_LIMITS)).toBe(judgeSpill(one.points, SPILL_LIMITS));
      }),
    );
  });

  test('added readings come to the same as readings of where it stands', () => {
    fc.assert(
      fc.property(fc.array(fc.integer({ min: 0, max: 500 }), { minLength: 1 }), (came) => {
        let total = 0;
        const stands = came.map((ml, at): TrayReading => {
          total += ml;
          return { is: 'stands', atMs: at, ml: total };
        });
        const added = came.map((ml, at): TrayReading => ({ is: 'added', atMs: at, ml }));
        expect(spillOf(added)).toEqual(spillOf(stands));
      }),
    );
  });
});

describe('a spill, less than 2 ml/min over 5 minutes being none', () => {
  test.each<[readonly string[], string]>([
    [[], 'running'],
    [['0'], 'running'],
    [['100'], 'running'],
    [['100@0', '100@4.9'], 'running'],
    [['100@0', '100@5'], 'settled'],
    [['100@0', '109@5'], 'settled'],
    [['100@0', '110@5'], 'running'],
    // Short readings add up to the five minutes; a drop at the end starts them anew.
    [['100@0', '101@2', '102@4', '103@5'], 'settled'],
    [['100@0', '101@2', '101@4', '105@5'], 'running'],
    [['100@0', '100@5', '120@6', '120@8'], 'running'],
    // Running now, whatever the five minutes before were like.
    [['0@0', '0@9', '9@10'], 'running'],
    // Nobody knows what came before a tray was emptied unread.
    [['100@0', 'out ?@5'], 'running'],
    [['100@0', 'out ?@5', 'dry@9'], 'running'],
    [['100@0', 'out ?@5', 'dry@10'], 'settled'],
  ])('%j is %s', (said, verdict) => {
    expect(judgeSpill(points(...said), SPILL_LIMITS)).toBe(verdict);
  });

  test.each<[readonly string[], string]>([
    [['0', '100', '150'], 'running'],
    [['0', '100', '200'], 'not-falling'],
    [['0', '100', '210'], 'not-falling'],
    [['0', '100', 'out 150', '60'], 'not-falling'],
    // Within what a reading can be off: no alarm.
    [['0', '3', '8'], 'running'],
    [['0@0', '30@1', '60@1.5'], 'not-falling'],
    // So slowly falling that it does not die away.
    [['0', '100', '199', '297'], 'not-falling'],
    [['0', '100', '190', '271'], 'running'],
  ])('that came to %j is %s', (said, verdict) => {
    expect(judgeSpill(points(...said), SPILL_LIMITS)).toBe(verdict);
  });

  test('a steady leak is never settled, and told as not falling from the third reading on', () => {
    fc.assert(
      fc.property(
        fc.integer({ min: 20, max: 3000 }),
        fc.array(fc.integer({ min: 1, max: 10 }), { minLength: 3, maxLength: 12 }),
        (mlPerMin, gaps) => {
          let minute = 0;
          const readings = gaps.map((gap) => {
            minute += gap;
            return { is: 'stands' as const, atMs: minute * MINUTE, ml: mlPerMin * minute };
          });
          const spill = spillOf(readings);
          expect(spill.ok && judgeSpill(spill.points, SPILL_LIMITS)).toBe('not-falling');
        },
      ),
    );
  });
});
