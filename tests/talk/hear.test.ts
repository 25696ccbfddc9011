import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import type { GlobalWord, Heard, HeardNumber } from '../../src/job/heard.js';
import { hear } from '../../src/talk/hear.js';
import { printQuantity } from '../../src/units/notation.js';
import { dimensionOf, UNITS, type Unit } from '../../src/units/unit.js';
import { type At, FLOW, heardAt, input, jobAt, type Setting } from './setting.js';

const number = (value: number, unit: Unit | null = null, bound: 'at-least' | null = null): HeardNumber => ({
  value,
  unit,
  bound,
});
const readings = (...numbers: HeardNumber[]): Heard => ({ heard: 'readings', numbers });
const word = (said: GlobalWord, rest = ''): Heard => ({ heard: 'word', word: said, rest });
const YES: Heard = { heard: 'yes' };
const no = (rest = ''): Heard => ({ heard: 'no', rest });

describe('a reading', () => {
  test.each<[At, string, HeardNumber]>([
    ['volts', '0.3', number(0.3)],
    ['volts', '0,3', number(0.3)],
    ['volts', '.3', number(0.3)],
    ['volts', ',3', number(0.3)],
    ['volts', '0.3.', number(0.3)],
    ['volts', '0.3v', number(0.3, 'V')],
    ['volts', '0.3 V', number(0.3, 'V')],
    ['volts', '0.3\u00a0V', number(0.3, 'V')],
    ['volts', '0.3 V DC', number(0.3, 'V')],
    ['volts', '0.3vdc', number(0.3, 'V')],
    ['volts', '300mV', number(300, 'mV')],
    ['volts', '３００ mV', number(300, 'mV')],
    ['volts', '0·3 V', number(0.3, 'V')],
    ['volts', '1.5 kV', number(1.5, 'kV')],
    ['volts', '0.386', number(0.386)],
    ['volts', '0,386 kV', number(0.386, 'kV')],
    ['volts', '1,200.5', number(1200.5)],
    ['volts', '1.200,5 V', number(1200.5, 'V')],
    ['volts', '1234.567', number(1234.567)],
    ['volts', '-386', number(-386)],
    ['volts', '−386', number(-386)],
    ['volts', '–386 V', number(-386, 'V')],
    ['volts', '- 5', number(-5)],
    ['volts', '+5', number(5)],
    ['volts', '-0', number(0)],
    ['volts', 'about 0.3', number(0.3)],
    ['volts', '~0.3 V', number(0.3, 'V')],
    ['volts', 'it reads 0.3 volts', number(0.3, 'V')],
    ['volts', 'ok, 0.3', number(0.3)],
    ['volts', '"0.3"', number(0.3)],
    ['volts', 'volts: 0.3', number(0.3, 'V')],
    ['volts', 'over 60', number(60, null, 'at-least')],
    ['volts', '≥ 60 V', number(60, 'V', 'at-least')],
    ['volts', 'zero', number(0)],
    ['volts', 'nought volts', number(0, 'V')],
    ['ohms', '> 2 GΩ', number(2, 'GΩ', 'at-least')],
    ['ohms', '>999', number(999, null, 'at-least')],
    ['ohms', 'over 999 megohm', number(999, 'MΩ', 'at-least')],
    ['ohms', 'more than 2 gigohms', number(2, 'GΩ', 'at-least')],
    ['ohms', '10Ohm', number(10, 'Ω')],
    ['ohms', '500 k', number(500, 'kΩ')],
    ['ohms', '5 M', number(5, 'MΩ')],
    ['torque', '118,2', number(118.2)],
    ['torque', '118nm', number(118, 'N·m')],
    ['torque', '9 newton metres', number(9, 'N·m')],
    ['torque', '9N.m', number(9, 'N·m')],
    ['torque', '87 foot pounds', number(87, 'lbf·ft')],
    ['torque', '80 inch-pounds', number(80, 'lbf·in')],
    ['celsius', '20 °C', number(20, '°C')],
    ['celsius', '20 degrees', number(20)],
    ['celsius', '20°', number(20)],
    ['celsius', 'minus five degrees', number(-5)],
    ['celsius', '68 F', number(68, '°F')],
    ['celsius', '295 K', number(295, 'K')],
    ['celsius', 'air 12 C', number(12, '°C')],
    ['percent', '55 %', number(55, '%')],
    ['percent', '55 per cent rh', number(55, '%')],
    ['pressure', '990 hPa', number(990, 'hPa')],
    ['volume', '120 ml', number(120, 'ml')],
    ['volume', '1 US pint', number(1, 'pint')],
    ['volume', '0L', number(0, 'l')],
    ['mass', '450 kilo', number(450, 'kg')],
    ['count', '12 tools', number(12)],
    ['count', 'twelve', number(12)],
  ])('at %s "%s" is one reading', (at, text, wanted) => {
    expect(heardAt(at, text)).toEqual(readings(wanted));
  });

  test.each<[string, number]>([
    ['nought point three', 0.3],
    ['zero point three', 0.3],
    ['point three', 0.3],
    ['oh point three', 0.3],
    ['0 point 3', 0.3],
    ['nought point nought two', 0.02],
    ['minus three eight six', -386],
    ['three eighty six', 386],
    ['three hundred and eighty six', 386],
    ['three hundred eighty-six', 386],
    ['a hundred and eighteen', 118],
    ['one eighteen', 118],
    ['one two point five', 12.5],
    ['twelve point five', 12.5],
    ['point thirty five', 0.35],
    ['twenty-five', 25],
    ['twenty', 20],
    ['negative twelve', -12],
    ['two and a half', 2.5],
    ['3 hundred', 300],
    ['one thousand two hundred', 1200],
    ['twelve thousand and six', 12006],
    ['five ten', 510],
    ['five one zero', 510],
  ])('dictated "%s" is %d', (text, value) => {
    expect(heardAt('volts', text)).toEqual(readings(number(value)));
    expect(heardAt('volts', `${text} volts`)).toEqual(readings(number(value, 'V')));
  });

  test.each<[At, string, number]>([
    ['pressure', '1.013', 1013],
    ['pressure', '1,013', 1013],
    ['pressure', '1.013 bar', 1.013],
    ['celsius', '23.456', 23.456],
    ['celsius', '-1.234', -1.234],
  ])('at %s "%s" has one reading that can be, and is taken so', (at, text, value) => {
    expect(heardAt(at, text)).toMatchObject({ heard: 'readings', numbers: [{ value }] });
  });

  test.each([
    ...['OL', 'ol', 'O.L.', 'over range', 'over-range', 'overload', '---', '--', '- - -', 'blank'],
    ...[
      'nothing',
      'nil',
      'nil volts',
      'no volts',
      'no reading',
      'meter shows OL',
      'OL V',
      'display blank',
      '∞',
      'dead',
    ],
  ])('"%s" is no number, and no zero', (text) => {
    expect(heardAt('volts', text)).toEqual({ heard: 'no-number', word: text });
  });

  const sameDimension = (unit: Unit): At | null => {
    const asked: readonly (readonly [At, Unit])[] = [
      ['volts', 'V'],
      ['ohms', 'MΩ'],
      ['torque', 'N·m'],
      ['volume', 'ml'],
      ['mass', 'kg'],
      ['length', 'mm'],
      ['turn', '°'],
      ['count', 'pcs'],
    ];
    return asked.find(([, own]) => dimensionOf(own) === dimensionOf(unit))?.[0] ?? null;
  };
  /** Symbols that a person may mean either way. */
  const TWOFOLD: readonly Unit[] = ['fl oz', 'pint', 'qt', 'gal', 'mΩ'];
  const decimal = fc
    .tuple(fc.integer({ min: -999_999, max: 999_999 }), fc.integer({ min: -6, max: 3 }))
    .map(([figures, power]) => Number(`${figures}e${power}`))
    .map((value) => (value === 0 ? 0 : value));

  test.each(UNITS.filter((unit) => sameDimension(unit) !== null))(
    'a quantity printed in %s is heard back exactly, or asked back',
    (unit) => {
      const at = sameDimension(unit) ?? 'volts';
      let heardBack = 0;
      fc.assert(
        fc.property(decimal, (value) => {
          const heard = heardAt(at, printQuantity({ value, unit }));
          if (heard.heard === 'readings') {
            expect(heard).toEqual(readings(number(value, unit)));
            heardBack += 1;
          } else {
            expect(heard).toMatchObject({ heard: 'unclear' });
            const either = /^-?[1-9]\d{0,2}\.\d{3} /.test(printQuantity({ value, unit }));
            const twofold = TWOFOLD.includes(unit);
            expect(either || twofold).toBe(true);
          }
        }),
      );
      if (!TWOFOLD.includes(unit)) expect(heardBack).toBeGreaterThan(50);
    },
  );
});

