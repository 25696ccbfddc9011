import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { bandOf, deadReadings, HAZARD_VOLTS_DC, judgeDeadTest, judgeNil } from '../../src/trade/dead-test.js';
import { cite, rowsOf } from '../reference/rows.js';

const good = {
  readings: {
    firstProvingVolts: 510,
    plusMinusVolts: 0.3,
    plusBodyVolts: -0.1,
    minusBodyVolts: 0,
    secondProvingVolts: 508,
  },
  source: { nominalVolts: 510, toleranceFraction: 0.05 },
  pack: { nominalVolts: 386 },
  deadLimitVolts: 5,
  firstAtMs: 0,
  lastAtMs: 4 * 60_000,
};
type Names = keyof typeof good.readings;
const withReadings = (change: Partial<Record<Names, number>>) => ({
  ...good,
  readings: { ...good.readings, ...change },
});
const POLES = ['plusMinusVolts', 'plusBodyVolts', 'minusBodyVolts'] as const;
const findings = (asked: typeof good) => {
  const judged = judgeDeadTest(asked);
  return judged.ok ? judged.findings : judged;
};

describe('bands', () => {
  const band = { dead: 'nil', 'below class B': 'not-dead-yet', hazardous: 'live' } as const;
  test.each(rowsOf('hazard_limits', 'dc_reading_classification'))('$inputs.reading_V V is $value', (row) => {
    expect(bandOf(Number(row.inputs.reading_V), 5), cite(row)).toBe(band[row.value as keyof typeof band]);
  });
  test.each([...rowsOf('hazard_limits', 'hazardous_voltage_threshold_dc')])(
    '60 V DC is the hazard line: $id',
    (row) => {
      expect(HAZARD_VOLTS_DC, cite(row)).toBe(row.value);
    },
  );
  test.each(rowsOf('hazard_limits', 'post_crash_voltage_limit', 'voltage_class_B_range'))(
    'the same line: $id',
    (row) => {
      const dc = Array.isArray(row.value) ? row.value[0] : (row.value as { dc: number[] }).dc[0];
      expect(HAZARD_VOLTS_DC, cite(row)).toBe(dc);
    },
  );
  test.each([
    [5, 'nil'],
    [-5, 'nil'],
    [5.01, 'not-dead-yet'],
    [-60, 'not-dead-yet'],
    [60.01, 'live'],
    [-386, 'live'],
    [Number.NaN, 'live'],
    [Number.POSITIVE_INFINITY, 'live'],
  ])('%d V with a dead limit of 5 V is %s', (volts, expected) => {
    expect(bandOf(volts, 5)).toBe(expected);
  });
});

describe('five readings', () => {
  test('are taken in the fixed order', () => {
    expect(deadReadings([510, 1, 2, 3, 509])).toEqual({
      ok: true,
      readings: {
        firstProvingVolts: 510,
        plusMinusVolts: 1,
        plusBodyVolts: 2,
        minusBodyVolts: 3,
        secondProvingVolts: 509,
      },
    });
  });
  test.each([[[]], [[510, 0, 0, 510]], [[510, 0, 0, 0, 0, 510]]])('%j is refused, never guessed', (volts) => {
    expect(deadReadings(volts)).toMatchObject({ ok: false, because: 'not-five', value: volts.length });
  });
});

