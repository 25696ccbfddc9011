import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import type { Unclear } from '../../src/job/heard.js';
import { hear } from '../../src/talk/hear.js';
import { ENGLISH } from '../../src/talk/lexicon.js';
import { ASKS, type At, FLOW, heardAt, input, jobAt } from './setting.js';

describe('no reading is guessed', () => {
  test.each<[At, string, Unclear]>([
    ['volts', '0.3 bar', 'wrong-unit'],
    ['volts', '0.3 V AC', 'wrong-unit'],
    ['volts', '0.3 vac', 'wrong-unit'],
    ['volts', '20 %', 'wrong-unit'],
    ['torque', '118 V', 'wrong-unit'],
    ['volts', '118 or 12', 'two-numbers'],
    ['volts', '118 and 12', 'two-numbers'],
    ['volts', '118, 12', 'two-numbers'],
    ['volts', '118/12', 'two-numbers'],
    ['volts', '5-10', 'two-numbers'],
    ['volts', '0.3 0.3', 'two-numbers'],
    ['volts', '0.1,0.2', 'two-numbers'],
    ['volts', '0.3 V (300 mV)', 'two-numbers'],
    ['volts', '1 200', 'two-numbers'],
    ['volts', 'twelve fifty', 'two-numbers'],
    ['volts', 'five and ten', 'two-numbers'],
    ['count', '12 tools and 3 sheets', 'two-numbers'],
    ['volts', 'O.3', 'letter-o'],
    ['volts', 'o,3', 'letter-o'],
    ['volts', '1O', 'letter-o'],
    ['volts', '1OV', 'letter-o'],
    ['volts', '1O0 V', 'letter-o'],
    ['volts', 'О.3', 'letter-o'],
    ['volts', 'O', 'letter-o'],
    ['volts', 'oh', 'letter-o'],
    ['volts', 'oh point 3', 'letter-o'],
    ['volts', '03', 'leading-zero'],
    ['volts', '007', 'leading-zero'],
    ['volts', '-03', 'leading-zero'],
    ['volts', '00', 'leading-zero'],
    ['volts', '00.3', 'leading-zero'],
    ['volts', 'zero three', 'leading-zero'],
    ['volts', '0151 2345678', 'leading-zero'],
    ['volts', '1,200', 'kilo-or-not'],
    ['volts', '1.200', 'kilo-or-not'],
    ['volts', '-1.200 V', 'kilo-or-not'],
    ['volts', "1'200", 'kilo-or-not'],
    ['volts', '1,200,300', 'kilo-or-not'],
    ['volts', '300 MV', 'ambiguous-unit'],
    ['volts', '0.386k', 'ambiguous-unit'],
    ['ohms', '5 mΩ', 'ambiguous-unit'],
    ['ohms', '500 mohm', 'ambiguous-unit'],
    ['ohms', '5 m', 'ambiguous-unit'],
    ['volume', '1 pint', 'ambiguous-unit'],
    ['volume', '2 oz', 'ambiguous-unit'],
    ['volume', '2 fl oz', 'ambiguous-unit'],
    ['volts', 'below 5', 'not-a-number'],
    ['volts', '< 5', 'not-a-number'],
    ['volts', 'up to 5', 'not-a-number'],
    ['volts', 'not 0.3', 'not-a-number'],
    ['volts', '0.3?', 'not-a-number'],
    ['volts', '0.3 volts on the left', 'not-a-number'],
    ['volts', '12:30', 'not-a-number'],
    ['volts', '2026-03-14', 'not-a-number'],
    ['volts', '14.3.2026', 'not-a-number'],
    ['volts', '1..5', 'not-a-number'],
    ['volts', '1.5.2', 'not-a-number'],
    ['volts', '1e3', 'not-a-number'],
    ['volts', '0x10', 'not-a-number'],
    ['volts', '#4', 'not-a-number'],
    ['volts', 'V0.3', 'not-a-number'],
    ['volts', '10⁶', 'not-a-number'],
    ['volts', '½', 'not-a-number'],
    ['volts', '±5', 'not-a-number'],
    ['volts', '--5', 'not-a-number'],
    ['volts', '٣', 'not-a-number'],
    ['volts', 'volts', 'not-a-number'],
    ['volts', 'over', 'not-a-number'],
    ['volts', 'minus', 'not-a-number'],
    ['volts', 'LANTERN', 'not-a-number'],
    ['volts', 'dunno', 'not-a-number'],
    ['volts', 'NaN', 'not-a-number'],
    ['volts', 'Infinity 5', 'not-a-number'],
    ['volts', '', 'empty'],
    ['dead', '510 OL 0 0 510 V', 'not-a-number'],
    ['dead', '510 --- 0 0 510 V', 'not-a-number'],
    ['dead', '510 O 0 0 510 V', 'letter-o'],
    ['dead', '510 00 0 0 510 V', 'leading-zero'],
    ['dead', '1.200 0 0 0 510 V', 'kilo-or-not'],
    ['dead', '510 bar 0 0 0 510', 'wrong-unit'],
    ['dead', 'five ten zero zero zero five ten', 'two-numbers'],
    ['dead', 'five one zero zero zero zero five one zero', 'two-numbers'],
    ['dead', 'zero point one zero zero', 'two-numbers'],
    ['counted', '007', 'leading-zero'],
    ['counted', 'lots', 'not-a-number'],
  ])('at %s "%s" is asked back: %s', (at, text, because) => {
    expect(heardAt(at, text)).toMatchObject({ heard: 'unclear', because });
  });

  test('what was not understood is repeated in the words that were typed', () => {
    expect(heardAt('volts', 'about ½ volt')).toMatchObject({ detail: 'about ½ volt' });
    expect(heardAt('volts', '118 or 12')).toMatchObject({ detail: '118, 12' });
    expect(heardAt('volts', '0.3 bar')).toMatchObject({ detail: 'bar, V' });
    expect(heardAt('volume', '1 pint')).toMatchObject({ detail: 'pint, imp pint' });
  });
});