describe('a dead test', () => {
  const five = (...units: (Unit | null)[]): Heard =>
    readings(...[510, 0, 0.1, 0, 510].map((value, i) => number(value, units[i] ?? null)));
  const last = [null, null, null, null, 'V'] as const;

  test.each<[string, readonly (Unit | null)[]]>([
    ['510 0 0.1 0 510 V', last],
    ['510 0 0,1 0 510 V', last],
    ['510, 0, 0.1, 0, 510 V', last],
    ['510, 0, 0,1, 0, 510 V', last],
    ['510,0,0.1,0,510 V', last],
    ['510/0/0.1/0/510 V', last],
    ['510; 0; 0.1; 0; 510 volts', last],
    ['510\n0\n0.1\n0\n510V', last],
    ['510V 0V 0.1V 0V 510V', ['V', 'V', 'V', 'V', 'V']],
    ['510 V 0 0.1 0 510', ['V']],
    ['prove 510 plus minus 0 plus body 0.1 minus body 0 prove 510 volts', last],
    ['Prove 510, plus to minus 0, plus to body 0.1, minus to body 0, prove again 510 V', last],
    ['proved 510 +- 0 plus earth 0.1 minus earth 0 source 510 V', last],
    ['510 then 0 then 0.1 then 0 then 510 volts', last],
    ['five hundred and ten, zero, zero point one, zero, five hundred and ten volts', last],
  ])('"%s" is one set of five', (text, units) => {
    expect(heardAt('dead', text)).toEqual(five(...units));
  });

  test('zeros dictated without a pause are as many zeros', () => {
    const text = 'five hundred and ten zero zero zero five hundred and ten volts';
    expect(heardAt('dead', text)).toEqual(
      readings(number(510), number(0), number(0), number(0), number(510, 'V')),
    );
  });

  test('a sign belongs to its number, a plus or minus before a place names the place', () => {
    expect(heardAt('dead', '510 plus minus minus 0.1 plus body 0 minus body -0.2 510 V')).toMatchObject({
      numbers: [{ value: 510 }, { value: -0.1 }, { value: 0 }, { value: -0.2 }, { value: 510 }],
    });
  });

  test('four numbers are heard as four, never filled up', () => {
    expect(heardAt('dead', '510 0 0 510 V')).toMatchObject({ numbers: { length: 4 } });
    expect(heardAt('dead', '0,1 0,2')).toEqual(readings(number(0.1), number(0.2)));
  });

  test.each([
    'prove 510 plus body 0 plus minus 0.1 minus body 0 prove 510 volts',
    'plus minus 0 plus body 0 minus body 0 prove 510 prove 510 V',
  ])('named in another order it is asked back: "%s"', (text) => {
    expect(heardAt('dead', text)).toMatchObject({ heard: 'unclear', because: 'out-of-order' });
  });
});