describe('prove, test, prove', () => {
  test('three near-zero readings between two good provings are dead', () => {
    const judged = judgeDeadTest(good);
    expect(judged).toMatchObject({
      ok: true,
      outcome: 'dead',
      findings: ['dead'],
      testerOut: false,
      tookMinutes: 4,
    });
    expect(judged.ok && judged.plusMinus).toEqual({ volts: 0.3, band: 'nil', maybeKilovolts: false });
  });
  test('crossed probes on the source still prove the tester', () => {
    expect(findings(withReadings({ firstProvingVolts: -510, secondProvingVolts: -510 }))).toEqual(['dead']);
  });
  test.each([484.5, 535.5])('a proving reading of %d V, on the limit of 510 V by 5 %%, proves', (volts) => {
    expect(findings(withReadings({ firstProvingVolts: volts, secondProvingVolts: volts }))).toEqual(['dead']);
  });
  test.each([484.4, 535.6, 0, 60])('a first proving of %d V leaves the tester not proved', (volts) => {
    expect(findings(withReadings({ firstProvingVolts: volts }))).toEqual(['tester-not-proved']);
  });
  test('a second proving that fails puts the tester out, though the poles were fine', () => {
    expect(judgeDeadTest(withReadings({ secondProvingVolts: 0 }))).toMatchObject({
      outcome: 'tester-failed-after',
      testerOut: true,
      plusMinus: { band: 'nil' },
    });
  });
  test.each(POLES)('%s between the dead limit and 60 V waits', (pole) => {
    expect(findings(withReadings({ [pole]: 12 }))).toEqual(['wait-and-test-again']);
  });
  test.each(POLES.flatMap((pole) => [[pole, 61] as const, [pole, -386] as const]))(
    '%s at %d V is live',
    (pole, volts) => {
      expect(findings(withReadings({ [pole]: volts }))).toEqual(['live']);
    },
  );
  test('live outranks everything, and the rest is still told', () => {
    expect(
      judgeDeadTest({
        ...withReadings({
          firstProvingVolts: 0,
          plusMinusVolts: 386,
          plusBodyVolts: 0.386,
          minusBodyVolts: 20,
          secondProvingVolts: 0,
        }),
        lastAtMs: 11 * 60_000,
      }),
    ).toMatchObject({
      outcome: 'live',
      findings: [
        'live',
        'maybe-kilovolts',
        'tester-failed-after',
        'tester-not-proved',
        'wait-and-test-again',
        'too-slow',
      ],
      testerOut: true,
    });
  });
});

describe('a meter that may show kilovolts', () => {
  test.each(POLES)('0.386 at %s of a 386 V pack never passes', (pole) => {
    expect(findings(withReadings({ [pole]: 0.386 }))).toEqual(['maybe-kilovolts']);
    expect(findings(withReadings({ [pole]: -0.386 }))).toEqual(['maybe-kilovolts']);
  });
  test.each([
    [0.347, 'dead'],
    [0.3475, 'maybe-kilovolts'],
    [0.4245, 'maybe-kilovolts'],
    [0.425, 'dead'],
  ])('%d V on a 386 V pack is %s: the suspicion reaches 10 %% either way', (volts, outcome) => {
    expect(judgeDeadTest(withReadings({ plusMinusVolts: volts }))).toMatchObject({ outcome });
  });
  test.each([0.36, 0.44])('the ends of the suspicion belong to it: %d V on a 400 V pack', (volts) => {
    const asked = { ...withReadings({ plusMinusVolts: volts }), pack: { nominalVolts: 400 } };
    expect(judgeDeadTest(asked)).toMatchObject({ outcome: 'maybe-kilovolts' });
  });
  test('with the lowest and highest pack voltage known the suspicion reaches to both', () => {
    const pack = { nominalVolts: 355, lowestVolts: 260, highestVolts: 403 };
    for (const volts of [0.24, 0.3, 0.44])
      expect(judgeDeadTest({ ...withReadings({ plusMinusVolts: volts }), pack })).toMatchObject({
        outcome: 'maybe-kilovolts',
      });
    expect(judgeDeadTest({ ...withReadings({ plusMinusVolts: 0.2 }), pack })).toMatchObject({
      outcome: 'dead',
    });
  });
  test('proving readings in kilovolts prove nothing and are called what they look like', () => {
    expect(findings(withReadings({ firstProvingVolts: 0.51, secondProvingVolts: 0.509 }))).toEqual([
      'maybe-kilovolts',
      'tester-failed-after',
      'tester-not-proved',
    ]);
  });
});

describe('one window', () => {
  test.each([
    [10, undefined, 'dead'],
    [10.01, undefined, 'too-slow'],
    [10, 5, 'too-slow'],
    [15, 20, 'dead'],
  ])('five readings in %d minutes, window %s: %s', (minutes, windowMinutes, outcome) => {
    const asked = {
      ...good,
      lastAtMs: minutes * 60_000,
      ...(windowMinutes === undefined ? {} : { windowMinutes }),
    };
    expect(judgeDeadTest(asked)).toMatchObject({ outcome });
  });
});

test('the window counts from the first reading, and five readings in one message took no time', () => {
  const startMs = 1_764_000_000_000;
  const took = (minutes: number) => ({ ...good, firstAtMs: startMs, lastAtMs: startMs + minutes * 60_000 });
  expect(judgeDeadTest(took(0))).toMatchObject({ outcome: 'dead', tookMinutes: 0 });
  expect(judgeDeadTest(took(9))).toMatchObject({ outcome: 'dead', tookMinutes: 9 });
});

