import { describe, expect, test } from 'vitest';
import { commandOf } from '../../src/desk/office-commands.js';
import { dayOf, momentOf } from '../../src/desk/register-slip.js';
import type { Json } from '../../src/shop/change.js';
import { withChanges } from '../../src/shop/change.js';
import { printRegisterFault } from '../../src/shop/fault.js';
import { printJson } from '../../src/shop/json.js';
import { checkRegister, type Texts } from '../../src/shop/register.js';
import { officeSaid } from '../../src/talk/office-words.js';
import { tryOut } from '../channel/bench.js';
import { demoRegister, demoTexts } from '../shop/folders.js';
import { MORNING } from './floor.js';

const flows = await tryOut();
const register = demoRegister();

function heard(text: string) {
  const command = commandOf(text, register);
  if (command === null || !('change' in command)) return null;
  const asked = { text, rest: officeSaid(text).rest, register, today: '2026-03-02', now: MORNING };
  return command.change({ ...asked, name: 'Orla Fenwick', flows });
}

/** What words change, as `WAY = VALUE`; a slip as its code. */
function changed(text: string): readonly string[] {
  const found = heard(text);
  if (found === null) return ['not for the register'];
  if ('no' in found) return [found.no];
  return found.changes.map(({ file, at, after }) => {
    const way = at.map((step) => (typeof step === 'string' ? step : step.is)).join(' ');
    return `${file} ${way} = ${JSON.stringify(after)}`;
  });
}