test.each<[string, readonly HeardNumber[]]>([
  ['9 9.1 9', [number(9), number(9.1), number(9)]],
  ['9, 9, 9 Nm', [number(9), number(9), number(9, 'N·m')]],
  ['9,1 9,2 Nm', [number(9.1), number(9.2, 'N·m')]],
])('the values of the bolts "%s" are heard one by one', (text, numbers) => {
  expect(heardAt('values', text)).toEqual(readings(...numbers));
});

describe('a choice', () => {
  test.each<[At, string, string]>([
    ['inside', 'dry', 'dry'],
    ['inside', 'DRY.', 'dry'],
    ['inside', 'clean', 'dry'],
    ['inside', 'it is dry', 'dry'],
    ['inside', 'looks wet to me', 'wet'],
    ['inside', 'slightly damp', 'wet'],
    ['inside', 'soty', 'sooty'],
    ['inside', 'all round', 'unbroken'],
    ['inside', 'unbroken', 'unbroken'],
    ['inside', 'un broken', 'unbroken'],
    ['inside', 'brocken', 'broken'],
    ['inside', '2', 'wet'],
    ['inside', '#1', 'dry'],
    ['inside', 'option three', 'sooty'],
    ['fuse', 'own cell', 'own-cell'],
    ['fuse', 'Own-Cell', 'own-cell'],
    ['fuse', 'without cell', 'loop-fed'],
    ['fuse', 'it has no cell', 'loop-fed'],
    ['fuse', 'the label says loop fed', 'loop-fed'],
  ])('at %s "%s" chooses %s', (at, text, option) => {
    expect(heardAt(at, text)).toEqual({ heard: 'choice', option });
  });

  test.each<[string, string]>([
    ['lock', 'lock-on'],
    ['own lock on', 'lock-on'],
    ['lock is not on', 'lock-on'],
    ['2', 'lv-off'],
    ['battery lead', 'lv-off'],
    ['lv-off', 'lv-off'],
    ['the loop', 'loop-open'],
  ])('asked which look was wrong, "%s" names %s', (text, option) => {
    const which: Setting = { at: 'confirm', what: 'which', facts: ['lock-on', 'lv-off', 'loop-open'] };
    expect(heardAt(which, text)).toEqual({ heard: 'choice', option });
  });
});