describe('no reading passes that is not near zero', () => {
  test('dead means every pole is within the limit and both provings are within tolerance', () => {
    const volts = fc.oneof(
      fc.double({ min: -900, max: 900, noNaN: true }),
      fc.double({ min: -6, max: 6, noNaN: true }),
    );
    const proving = fc.oneof(volts, fc.double({ min: 480, max: 540, noNaN: true }));
    fc.assert(
      fc.property(proving, volts, volts, volts, proving, (first, a, b, c, second) => {
        const judged = judgeDeadTest(
          withReadings({
            firstProvingVolts: first,
            plusMinusVolts: a,
            plusBodyVolts: b,
            minusBodyVolts: c,
            secondProvingVolts: second,
          }),
        );
        const poles = [a, b, c].every(
          (v) => Math.abs(v) <= 5 && !(Math.abs(v) >= 0.3474 && Math.abs(v) <= 0.4246),
        );
        const proved = [first, second].every((v) => Math.abs(Math.abs(v) - 510) <= 25.5);
        expect(judged.ok && judged.outcome === 'dead').toBe(poles && proved);
      }),
      { numRuns: 20_000 },
    );
  });
});

test('a source of a quarter tolerance is still judged', () => {
  const asked = {
    ...withReadings({ secondProvingVolts: 382.5 }),
    source: { nominalVolts: 510, toleranceFraction: 0.25 },
  };
  expect(judgeDeadTest(asked)).toMatchObject({ outcome: 'dead' });
  expect(judgeDeadTest({ ...asked, readings: { ...asked.readings, firstProvingVolts: 382 } })).toMatchObject({
    outcome: 'tester-not-proved',
  });
});

describe('what cannot be judged is refused', () => {
  test.each([
    [withReadings({ plusBodyVolts: Number.NaN }), 'not-a-number'],
    [withReadings({ secondProvingVolts: Number.POSITIVE_INFINITY }), 'not-a-number'],
    [{ ...good, deadLimitVolts: 0 }, 'bad-dead-limit'],
    [{ ...good, deadLimitVolts: 60 }, 'bad-dead-limit'],
    [{ ...good, deadLimitVolts: Number.NaN }, 'bad-dead-limit'],
    [{ ...good, pack: { nominalVolts: 48 } }, 'bad-pack-volts'],
    [{ ...good, pack: { nominalVolts: 60 } }, 'bad-pack-volts'],
    [{ ...good, pack: { nominalVolts: 386, lowestVolts: Number.NaN } }, 'bad-pack-volts'],
    [{ ...good, source: { nominalVolts: 80, toleranceFraction: 0.25 } }, 'source-too-small'],
    [{ ...good, source: { nominalVolts: 510, toleranceFraction: 0 } }, 'bad-tolerance'],
    [{ ...good, source: { nominalVolts: 510, toleranceFraction: 5 } }, 'bad-tolerance'],
    [{ ...good, source: { nominalVolts: 12, toleranceFraction: 0.05 } }, 'source-too-small'],
    [{ ...good, source: { nominalVolts: 63, toleranceFraction: 0.05 } }, 'source-too-small'],
    [{ ...good, windowMinutes: 0 }, 'bad-window'],
    [{ ...good, lastAtMs: -1 }, 'bad-times'],
    [{ ...good, lastAtMs: Number.NaN }, 'bad-times'],
  ])('case %#: %s', (asked, because) => {
    expect(judgeDeadTest(asked)).toMatchObject({ ok: false, because });
  });
});

describe('a gap or socket that must be nil', () => {
  const nil = { pack: { nominalVolts: 386 }, deadLimitVolts: 5 };
  test.each([
    [0, 'nil'],
    [-4.9, 'nil'],
    [5, 'nil'],
    [5.1, 'not-dead-yet'],
    [60, 'not-dead-yet'],
    [-60.1, 'live'],
    [386, 'live'],
    [0.386, 'maybe-kilovolts'],
    [-0.39, 'maybe-kilovolts'],
  ])('%d V is %s', (volts, outcome) => {
    expect(judgeNil({ ...nil, volts })).toMatchObject({ ok: true, outcome, volts });
  });
  test('over range is not zero', () => {
    expect(judgeNil({ ...nil, volts: Number.POSITIVE_INFINITY })).toMatchObject({
      ok: false,
      because: 'not-a-number',
    });
  });
});
