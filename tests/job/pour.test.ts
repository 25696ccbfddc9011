import { describe, expect, test } from 'vitest';
import type { Flow, Step } from '../../src/flow/flow.js';
import { judgeStep } from '../../src/job/calculation.js';
import type { Event, Reading } from '../../src/job/event.js';
import { emptyJob, evolve } from '../../src/job/evolve.js';
import type { Job } from '../../src/job/job.js';

/** A night's tray, a fill and what was added, told one after the other, each at a step of its own name. */
type Told = readonly [name: string, ml: number | '>0', how?: 'open' | 'correct'];

const WHO = { by: 'mara', name: 'Mara Tillet' } as const;

function jobAfter(told: readonly Told[]): Job {
  let job: Job = {
    ...emptyJob('J'),
    values: {
      'shop.coolant-tolerance': {
        quantity: { value: 150, unit: 'ml' },
        text: null,
        reference: 'test sheet',
        enteredBy: 'test',
      },
    },
  };
  told.forEach(([name, ml, how], at) => {
    const reading: Reading = {
      quantity: { value: ml === '>0' ? 0 : ml, unit: 'ml' },
      assumedUnit: false,
      bound: ml === '>0' ? 'at-least' : null,
      at,
    };
    const step = `${name}-step`;
    const corrected: Event[] =
      how === 'correct'
        ? [
            {
              type: 'steps-reopened',
              steps: [step],
              fact: null,
              because: 'correction',
              forStep: step,
              detour: null,
              at,
            },
          ]
        : [];
    const events: Event[] = [
      ...corrected,
      {
        type: 'step-shown',
        step,
        front: step,
        visit: at,
        at,
        word: null,
        why: 'next',
        plan: null,
        changes: [],
      },
      {
        type: 'answered',
        step,
        visit: at,
        ask: 0,
        answer: { ask: 'reading', name, reading },
        saidFor: null,
        ...WHO,
        at,
      },
    ];
    if (how !== 'open') {
      events.push({
        type: 'step-completed',
        step,
        visit: at,
        shownAt: at,
        gate: null,
        gear: [],
        choice: null,
        ...WHO,
        at,
        changes: [],
      });
    }
    job = events.reduce((before, event) => evolve(before, event), job);
  });
  return job;
}

const STEP = { judge: 'coolant-balance', outOfLimits: 'hold' } as unknown as Step;
const FLOW = {} as unknown as Flow;

/** In minus out, ml; the code where there is no balance. */
function difference(...told: readonly Told[]): number | string | undefined {
  const found = judgeStep(jobAfter(told), FLOW, STEP);
  const figure = found?.figures.find((one) => one.name === 'coolant-difference');
  return figure?.quantity.value ?? found?.because;
}

describe('coolant of many visits', () => {
  test.each<[string, readonly Told[], number | string]>([
    [
      'a second night does not take the place of the first',
      [
        ['coolant-out', 100],
        ['tray-night', 200],
        ['tray-night', 50],
        ['coolant-in', 350],
      ],
      0,
    ],
    [
      'a second fill adds to the first',
      [
        ['coolant-out', 500],
        ['coolant-in', 400],
        ['coolant-in', 120],
      ],
      20,
    ],
    [
      'a tray emptied unread in one of the nights refuses the balance',
      [
        ['coolant-out', 100],
        ['tray-night', '>0'],
        ['tray-night', 50],
        ['coolant-in', 150],
      ],
      'tray-not-read',
    ],
    [
      'a fill of which only a bound is known refuses it too',
      [
        ['coolant-out', 100],
        ['coolant-in', '>0'],
      ],
      'fill-not-noted',
    ],
    [
      'a corrected night counts once, as corrected',
      [
        ['coolant-out', 100],
        ['tray-night', 20],
        ['tray-night', 900],
        ['tray-night', 90, 'correct'],
        ['coolant-in', 210],
      ],
      0,
    ],
    [
      'what was told in a step that is still open is replaced there, not added',
      [
        ['coolant-out', 500],
        ['coolant-in', 400],
        ['coolant-added', 20, 'open'],
        ['coolant-added', 100, 'open'],
      ],
      0,
    ],
    [
      'what was added since the fill is told with all of it, also after its step was closed',
      [
        ['coolant-out', 500],
        ['coolant-in', 400],
        ['coolant-added', 20],
        ['coolant-added', 100],
      ],
      0,
    ],
    [
      'what was added to the fill before the last one stays in the sum',
      [
        ['coolant-out', 500],
        ['coolant-in', 300],
        ['coolant-added', 20],
        ['coolant-in', 80],
        ['coolant-added', 100],
      ],
      0,
    ],
  ])('%s', (_, told, comesTo) => {
    expect(difference(...told)).toBe(comesTo);
  });
});

describe('a balance that the foreman left as not known', () => {
  const told: readonly Told[] = [
    ['coolant-out', 100],
    ['tray-night', '>0'],
    ['coolant-in', 300],
  ];
  const left = (inMl: number, ...more: readonly Told[]) => {
    const job = jobAfter([...told, ...more]);
    return judgeStep({ ...job, balanceLeft: { reason: 'unread', by: 'orla', inMl } }, FLOW, STEP);
  };

  test('goes on as not known, never as balanced', () => {
    expect(left(300)).toMatchObject({ verdict: 'passed', because: 'balance-not-known' });
  });

  test('covers no coolant that went in after it, beyond the tolerance', () => {
    expect(left(300, ['coolant-added', 150])).toMatchObject({ because: 'balance-not-known' });
    expect(left(300, ['coolant-added', 151])).toMatchObject({ verdict: 'hold', because: 'tray-not-read' });
  });
});