describe('yes and no', () => {
  test.each([
    ...[
      'ok',
      'OK!',
      'okay',
      'k',
      'kk',
      'done',
      'Done.',
      'next',
      'yes',
      'yep',
      'yeah',
      'y',
      'ja',
      'fitted',
      'all done',
    ],
    ...[
      'yes done',
      'ok, next',
      'ok done thanks',
      'it is done',
      "that's done",
      'I am done',
      'okay then',
      'all good',
    ],
    ...[
      'dnoe',
      'doen',
      'okk',
      'nxet',
      'yse',
      'yesss',
      'okkkk',
      '\u{1f44d}',
      '\u{1f44d}\u{1f3fd}',
      '\u{1f44d}\u{1f44d}',
      '✅',
      '✔️',
      '👌',
    ],
  ])('"%s" is a yes', (text) => {
    expect(heardAt('confirm', text)).toEqual(YES);
    expect(heardAt({ at: 'confirm', what: 'look', facts: ['lock-on'] }, text)).toEqual(YES);
  });

  test.each<[string, string]>([
    ['no', ''],
    ['No.', ''],
    ['n', ''],
    ['nope', ''],
    ['no no', ''],
    ['\u{1f44e}', ''],
    ['not ok', ''],
    ['NOT OK', ''],
    ['not done', ''],
    ['not yet', ''],
    ['nearly done', ''],
    ["can't", ''],
    ['problem', ''],
    ['problem: bolt stuck', 'bolt stuck'],
    ['no, bolt stuck', 'bolt stuck'],
    ["won't go", "won't go"],
    ['bolt won’t go in', "bolt won't go in"],
    ['bolt is stuck', 'bolt is stuck'],
    ["can't find the plug", "can't find the plug"],
    ['not tight', 'not tight'],
  ])('"%s" is a no', (text, rest) => {
    expect(heardAt('confirm', text)).toEqual(no(rest));
  });

  test('a photo that cannot be taken is told with its reason and is no problem with the work', () => {
    const text = 'no photo camera broken';
    expect(heardAt('photographed', text)).toEqual({ heard: 'text', text });
    expect(heardAt('photographed', 'no photo yet')).toEqual(no());
    expect(heardAt('confirm', text)).toEqual(no('photo camera broken'));
  });

  test('a photo is an answer by its words, without any it is left to the step', () => {
    const photo = (text: string) =>
      hear(jobAt({ at: 'confirm' }), FLOW, input({ is: 'photo', sha256: 'a', name: 'p', text }));
    expect(photo('')).toEqual({ heard: 'text', text: '' });
    expect(photo('done')).toEqual(YES);
    expect(photo('problem, cracked')).toEqual(no('cracked'));
  });

  test('a tap says its words; a thumb confirms the post it is on, and no other', () => {
    const at = (body: Parameters<typeof input>[0], where: At = 'confirm') =>
      hear(jobAt({ at: where }), FLOW, input(body));
    expect(at({ is: 'tap', says: 'ok', visit: '1' })).toEqual(YES);
    expect(at({ is: 'reaction', name: '+1', on: '0700' })).toEqual(YES);
    expect(at({ is: 'reaction', name: 'thumbsup::skin-tone-3', on: '0701' })).toEqual(YES);
    expect(at({ is: 'reaction', name: '+1', on: '0699' })).toMatchObject({ heard: 'unclear' });
    expect(at({ is: 'reaction', name: 'eyes', on: '0700' })).toMatchObject({ heard: 'unclear' });
    expect(at({ is: 'reaction', name: '+1', on: '0700' }, 'volts')).toMatchObject({ heard: 'unclear' });
    expect(at({ is: 'reaction', name: '+1', on: '0700' }, 'inside')).toMatchObject({ heard: 'unclear' });
    expect(at({ is: 'reaction', name: 'octagonal_sign', on: '0700' })).toMatchObject({ heard: 'stop-maybe' });
  });
});

