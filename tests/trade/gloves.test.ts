import { describe, expect, test } from 'vitest';
import {
  GLOVE_CLASSES,
  GLOVE_SHELF_MONTHS,
  GLOVE_TABLE,
  GLOVE_TEST_MONTHS,
  type GloveClass,
  type GlovePair,
  gloveClassFor,
  glovesThatWouldDo,
  judgeGloves,
} from '../../src/trade/gloves.js';
import { cite, input, type Row, rowsOf } from '../reference/rows.js';

const figures = (row: Row) => GLOVE_TABLE[row.inputs.class as GloveClass];

describe('the class tables', () => {
  test.each(rowsOf('gloves', 'max_use_voltage_ac'))('class $inputs.class: up to $value V AC ($id)', (row) => {
    expect(figures(row).maxUseVoltsAc, cite(row)).toBe(row.value);
  });
  test.each(rowsOf('gloves', 'max_use_voltage_dc'))('class $inputs.class: up to $value V DC ($id)', (row) => {
    expect(figures(row).maxUseVoltsDc, cite(row)).toBe(row.value);
  });
  test.each(rowsOf('gloves', 'proof_test_voltage_ac'))(
    'class $inputs.class: proved at $value V AC ($id)',
    (row) => {
      expect(figures(row).proofVoltsAc, cite(row)).toBe(row.value);
    },
  );
  test.each(rowsOf('gloves', 'retest_voltage'))(
    'class $inputs.class: retested at the proof voltage ($id)',
    (row) => {
      expect(figures(row).proofVoltsAc, cite(row)).toBe((row.value as number[])[0]);
    },
  );
  test.each(rowsOf('gloves', 'iec_in_service_rule'))(
    'class $inputs.class: ours is the strictest of $value months in the other standard ($id, $basis)',
    (row) => {
      expect(GLOVE_TEST_MONTHS, cite(row)).toBe(Math.min(...[row.value as number | number[]].flat()));
    },
  );
  test.each(rowsOf('gloves', 'label_colour'))('class $inputs.class: $value label ($id)', (row) => {
    expect(figures(row).label, cite(row)).toBe(row.value);
  });
  test.each(
    rowsOf(
      'gloves',
      'electrical_test_interval_gloves',
      'shelf_rule_tested_not_issued',
      'iec_in_service_rule',
    ),
  )('six months in use, twelve on the shelf ($id)', (row) => {
    const [use, shelf] = [GLOVE_TEST_MONTHS, GLOVE_SHELF_MONTHS];
    const expected = Array.isArray(row.value) ? [use, shelf] : row.quantity.startsWith('shelf') ? shelf : use;
    expect(row.value, cite(row)).toEqual(expected);
  });
});

describe('which class a voltage needs', () => {
  test.each(rowsOf('gloves', 'min_class_for_dc_working_voltage'))(
    '$inputs.dc_V V DC: class $value by the table ($id)',
    (row) => {
      const found = gloveClassFor({ workingVolts: input(row, 'dc_V'), current: 'dc', floor: '00' });
      expect(found, cite(row)).toEqual({ ok: true, gloveClass: row.value, byTable: row.value });
    },
  );
  test('the shop floor is class 0 though the table would allow 00', () => {
    expect(gloveClassFor({ workingVolts: 400, current: 'dc' })).toEqual({
      ok: true,
      gloveClass: '0',
      byTable: '00',
    });
  });
  test('the floor never lowers a class', () => {
    expect(gloveClassFor({ workingVolts: 1501, current: 'dc' })).toMatchObject({ gloveClass: '1' });
  });
  test('alternating voltage has its own column', () => {
    expect(gloveClassFor({ workingVolts: 1000, current: 'ac' })).toMatchObject({ gloveClass: '0' });
    expect(gloveClassFor({ workingVolts: 1000.1, current: 'ac' })).toMatchObject({ gloveClass: '1' });
  });
  test.each([
    [0, 'not-a-voltage'],
    [-400, 'not-a-voltage'],
    [Number.NaN, 'not-a-voltage'],
    [54_001, 'above-all-classes'],
  ])('%d V DC is refused as %s', (workingVolts, because) => {
    expect(gloveClassFor({ workingVolts, current: 'dc' })).toMatchObject({ ok: false, because });
  });
});

const pair = (change: Partial<GlovePair> = {}): GlovePair => ({
  id: 'G1',
  gloveClass: '0',
  testedOn: '2025-09-15',
  issuedOn: '2025-09-20',
  ...change,
});
const need = (on: string, countFrom: 'test' | 'issue' = 'test') =>
  ({ gloveClass: '0', on, countFrom }) as const;
const reasons = (judged: ReturnType<typeof judgeGloves>) => judged.reasons.map((reason) => reason.because);

