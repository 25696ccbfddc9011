import { describe, expect, test } from 'vitest';
import type { Event, Figure, Verdict } from '../../src/job/event.js';
import { verdictText } from '../../src/talk/verdict.js';

const judged = (
  verdict: Verdict,
  because: string,
  figures: readonly Figure[],
): Event & { readonly type: 'judged' } => ({ type: 'judged', step: 's', verdict, because, figures, at: 0 });

const pcs = (value: number) => ({ value, unit: 'pcs' }) as const;
const volts = (value: number) => ({ value, unit: 'V' }) as const;
const torque = (value: number) => ({ value, unit: 'N·m' }) as const;

describe('a judgement in words', () => {
  test.each<[string, Event & { readonly type: 'judged' }, string]>([
    [
      'a count that is as before says so',
      judged('passed', 'in-limits', [
        { name: 'tools-out', quantity: pcs(12), min: pcs(12), max: pcs(12), rule: 'same-count' },
      ]),
      'As counted before.',
    ],
    [
      'a count that differs says what was counted before',
      judged('again', 'count-differs', [
        { name: 'tools-out', quantity: pcs(11), min: pcs(12), max: pcs(12), rule: 'same-count' },
      ]),
      'Not taken: the counts differ. Find what is missing, then count again. Tools out 11, 12 counted before.',
    ],
    [
      'limits that leave one value are no range',
      judged('hold', 'too-low', [{ name: 'bolts', quantity: pcs(9), min: pcs(10), max: pcs(10) }]),
      'Out of limits: too low. Bolts 9, 10 asked.',
    ],
    [
      'a reading in limits says the limit, not the reading again',
      judged('passed', 'in-limits', [{ name: 'gap', quantity: volts(0.3), max: volts(5) }]),
      'In limits: at most 5 V.',
    ],
    [
      'values that share their limits share the words',
      judged('passed', 'in-limits', [
        { name: 'joint-1', quantity: torque(9), min: torque(8.1), max: torque(9.9), rule: 'maker' },
        { name: 'joint-2', quantity: torque(9.1), min: torque(8.1), max: torque(9.9), rule: 'maker' },
      ]),
      'In limits: 8.1 to 9.9 N·m.',
    ],
    [
      'a figure that was worked out is named, since nobody has heard it yet',
      judged('passed', 'in-limits', [
        {
          name: 'compensated-drop',
          quantity: { value: 0.1, unit: 'mbar' },
          max: { value: 2, unit: 'mbar' },
          rule: 'gas-law',
        },
      ]),
      'In limits: compensated drop 0.1 mbar, at most 2 mbar.',
    ],
    [
      'out of limits names the value that is, of many',
      judged('hold', 'too-high', [
        { name: 'joint-1', quantity: torque(9), min: torque(8), max: torque(10) },
        { name: 'joint-2', quantity: torque(11), min: torque(8), max: torque(10) },
        { name: 'joint-3', quantity: torque(9), min: torque(8), max: torque(10) },
      ]),
      'Out of limits: too high. Joint 2 11 N·m, 8 to 10 N·m.',
    ],
    [
      'a negative reading is judged by its size',
      judged('stop', 'live', [{ name: 'plus-minus', quantity: volts(-386), max: volts(5) }]),
      'STOP: more than 60 V: live. Hands off, step back. Plus minus -386 V, at most 5 V.',
    ],
    [
      'a first proving that fails says which to look at',
      judged('again', 'tester-not-proved', []),
      'Not taken: first proving failed: tester or source not right. Prove it, then all five again.',
    ],
    ['a code without words is read out', judged('again', 'some-new-code', []), 'Not taken: some new code.'],
  ])('%s', (_claim, event, text) => {
    expect(verdictText(event)).toBe(text);
  });
});