describe('words that work everywhere', () => {
  const EVERYWHERE: readonly (readonly [string, Heard])[] = [
    ['where', word('where')],
    ['where are we?', word('where')],
    ['why?', word('why')],
    ['list', word('list')],
    ['what else can I do', word('list')],
    ['note lamp broken', word('note', 'lamp broken')],
    ['Note: Lamp at -5 °C', word('note', 'Lamp at -5 °C')],
    ['pause', word('pause')],
    ['hold on', word('pause')],
    ['one moment', word('pause')],
    ['sec', word('pause')],
    ['lunch', word('pause')],
    ['resume', word('resume')],
    ['hold oil on the floor', word('hold', 'oil on the floor')],
    ['hold the cover', word('hold', 'the cover')],
    ['release floor dry', word('release', 'floor dry')],
    ['help', word('help')],
    ['park', word('park')],
    ['hand over Ines', word('hand-over', 'Ines')],
    ['handover to Ines', word('hand-over', 'Ines')],
    ['Hand-over Ines', word('hand-over', 'Ines')],
    ['take', word('take')],
    ['I take it', word('take')],
    ['away', word('away')],
    ['stepping out', word('away')],
    ['back in 5', word('away', '5')],
    ['here', word('here')],
    ['back', word('back')],
    ['agree', word('agree')],
    ['catch-up to dead', word('catch-up', 'to dead')],
    ['adopt cover-torque 9 Nm sheet 4', word('adopt', 'cover-torque 9 Nm sheet 4')],
    ['value wait 10 min manual 4.2', word('value', 'wait 10 min manual 4.2')],
    ['call off', word('call-off')],
    ['leave it out', word('leave-out')],
    ['skip it', word('leave-out')],
    ['air 12 C 40 %', word('air', '12 C 40 %')],
    ['air -5 C 40 %', word('air', '-5 C 40 %')],
    ['correct make-safe/lock', word('correct', 'make-safe/lock')],
    ['numbers', word('numbers')],
    ['seen', word('seen')],
  ];
  const PLACES = [
    'confirm',
    'volts',
    'celsius',
    'dead',
    'inside',
    'serial',
    'text',
    'counted',
    'gear',
    'standby',
  ] as const;
  const LINES: readonly string[] = ['serial', 'text', 'counted', 'gear', 'standby'];

  test.each(EVERYWHERE)('"%s" is heard at every question', (text, wanted) => {
    for (const at of PLACES) {
      // Where a line is asked, a name or a serial may begin like this.
      if (text === 'back in 5' && LINES.includes(at)) continue;
      expect([at, heardAt(at, text)]).toEqual([at, wanted]);
    }
    expect(hear(null, null, input({ is: 'text', text }))).toEqual(wanted);
  });

  test.each<[string, GlobalWord]>([
    ['gear', 'gear'],
    ['gear dropped', 'gear'],
    ['glove torn', 'gear'],
    ['gloves hurt', 'gear'],
  ])('"%s" says that gear is no longer fit', (text, said) => {
    expect(heardAt('confirm', text)).toMatchObject({ heard: 'word', word: said });
  });

  test("I'm back ends a pause; after 'away', or from the standby, it is being here again", () => {
    expect(heardAt({ at: 'confirm', mode: 'paused' }, "I'm back")).toEqual(word('resume'));
    expect(heardAt('confirm', "I'm back")).toEqual(word('here'));
    expect(heardAt({ at: 'confirm', by: 'ines' }, 'im back')).toEqual(word('here'));
  });

  test('names, serials and ids come through as typed', () => {
    for (const [at, text] of [
      ['serial', 'aB-12/7 x'],
      ['serial', 'no. 7741'],
      ['serial', 'Park 12'],
      ['standby', 'Park Jimin'],
      ['standby', 'Ines'],
      ['gear', 'G1 T2, S3'],
      ['gear', 'gloves G1, tester T2'],
      ['date', '2026-03'],
      ['text', 'Ines and Marco, all away'],
    ] as const) {
      expect(heardAt(at, ` ${text} `)).toEqual({ heard: 'text', text });
    }
  });

  test('a problem with a field is a problem and no entry', () => {
    expect(heardAt('serial', 'problem label unreadable')).toEqual(no('label unreadable'));
    expect(heardAt('serial', 'no')).toEqual(no());
  });
});