describe('no yes is guessed', () => {
  const NOT_YES = [
    ...[
      'ok?',
      'ok 2',
      'ok but',
      'ok not',
      'done?',
      'yes no',
      'no yes',
      'no problem',
      'no worries',
      'not ok',
      'not done',
    ],
    ...[
      'nearly done',
      'is it done',
      'you done',
      'is that ok',
      'gone',
      'dont',
      "don't",
      'one',
      'none',
      'on',
      'ko',
      'not ok yet',
    ],
    ...[
      'understood',
      'got it',
      'will do',
      'copy',
      'sure',
      'not sure',
      'maybe',
      'ready',
      'fine?',
      'correct',
      'continue',
      '2',
    ],
    ...[
      '0.3',
      'LANTERN',
      'yes if the lock is on',
      'done with lunch',
      'ok so what now',
      '\u{1f44e}',
      '\u{1f914}',
      '\u{1f44d}?',
      '.',
      '!',
    ],
  ];

  test.each(NOT_YES)('"%s" is no yes', (text) => {
    expect(heardAt('confirm', text)).not.toEqual({ heard: 'yes' });
    expect(heardAt({ at: 'confirm', what: 'look', facts: ['lock-on'] }, text)).not.toEqual({ heard: 'yes' });
  });

  test('a text that is a yes holds nothing but words of the yes table', () => {
    const table = new Set([...ENGLISH.yes, ...ENGLISH.besideYes]);
    const words = [...table, 'not', 'no', 'but', 'bolt', 'gone', '2', 'if', '?', 'nearly', 'lock'];
    const line = fc.array(fc.oneof(fc.constantFrom(...words), fc.string({ maxLength: 6 })), { maxLength: 5 });
    let yes = 0;
    fc.assert(
      fc.property(line, (parts) => {
        const text = parts.join(' ');
        if (heardAt('confirm', text).heard !== 'yes') return;
        yes += 1;
        for (const said of text.toLowerCase().split(/[^\p{L}\u2000-\u{1ffff}]+/u)) {
          if (said !== '') expect(table).toContain(said);
        }
      }),
      { numRuns: 3_000 },
    );
    expect(yes).toBeGreaterThan(20);
  });
});