describe('may this pair be used today', () => {
  test.each(rowsOf('gloves', 'next_test_due_in_service'))(
    'last test or issue $inputs.last_test_or_issue: due $value ($id)',
    (row) => {
      const day = String(row.inputs.last_test_or_issue);
      const byTest = judgeGloves(pair({ testedOn: day, issuedOn: day }), need(day), 'passed');
      expect(byTest, cite(row)).toMatchObject({ usable: true, dueOn: row.value });
      expect(judgeGloves(pair({ testedOn: day, issuedOn: day }), need(day, 'issue'), 'passed').dueOn).toBe(
        row.value,
      );
    },
  );
  test.each([
    ['2026-03-14', true],
    ['2026-03-15', false],
    ['2026-03-16', false],
  ])('tested 15 September: usable on %s is %s, so the due day itself is refused', (on, usable) => {
    expect(judgeGloves(pair(), need(on), 'passed').usable).toBe(usable);
  });
  test.each(rowsOf('gloves', 'last_day_to_issue_from_shelf'))(
    'tested $inputs.tested: the shelf time ends on $value, that day refused ($id)',
    (row) => {
      const [tested, end] = [String(row.inputs.tested), String(row.value)];
      const before = end.replace('-28', '-27');
      const shelved = pair({ testedOn: tested, issuedOn: null });
      expect(judgeGloves(shelved, need(before, 'issue'), 'passed').usable, cite(row)).toBe(true);
      expect(judgeGloves(shelved, need(end, 'issue'), 'passed').reasons).toEqual([
        { because: 'issued-too-late', issuedOn: end, shelfEndedOn: end },
      ]);
    },
  );
  test('issued within twelve months of its test, a pair has six months from issue only where the shop counts so', () => {
    const late = pair({ testedOn: '2025-01-10', issuedOn: '2025-10-01' });
    expect(judgeGloves(late, need('2025-11-25', 'issue'), 'passed')).toMatchObject({
      usable: true,
      dueOn: '2026-04-01',
    });
    expect(judgeGloves(late, need('2025-11-25'), 'passed').reasons).toEqual([
      { because: 'test-out-of-date', dueOn: '2025-07-10', daysOver: 138 },
    ]);
  });
  test('a test of a pair already in service starts its six months anew', () => {
    const again = pair({ testedOn: '2025-10-01', issuedOn: '2024-01-01' });
    expect(judgeGloves(again, need('2026-03-31', 'issue'), 'passed')).toMatchObject({
      usable: true,
      dueOn: '2026-04-01',
    });
  });
  test('every reason is told, not only the first', () => {
    const bad = pair({
      gloveClass: '00',
      testedOn: '2025-01-15',
      issuedOn: null,
      testVoltsAc: 2000,
      retest: 'suspect',
    });
    expect(reasons(judgeGloves(bad, need('2026-03-15'), 'not-done'))).toEqual([
      'class-too-low',
      'test-out-of-date',
      'issued-too-late',
      'tested-too-low',
      'retest-owed',
      'air-test-not-done',
    ]);
  });
  test.each([
    [{}, 'not-done', 'air-test-not-done'],
    [{}, 'failed', 'air-test-failed'],
    [{ gloveClass: '00' }, 'passed', 'class-too-low'],
    [{ testedOn: null }, 'passed', 'no-test-on-record'],
    [{ testedOn: '2025-11-26' }, 'passed', 'tested-after-today'],
    [{ issuedOn: '2025-11-26' }, 'passed', 'issued-after-today'],
    [{ testedOn: '2025-11-31' }, 'passed', 'bad-date'],
    [{ issuedOn: 'May' }, 'passed', 'bad-date'],
    [{ testVoltsAc: 4999 }, 'passed', 'tested-too-low'],
    [{ retest: 'used-without-leather' }, 'passed', 'retest-owed'],
  ] as const)('%o with the air test %s is refused as %s alone', (change, airTest, because) => {
    const judged = judgeGloves(pair(change), need('2025-11-25'), airTest);
    expect(judged.usable).toBe(false);
    expect(reasons(judged)).toEqual([because]);
  });
  test('a day of use that does not exist is refused', () => {
    expect(reasons(judgeGloves(pair(), need('2025-11-31'), 'passed'))).toEqual(['bad-date']);
  });
  test('tested at exactly the proof voltage is tested enough', () => {
    expect(judgeGloves(pair({ testVoltsAc: 5000 }), need('2025-11-25'), 'passed').usable).toBe(true);
  });
  test('a class above the needed one may be used', () => {
    for (const gloveClass of GLOVE_CLASSES.filter((one) => one !== '00'))
      expect(judgeGloves(pair({ gloveClass }), need('2025-11-25'), 'passed').usable, gloveClass).toBe(true);
  });
});

describe('which pairs would do instead', () => {
  test('the lowest sufficient class comes first, then the longest in date; the unfit are left out', () => {
    const pairs = [
      pair({ id: 'too-low', gloveClass: '00' }),
      pair({ id: 'thick', gloveClass: '1', testedOn: '2025-11-01' }),
      pair({ id: 'b-older' }),
      pair({ id: 'a-older' }),
      pair({ id: 'newer', testedOn: '2025-10-15' }),
      pair({ id: 'expired', testedOn: '2025-01-15' }),
      pair({ id: 'suspect', retest: 'suspect' }),
    ];
    const fit = glovesThatWouldDo(pairs, need('2025-11-25')).map((one) => one.id);
    expect(fit).toEqual(['newer', 'a-older', 'b-older', 'thick']);
  });
  test('none may be left', () => {
    expect(glovesThatWouldDo([pair({ gloveClass: '00' })], need('2025-11-25'))).toEqual([]);
  });
});
