import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import type { Danger, Heard } from '../../src/job/heard.js';
import { hear } from '../../src/talk/hear.js';
import { isOurWord } from '../../src/talk/reserved.js';
import { stopWord } from '../../src/talk/stop.js';
import { ASKS, type At, FLOW, heardAt, input, jobAt } from './setting.js';

const STOP: Heard = { heard: 'stop', danger: null };
const MAYBE: Heard = { heard: 'stop-maybe', danger: null };

describe('stop', () => {
  test.each([
    ...[
      'stop',
      'STOP',
      'Stop!',
      ' stop. ',
      '"stop"',
      'STOP STOP',
      'stopstop',
      'stop stop stop',
      'stop?',
      'stop!!1',
    ],
    ...[
      'stooop',
      'STOPPP',
      'sttoopp',
      'stopp',
      'halt',
      'HALT!',
      'haaalt',
      'freeze',
      'emergency',
      'mayday',
      'may day',
    ],
    ...[
      'stop now',
      'stop the job',
      'stop the lift, somebody is under the car',
      'freeze everybody',
      's t o p',
      'S.T.O.P.',
    ],
    ...[
      '@warden stop',
      'hey stop',
      'please stop',
      'everybody stop',
      'stop\u200b',
      'ＳＴＯＰ',
      '\u{1f6d1}',
      'STOP-22',
    ],
  ])('"%s" freezes the job', (text) => {
    expect(heardAt('confirm', text)).toEqual(STOP);
    expect(stopWord(text)).toEqual({ danger: null });
  });

  test.each([
    'stp',
    'sotp',
    'stpo',
    'dtop',
    'tsop',
    'stap',
    'stip',
    'sto',
    'hlt',
    'freez',
    'emergancy',
    'maydai',
    'stpo now',
  ])('a slip of the thumb, "%s", freezes the job', (text) => {
    expect(heardAt('confirm', text)).toEqual(STOP);
  });

  test.each([
    ...[
      'step',
      'Step 3',
      'shop',
      'shop floor',
      'top',
      'top up',
      'stow',
      'stow it',
      'steep',
      'stops',
      'slop',
      'atop',
    ],
    ...[
      'half',
      'hall',
      'salt',
      'hat',
      'Holt',
      'breeze',
      'freezer',
      'hold',
      'five',
      'fine',
      'bolt',
      'belt',
      'fault',
    ],
    ...[
      'stamp it',
      'coolant has stopped',
      'stopped',
      'stp is a word in a longer line',
      'help',
      'here',
      'done',
      'ok',
    ],
  ])('"%s" is near a stop word and freezes nothing', (text) => {
    const { heard } = heardAt('confirm', text);
    expect(['stop', 'stop-maybe']).not.toContain(heard);
    expect(stopWord(text)).toBeNull();
  });

  test.each([
    ...[
      "it won't stop",
      'full stop',
      "coolant won't stop",
      'done full stop',
      'bump stop fitted',
      'no stop',
      'all stop',
    ],
    ...['we have to stop here', 'dry, stop', 'must I stop?', 'it says halt', 'hold, stop'],
  ])('"%s" has a stop inside: asked back, neither obeyed nor ignored', (text) => {
    expect(heardAt('confirm', text)).toEqual(MAYBE);
    expect(stopWord(text)).toBeNull();
  });

  test('stop is heard at every question, in every mode, and without a job', () => {
    for (const at of Object.keys(ASKS) as At[]) expect(heardAt(at, 'STOP')).toEqual(STOP);
    for (const mode of ['paused', 'held', 'parking', 'handing-over', 'stopped'] as const) {
      expect(heardAt({ at: 'serial', mode }, 'stop')).toEqual(STOP);
    }
    for (const what of ['look', 'which'] as const) {
      expect(heardAt({ at: 'confirm', what, facts: ['lock-on'] }, 'stop')).toEqual(STOP);
    }
    expect(hear(null, null, input({ is: 'text', text: 'stop' }))).toEqual(STOP);
    expect(hear(jobAt({ at: 'confirm' }), FLOW, input({ is: 'tap', says: 'STOP', visit: '1' }))).toEqual(
      STOP,
    );
    expect(hear(null, null, input({ is: 'photo', sha256: '', name: 'x', text: 'stop' }))).toEqual(STOP);
  });

  test('any stretch of any stop word in any case freezes the job', () => {
    const stretched = fc
      .tuple(
        fc.constantFrom('stop', 'halt', 'freeze', 'mayday', 'emergency'),
        fc.array(fc.nat(5), { minLength: 9, maxLength: 9 }),
        fc.boolean(),
      )
      .map(([word, times, upper]) => {
        const long = [...word].map((letter, i) => letter.repeat(1 + (times[i] ?? 0))).join('');
        return upper ? long.toUpperCase() : long;
      });
    fc.assert(
      fc.property(stretched, (text) => {
        expect(heardAt('serial', text)).toEqual(STOP);
      }),
    );
  });
});