describe('words that change the register', () => {
  test.each([
    ['gloves g3 tested 2026-02-27', 'gear.json gear G3 tested = "2026-02-27"'],
    ['gear G 3 tested today', 'such'],
    ['Tester T-1 calibrated yesterday', 'gear.json gear T1 tested = "2026-03-01"'],
    ['gear T1 months 6', 'gear.json gear T1 months = 6'],
    ['gear G5 back', 'gear.json gear G5 out = null'],
    ['gear G1 out torn at the cuff', 'gear.json gear G1 out = "torn at the cuff"'],
    ['gear T2 where van 2, left door', 'gear.json gear T2 place = "van 2, left door"'],
    ['wrench W1 cycles 40', 'gear.json gear W1 cycles done = 40'],
    ['wrench W1 cycles most 4000', 'gear.json gear W1 cycles most = 4000'],
    ['mara 3S until 2027-05-31', 'people.json people mara levels = [{"level":"3S","until":"2027-05-31"}]'],
    ['Mara: 3s until 2027-05-31', 'people.json people mara levels = [{"level":"3S","until":"2027-05-31"}]'],
    ['pip left', 'people.json people pip left = "2026-03-02"'],
    ['tamsin role foreman', 'people.json people tamsin roles = ["technician","foreman"]'],
    [
      'person add nell Nell Garrod as technician',
      'people.json people nell = {"id":"nell","name":"Nell Garrod","roles":["technician"]}',
    ],
    ['person add mara Mara Two as technician', 'new'],
    [
      'car demo-9 model Teasel',
      'vehicles.json cars DEMO-9 = {"registration":"DEMO-9","model":"teasel","odometerKm":null,"kmPerYear":null}',
    ],
    ['car DEMO-3 model teasel', 'vehicles.json cars DEMO-3 model = "teasel"'],
    ['odometer demo 3 84200', 'such'],
    ['odometer DEMO-3 141 200 km', 'vehicles.json cars DEMO-3 odometerKm = 141200'],
    ['odometer DEMO-3 84200 miles', 'amount'],
    ['car DEMO-3 km per year 15000', 'vehicles.json cars DEMO-3 kmPerYear = 15000'],
    ['car DEMO-3 variant access hatch', 'vehicles.json cars DEMO-3 choices access = "hatch"'],
    ['car DEMO-4 variant access pack-out', 'vehicles.json cars DEMO-4 choices access = null'],
    [
      'batch B-77 moorseal-4 use by 2027-02',
      'sealants.json batches B-77 = {"batch":"B-77","product":"moorseal-4","useBy":"2027-02-28"}',
    ],
    ['batch MS4-2502 gone', 'sealants.json batches MS4-2502 = null'],
    ['bay 3 lift L2', 'bays.json bays 3 lift = "L2"'],
    ['bay 2 lift none', 'bays.json bays 2 lift = null'],
    [
      'bay add 4 lift L1 label Bay 4, yard',
      'bays.json bays 4 = {"id":"4","label":"Bay 4, yard","lift":"L1"}',
    ],
    ['bay 2: lift is down, hold', 'not for the register'],
    ['setting pause 20 min', 'shop.json settings pause = "20 min"'],
    ['hours saturday 08:00-12:00', 'shop.json hours saturday = [{"from":"08:00","to":"12:00"}]'],
    ['hours fri closed', 'shop.json hours friday = []'],
    ['closed 2026-12-24', 'shop.json closed = ["2026-03-17","2026-12-24","2026-12-25"]'],
    ['open 2026-12-25', 'shop.json closed = ["2026-03-17"]'],
    ['value DEMO-1 discharge-wait 12 min', 'source'],
    ['value teasel discharge-weight 12 min manual 3', 'such'],
    ['value teasel discharge-wait twelve manual 3', 'amount'],
  ])('%s', (words, result) => {
    expect(changed(words)).toEqual([result]);
  });

  test('a value is entered for the model of the car, with source, name and day', () => {
    expect(heard('value DEMO-1 discharge-wait 12 min Teasel manual 3.1')).toMatchObject({
      changes: [
        {
          at: ['models', { is: 'teasel' }, 'values', 'discharge-wait'],
          after: {
            value: '12 min',
            reference: 'Teasel manual 3.1',
            enteredBy: 'Orla Fenwick',
            entered: '2026-03-02',
          },
        },
      ],
    });
  });

  test.each([
    'gear add gloves G9 class 0 serial QG-0110 tested 2026-02-20 months 6',
    'gear add wrench W9 serial QW-9 tested today months 12 range 4 to 20 N·m most 5000 lever 210 mm label Small one',
    'gear add source PS9 serial QP-9 tested today months 12 nominal 400 V where cabinet 1',
    'lift L1 rating 3400 kg pad 900 kg lift book L1, plate 2',
    'person add nell Nell Garrod as technician',
    'number First aid: ext. 12',
    'deputy jory until friday 18:00',
    'mara slack U0123ABC',
    'bay 1 slack C0123ABC',
  ])('%s gives a register without a fault', (words) => {
    const found = heard(words);
    if (found === null || 'no' in found) throw new Error(`${words}: ${JSON.stringify(found)}`);
    const [first] = found.changes;
    if (first === undefined) throw new Error('nothing changed');
    const document = withChanges(register.written[first.file] as Json, found.changes);
    const texts: Texts = demoTexts({ [first.file]: printJson(document) });
    const checked = checkRegister(texts);
    expect(checked.ok ? [] : checked.faults.map(printRegisterFault)).toEqual([]);
  });

  test('whoever has left is in no list, under no account, and known by name in the document', () => {
    const people = withChanges(register.written['people.json'] as Json, [
      {
        file: 'people.json',
        at: ['people', { by: 'id', is: 'wilf' }, 'left'],
        before: null,
        after: '2026-03-02',
      },
    ]);
    const without = demoRegister({ 'people.json': printJson(people) });
    expect(without.people.has('wilf')).toBe(false);
    expect(printJson(without.written['people.json'])).toContain('Wilf Harrow');
  });
});

describe('a day', () => {
  test.each([
    ['2026-02-29', null],
    ['monday', '2026-03-09'],
    ['tue', '2026-03-03'],
    ['2028-02', '2028-02-29'],
    ['31.3.2026', null],
    ['1026-03-02', null],
  ])('said on a Monday as %s is %s', (said, day) => {
    expect(dayOf(said, '2026-03-02')).toBe(day);
  });

  test.each([
    ['friday 18:00', true, '2026-03-06 18:00'],
    ['18:00', true, '2026-03-02 18:00'],
    ['friday', true, '2026-03-06 23:59'],
    ['friday', false, '2026-03-06 00:00'],
    ['friday at 7:30', false, '2026-03-06 07:30'],
    ['friday 25:00', true, null],
    ['noon', true, null],
    ['', true, null],
  ])('and time said as "%s" (an end: %s) is %s', (said, ends, moment) => {
    expect(momentOf(said, '2026-03-02', ends)).toBe(moment);
  });
});