test.each([
  ...[
    'not dry',
    "isn't dry",
    'dry?',
    'dry or wet',
    'dry but dented',
    'almost dry',
    'hardly dry',
    'I think dry',
    'was dry',
  ],
  ...[
    'no soot',
    'not broken',
    'neither',
    'yes',
    'no',
    'ok',
    'ok 1',
    '9',
    '0',
    'wet and sooty',
    'if it is dry',
    '\u{1f44d}',
    'drought',
  ],
  ...['it should be dry by now', 'dry everywhere except the left corner', 'nothing wet here'],
])('at a choice "%s" chooses nothing', (text) => {
  expect(heardAt('inside', text)).toMatchObject({ heard: 'unclear', because: 'which-option' });
});

test.each(['without a cell', 'cell is missing', 'loop or cell', 'no loop'])(
  'of the fuse "%s" says no type',
  (text) => {
    expect(heardAt('fuse', text)).toMatchObject({ because: 'which-option' });
  },
);

test.each([
  'not reconnected',
  'nobody reconnected it',
  'is it reconnected?',
  'if reconnected',
  'when will it be reconnected',
])('"%s" is asked back and undoes nothing', (text) => {
  expect(heardAt('confirm', text)).toMatchObject({ because: 'undone-or-not', detail: 'reconnected' });
});

test.each(['disconnected', 'connected', 'battery off', 'locked', 'lock on', 'lock office'])(
  '"%s" undoes nothing',
  (text) => {
    expect(heardAt('confirm', text).heard).not.toBe('undone');
  },
);

test.each<[At, string]>([
  ['confirm', 'pause?'],
  ['confirm', 'park the car'],
  ['confirm', 'gear ok'],
  ['confirm', 'parking'],
  ['confirm', 'whereas'],
  ['serial', 'where did it go'],
  ['standby', 'Park Jimin'],
  ['confirm', 'correct'],
])('at %s "%s" is not one of the words that work everywhere', (at, text) => {
  expect(heardAt(at, text).heard).not.toBe('word');
});

test.each<[At, string, Unclear]>([
  ['serial', 'ok', 'empty'],
  ['serial', 'done', 'empty'],
  ['text', 'yes', 'empty'],
  ['date', 'ok', 'not-a-date'],
  ['counted', 'ok', 'not-a-number'],
  ['confirm', 'note', 'empty'],
  ['serial', '   ', 'empty'],
])('at %s "%s" enters nothing', (at, text, because) => {
  expect(heardAt(at, text)).toMatchObject({ heard: 'unclear', because });
});

test('a second look takes its own word, not a yes', () => {
  expect(heardAt({ at: 'dead', answers: 1 }, 'seen')).toMatchObject({ heard: 'word', word: 'seen' });
  for (const text of ['seen?', 'sean', 'not seen', 'ok', 'yes']) {
    expect(heardAt({ at: 'dead', answers: 1 }, text)).not.toMatchObject({ heard: 'word' });
  }
});

test('hearing never throws and always answers, whatever is typed', () => {
  const text = fc.oneof(
    fc.string({ unit: 'binary', maxLength: 60 }),
    fc.string({ unit: 'grapheme', maxLength: 60 }),
    fc.string({ unit: fc.constantFrom(...'0123456789.,-+/ oOvVΩ°%?!\n\'"kmnot') }),
  );
  const places = fc.constantFrom(...(Object.keys(ASKS) as At[]), 'photographed' as const, 'nothing' as const);
  fc.assert(
    fc.property(text, places, (typed, at) => {
      const heard = heardAt(at, typed);
      expect(typeof heard.heard).toBe('string');
      if (heard.heard === 'readings') {
        for (const { value } of heard.numbers) expect(Number.isFinite(value)).toBe(true);
      }
      expect(heardAt(at, typed)).toEqual(heard);
      hear(null, null, input({ is: 'text', text: typed }));
    }),
    { numRuns: 5_000 },
  );
});

test('a very long message is heard without trouble', () => {
  for (const piece of ['no ', '0', 'a.', "'", '1,', '- ', 'minus ', 'five ', 'stop', '\u{1f44d}', 'ſ']) {
    const long = piece.repeat(20_000);
    expect(typeof hear(jobAt({ at: 'dead' }), FLOW, input({ is: 'text', text: long })).heard).toBe('string');
  }
});