describe('dangers', () => {
  test.each<[string, Danger]>([
    ['fire', 'fire'],
    ['FIRE!', 'fire'],
    ['fire?', 'fire'],
    ['smoke', 'smoke'],
    ['smoooke', 'smoke'],
    ['smoke from the left of the pack', 'smoke'],
    ['there is smoke from the pack', 'smoke'],
    ['I can see smoke coming out of the back of the car', 'smoke'],
    ['smells of smoke', 'smoke'],
    ['he got a shock', 'shock'],
    ['electrocuted', 'shock'],
    ['hurt', 'hurt'],
    ['Mara is hurt badly please come', 'hurt'],
    ['man down', 'man-down'],
    ['man down in bay 3', 'man-down'],
    ['he is not breathing', 'man-down'],
    ['gas', 'gas'],
    ['it is hissing', 'gas'],
    ['help, fire', 'fire'],
    ['stop, smoke', 'smoke'],
    ['no smoke but there is fire', 'fire'],
    ['the gas strut is on fire', 'fire'],
  ])('"%s" freezes the job for %s', (text, danger) => {
    expect(heardAt('confirm', text)).toEqual({ heard: 'stop', danger });
    expect(heardAt('serial', text)).toEqual({ heard: 'stop', danger });
  });

  test.each<[string, Danger]>([
    ['no smoke', 'smoke'],
    ['calm, no smell, no smoke', 'smoke'],
    ['nobody hurt', 'hurt'],
    ['it does not hurt', 'hurt'],
    ['is there smoke?', 'smoke'],
    ['if there is smoke I go out', 'smoke'],
    ['the smoke from the kitchen bothers us all today', 'smoke'],
  ])('"%s" speaks of %s: asked back', (text, danger) => {
    expect(heardAt('confirm', text)).toEqual({ heard: 'stop-maybe', danger });
  });

  test.each([
    ...[
      'fire service card',
      'fire extinguisher checked',
      'shock absorber',
      'the shock absorber mount is fine',
      'fired',
    ],
    ...[
      'smoke test',
      'smoke test ok',
      'gas strut',
      'gas struts fitted',
      'fire it up',
      'wire',
      'spoke',
      'burnt',
      'FIRE-22',
    ],
    ...['hot', 'shocking weather', 'smoked glass'],
  ])('"%s" is workshop talk and alarms nobody', (text) => {
    expect(['stop', 'stop-maybe']).not.toContain(heardAt('confirm', text).heard);
  });
});

test.each([
  ...['ok', 'Done', 'STOP', 'stpo', 'smoke', 'man down', 'hold on', "can't", 'nothing', 'I take it'],
  ...['release', 'volts', 'eleven', 'point', 'no', 'hand-over', 'nil', 'emergancy', 'mayday'],
])('"%s" means something already and can be no gate word', (word) => {
  expect(isOurWord(word)).toBe(true);
});

test.each([
  ...[
    'UMBRELLA',
    'DOLPHIN',
    'LANTERN',
    'KANGAROO',
    'TOBOGGAN',
    'CHIMNEY',
    'SPARROW',
    'RIBBON',
    'HEDGEHOG',
    'ORCHARD',
  ],
  ...[
    'GONDOLA',
    'HARVEST',
    'OCTOPUS',
    'CINNAMON',
    'TURTLE',
    'VOLCANO',
    'PENGUIN',
    'MARIGOLD',
    'PYRAMID',
    'ELEPHANT',
  ],
])('%s is free to be a gate word, and is heard as nothing else', (word) => {
  expect(isOurWord(word)).toBe(false);
  expect(heardAt({ at: 'dead', answers: 2 }, word)).toMatchObject({ heard: 'unclear' });
});