describe('what was wrong', () => {
  const after: Setting = { at: 'confirm', last: 'volts' };

  test.each([
    ...[
      'no, 30',
      'No 30',
      'no: 30',
      'sorry, 30',
      'no, I meant 30',
      'make that 30',
      'correction 30',
      'no, thirty',
    ],
  ])('"%s" corrects the reading before', (text) => {
    expect(heardAt(after, text)).toEqual({ heard: 'correction', to: readings(number(30)) });
    expect(heardAt({ at: 'two', answers: 1 }, text)).toMatchObject({ heard: 'correction' });
  });

  test('a correction is read with the care of a reading', () => {
    expect(heardAt(after, 'no, O.3')).toMatchObject({ heard: 'correction', to: { because: 'letter-o' } });
    expect(heardAt(after, 'no, 3 bar')).toMatchObject({ heard: 'correction', to: { because: 'wrong-unit' } });
  });

  test('at the first number of a step nothing was taken yet: it is that number', () => {
    expect(heardAt({ at: 'volts', last: 'confirm' }, 'no, 30')).toEqual(readings(number(30)));
  });

  test('a no with a number in a sentence is a problem', () => {
    expect(heardAt(after, 'no, 30 bolts missing')).toEqual(no('30 bolts missing'));
    expect(heardAt({ at: 'confirm', last: 'confirm' }, 'no, 30')).toEqual(no('30'));
  });
});

describe('what was undone', () => {
  test.each<[string, string]>([
    ['I reconnected the battery 20 minutes ago to release the brake', 'lv-off'],
    ['reconected the battery', 'lv-off'],
    ['Battery back on.', 'lv-off'],
    ['lock off', 'lock-on'],
    ['the plug back in', 'loop-open'],
    ['no, I reconnected it', 'lv-off'],
    ['note reconnected at nine', 'lv-off'],
  ])('"%s" is heard at every question', (text, fact) => {
    for (const at of ['confirm', 'volts', 'dead', 'inside', 'serial', 'standby'] as const) {
      expect(heardAt(at, text)).toEqual({ heard: 'undone', facts: [fact] });
    }
  });

  test('what is gone already, or undone by the step itself, is no news', () => {
    expect(heardAt({ at: 'confirm', standing: { 'lv-off': 'gone' } }, 'reconnected')).toMatchObject({
      heard: 'unclear',
    });
    expect(heardAt('power', 'loop closed')).toMatchObject({ heard: 'unclear', because: 'which-word' });
    expect(heardAt('power', 'lock off')).toMatchObject({ heard: 'undone' });
  });

  test("the old owner's word about his lock is no undoing of the new one", () => {
    expect(heardAt({ at: 'nothing', oldLock: 'tom', by: 'tom' }, 'lock off')).toEqual(word('lock-off'));
    expect(heardAt({ at: 'nothing', oldLock: 'tom', by: 'ana' }, 'lock removed, owner in hospital')).toEqual(
      word('lock-removed', 'owner in hospital'),
    );
    expect(heardAt({ at: 'nothing', oldLock: 'tom' }, 'lock off')).toMatchObject({ heard: 'undone' });
  });
});
