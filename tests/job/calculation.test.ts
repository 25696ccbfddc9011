import { describe, expect, test } from 'vitest';
import { CALCULATIONS } from '../../src/flow/calc.js';
import type { Flow, Step } from '../../src/flow/flow.js';
import { judgeStep } from '../../src/job/calculation.js';
import { emptyJob } from '../../src/job/evolve.js';
import type { Job } from '../../src/job/job.js';
import type { Judgement } from '../../src/job/judgement.js';
import { verdictText } from '../../src/talk/verdict.js';
import { parseQuantity } from '../../src/units/notation.js';

/** No calculation of these asks the flow. */
const FLOW = {} as unknown as Flow;

function stepOf(judge: string, outOfLimits: Step['outOfLimits'] = 'hold'): Step {
  return {
    id: 'step',
    route: 'job',
    needs: [],
    makes: [],
    ends: [],
    when: [],
    sets: null,
    again: false,
    kind: 'measure',
    text: '',
    card: [],
    hazard: 'none',
    asks: [],
    judge,
    outOfLimits,
    alarm: [],
    tighten: null,
    gear: [],
    photo: false,
    meanwhile: [],
    stage: '',
    file: '',
    line: 0,
  };
}

const quantity = (text: string) => {
  const parsed = parseQuantity(text);
  if (parsed === null) throw new Error(`no quantity: ${text}`);
  return parsed;
};

/** Readings and values as a fitter and a register write them; `>` before a reading is over range, `=` a text. */
function jobOf(told: Readonly<Record<string, string>>): Job {
  const job = emptyJob('J');
  const values: Record<string, Job['values'][string]> = {};
  const readings: Record<string, Job['readings'][string]> = {};
  for (const [name, said] of Object.entries(told)) {
    if (!name.includes('.')) {
      const bound = said.startsWith('>') ? ('at-least' as const) : null;
      readings[name] = [{ quantity: quantity(said.replace('>', '')), assumedUnit: false, bound, at: 0 }];
    } else {
      const text = said.startsWith('=') ? said.slice(1) : null;
      values[name] = {
        quantity: text === null ? quantity(said) : null,
        text,
        reference: 'test sheet',
        enteredBy: 'test',
      };
    }
  }
  return { ...job, values, readings };
}

function judged(name: string, told: Readonly<Record<string, string>>, out?: Step['outOfLimits']): Judgement {
  const found = judgeStep(jobOf(told), FLOW, stepOf(name, out));
  if (found === null) throw new Error(`nothing judged ${name}`);
  const known = CALCULATIONS[name];
  expect(found.figures.filter((figure) => !known?.figures.includes(figure.name))).toEqual([]);
  return found;
}
const figure = (found: Judgement, name: string) => found.figures.find((one) => one.name === name);
const said = (found: Judgement) =>
  verdictText({ type: 'judged', step: 'step', at: 0, ...found, figures: found.figures });
/** Every required reading and value left out in turn. */
const without = (name: string, told: Readonly<Record<string, string>>) =>
  [
    ...(CALCULATIONS[name]?.readings ?? []).filter((one) => one.optional !== true).map((one) => one.name),
    ...(CALCULATIONS[name]?.values ?? []).filter((one) => one.optional !== true).map((one) => one.key),
  ].map((gone) => {
    expect(Object.keys(told)).toContain(gone);
    return [gone, Object.fromEntries(Object.entries(told).filter(([key]) => key !== gone))] as const;
  });

describe('the car on its pads with the pack out', () => {
  // 2,200 kg, centre 1.32 m behind the front axle; pack 500 kg at 1.4 m.
  const told = {
    'pad-front': '600 mm',
    'pad-rear': '2000 mm',
    'vehicle.axle-load-front': '1200 kg',
    'vehicle.axle-load-rear': '1000 kg',
    'vehicle.wheelbase': '2900 mm',
    'vehicle.pack-mass': '500 kg',
    'vehicle.pack-position': '1400 mm',
    'lift.rating': '3500 kg',
    'lift.pad-rating': '900 kg',
    'shop.balance-margin': '100 mm',
  };

  test('both standings pass, with the loads on each pair and the margins first', () => {
    const found = judged('lift-balance-pack-out', told);
    expect(found).toMatchObject({ verdict: 'passed' });
    expect(found.figures.map((one) => [one.name, one.quantity.value])).toEqual([
      ['balance-margin', 682],
      ['balance-margin-off', 694],
      ['front-load', 1071.4],
      ['rear-load', 1128.6],
      ['front-load-off', 857.1],
      ['rear-load-off', 842.9],
    ]);
  });

  test('loads before are those of the balance with everything on', () => {
    const [both, on] = [judged('lift-balance-pack-out', told), judged('lift-balance', told)];
    for (const name of ['front-load', 'rear-load', 'balance-margin'])
      expect(figure(both, name)).toEqual(figure(on, name));
  });

  test.each<[string, object, string, RegExp]>([
    [
      'a pack far back tips the car forward',
      { 'vehicle.pack-position': '4500 mm' },
      'tips-forward-off',
      /without the pack .* forward/,
    ],
    [
      'a pack far forward tips it backward',
      { 'vehicle.pack-position': '-1900 mm' },
      'tips-backward-off',
      /without the pack .* backward/,
    ],
    [
      'a pack a little back eats the margin',
      { 'vehicle.pack-position': '3500 mm' },
      'margin-too-small-off',
      /once the pack is out/,
    ],
    [
      'pads too far back are refused before the pack is asked',
      { 'pad-front': '1250 mm' },
      'margin-too-small',
      /Move the pads/,
    ],
    ['a pad too weak for the whole car', { 'lift.pad-rating': '500 kg' }, 'over-pad-rating', /pad may carry/],
    [
      'a pack ahead of the pads loads the other pair',
      { 'vehicle.pack-position': '-500 mm', 'lift.pad-rating': '600 kg' },
      'over-pad-rating-off',
      /once the pack is out/,
    ],
    [
      'a pack heavier than the car',
      { 'vehicle.pack-mass': '2300 kg' },
      'part-too-heavy',
      /heavier than the car/,
    ],
  ])('%s', (_, change, because, words) => {
    const found = judged('lift-balance-pack-out', { ...told, ...change });
    expect(found).toMatchObject({ verdict: 'hold', because });
    expect(said(found)).toMatch(words);
  });

  test.each(without('lift-balance-pack-out', told))('without %s nothing is judged', (_, less) => {
    expect(judged('lift-balance-pack-out', less)).toMatchObject({
      verdict: 'hold',
      because: 'value-missing',
    });
  });
});

describe('the table under the pack', () => {
  test.each([
    ['up to its rating', { 'table-rating': '500 kg' }, 'passed', 500],
    [
      'the lower of plate and shop counts',
      { 'table-rating': '1000 kg', 'shop.table-rating': '750 kg' },
      'passed',
      750,
    ],
    [
      'the plate counts where it is the lower',
      { 'table-rating': '400 kg', 'shop.table-rating': '750 kg' },
      'hold',
      400,
    ],
    ['the shop’s figure alone', { 'shop.table-rating': '499 kg' }, 'hold', 499],
  ])('%s', (_, told, verdict, max) => {
    const found = judged('table-carries', { 'vehicle.pack-mass': '500 kg', ...told });
    expect(found).toMatchObject({ verdict });
    expect(figure(found, 'table-load')?.max).toEqual({ value: max, unit: 'kg' });
  });
  test('a table of no known rating carries nothing', () => {
    expect(judged('table-carries', { 'vehicle.pack-mass': '500 kg' })).toMatchObject({
      because: 'value-missing',
    });
    expect(judged('table-carries', { 'shop.table-rating': '500 kg' })).toMatchObject({
      because: 'value-missing',
    });
  });
  test('words for a table too weak', () => {
    const found = judged('table-carries', { 'vehicle.pack-mass': '500 kg', 'table-rating': '450 kg' });
    expect(said(found)).toBe(
      'Out of limits: pack too heavy for this table. Nothing is unbolted over it. Table load 500 kg, at most 450 kg.',
    );
  });
});

describe('coolant out against in', () => {
  const told = { 'coolant-out': '4.2 l', 'coolant-in': '4250 ml', 'shop.coolant-tolerance': '150 ml' };
  test.each([
    ['4250 ml', 'passed', 'in-limits', 50],
    ['4350 ml', 'passed', 'in-limits', 150],
    ['4351 ml', 'hold', 'may-be-in-the-pack', 151],
    ['4.05 l', 'passed', 'in-limits', -150],
    ['4.04 l', 'again', 'air-left', -160],
  ])('4.2 l out and %s in: %s, %s', (inside, verdict, because, difference) => {
    const found = judged('coolant-balance', { ...told, 'coolant-in': inside });
    expect(found).toMatchObject({ verdict, because });
    expect(figure(found, 'coolant-difference')).toMatchObject({
      quantity: { value: difference, unit: 'ml' },
      min: { value: -150, unit: 'ml' },
      max: { value: 150, unit: 'ml' },
    });
  });
  test('a flow that measures again cannot soften coolant that may be in the pack, nor an unread tray', () => {
    expect(judged('coolant-balance', { ...told, 'coolant-in': '5 l' }, 'again')).toMatchObject({
      verdict: 'hold',
    });
    const { 'coolant-out': _, ...unread } = told;
    const found = judged('coolant-balance', unread, 'again');
    expect(found).toMatchObject({ verdict: 'hold', because: 'tray-not-read', figures: [] });
    expect(said(found)).toContain('not guessed');
  });
  test('without the shop’s tolerance nothing is judged', () => {
    const { 'shop.coolant-tolerance': _, ...less } = told;
    expect(judged('coolant-balance', less)).toMatchObject({ verdict: 'hold', because: 'value-missing' });
  });
});

describe('frost point', () => {
  const told = { 'frost-point': '-31 °C', 'vehicle.frost-point': '-30 °C' };
  const known = { 'vehicle.coolant-volume': '10 l', 'vehicle.coolant-glycol': '=ethylene' };
  test.each([
    ['-31 °C', 'passed'],
    ['-30 °C', 'passed'],
    ['-22 °F', 'passed'],
    ['-29.9 °C', 'hold'],
    ['4 °C', 'hold'],
  ])('%s where -30 °C is asked: %s', (read, verdict) => {
    expect(judged('frost', { ...told, 'frost-point': read })).toMatchObject({ verdict });
  });
  test('too warm says how much of the circuit to swap, where volume and glycol are known', () => {
    const found = judged('frost', { ...told, ...known, 'frost-point': '-22.3 °C' });
    // 37.5 volume % is in, 44.6 is asked: (44.6 - 37.5) / (100 - 37.5) of 10 l, rounded up.
    expect(found).toMatchObject({ verdict: 'hold', because: 'frost-point-too-warm' });
    expect(figure(found, 'coolant-strength')).toMatchObject({
      quantity: { value: 38, unit: '%' },
      min: { value: 45 },
    });
    expect(figure(found, 'coolant-swap')).toMatchObject({ quantity: { value: 1.2, unit: 'l' } });
    expect(said(found)).toBe(
      'Out of limits: coolant too weak: it would freeze too early. Frost point -22.3 °C, at most -30 °C; ' +
        'coolant strength 38 %, at least 45 %. Drain 1.2 l at least, fill with concentrate, run the pump, read again.',
    );
  });
  test('a concentrate that is not pure takes more of it', () => {
    const found = judged('frost', {
      ...told,
      ...known,
      'frost-point': '-22.3 °C',
      'shop.coolant-concentrate': '93 %',
    });
    expect(figure(found, 'coolant-swap')?.quantity.value).toBe(1.3);
    const premix = { ...told, ...known, 'frost-point': '-22.3 °C', 'shop.coolant-concentrate': '40 %' };
    expect(figure(judged('frost', premix), 'coolant-swap')).toBeUndefined();
  });
  test('an unknown glycol, an unknown volume or one out of the table gives no amount', () => {
    for (const less of [
      { ...known, 'vehicle.coolant-glycol': '=demo mix' },
      { 'vehicle.coolant-glycol': '=ethylene' },
      { ...known, 'vehicle.frost-point': '-60 °C' },
    ])
      expect(judged('frost', { ...told, ...less, 'frost-point': '-20 °C' }).figures.length).toBe(1);
  });
  test.each<[string, object, string, string]>([
    ['in its range', { 'sample-temp': '20 °C' }, 'passed', 'in-limits'],
    ['warmer than its range', { 'sample-temp': '45 °C' }, 'again', 'sample-too-warm'],
    ['colder than its range', { 'sample-temp': '3 °C' }, 'again', 'sample-too-cold'],
  ])('a drop %s in the refractometer: %s', (_, sample, verdict, because) => {
    const sheet = { 'shop.refractometer-from': '10 °C', 'shop.refractometer-to': '30 °C' };
    expect(judged('frost', { ...told, ...sheet, ...sample })).toMatchObject({ verdict, because });
  });
  test('a drop’s temperature without the instrument’s own range asks for it', () => {
    const found = judged('frost', { ...told, 'sample-temp': '20 °C' });
    expect(found).toMatchObject({ verdict: 'again', because: 'no-correction' });
    expect(said(found)).toContain('own sheet');
  });
  test.each(without('frost', told))('without %s nothing is judged', (_, less) => {
    expect(judged('frost', less)).toMatchObject({ verdict: 'hold', because: 'value-missing' });
  });
});

describe('the bonding strap', () => {
  test.each<[string, Readonly<Record<string, string>>, string, string]>([
    ['a good one', { bonding: '0.03 Ω' }, 'passed', 'in-limits'],
    ['in milliohms', { bonding: '99 mΩ' }, 'passed', 'in-limits'],
    ['on the regulation’s limit', { bonding: '100 mΩ' }, 'hold', 'bond-too-high'],
    ['over range', { bonding: '>0.05 Ω' }, 'hold', 'bond-too-high'],
    [
      'on the maker’s stricter limit',
      { bonding: '20 mΩ', 'vehicle.bonding-max': '0.02 Ω' },
      'passed',
      'in-limits',
    ],
    ['above it', { bonding: '21 mΩ', 'vehicle.bonding-max': '0.02 Ω' }, 'hold', 'bond-too-high'],
    [
      'a maker looser than the regulation',
      { bonding: '0.2 Ω', 'vehicle.bonding-max': '1 Ω' },
      'hold',
      'bond-too-high',
    ],
    [
      'with too small a current',
      { bonding: '0.03 Ω', 'bonding-current': '10 mA' },
      'again',
      'test-current-too-low',
    ],
    ['with 0.2 A', { bonding: '0.03 Ω', 'bonding-current': '0.2 A' }, 'passed', 'in-limits'],
    ['not measured', { 'vehicle.bonding-max': '0.02 Ω' }, 'hold', 'value-missing'],
    ['minus', { bonding: '-0.03 Ω' }, 'hold', 'not-a-resistance'],
  ])('%s: %o is %s, %s', (_, told, verdict, because) => {
    expect(judged('bonding', told)).toMatchObject({ verdict, because });
  });
});

describe('insulation by how the bus is built', () => {
  const told = {
    'insulation-plus': '0.3 MΩ',
    'insulation-minus': '5 MΩ',
    'vehicle.max-voltage': '800 V',
    'vehicle.insulation-test-voltage': '1000 V',
  };
  test.each([
    ['a bus of DC alone wants 100 Ω/V', { 'vehicle.ac-joined': '=no' }, 'passed', 0.08],
    ['AC joined wants 500 Ω/V', { 'vehicle.ac-joined': '=yes' }, 'hold', 0.4],
    ['AC joined and protected wants 100 Ω/V', { 'vehicle.ac-joined': '=protected' }, 'passed', 0.08],
    ['where nobody knows it is taken as joined', {}, 'hold', 0.4],
    [
      'the maker’s stricter figure wins',
      { 'vehicle.ac-joined': '=no', 'vehicle.insulation-minimum': '1 MΩ' },
      'hold',
      1,
    ],
  ])('%s', (_, change, verdict, megohm) => {
    const found = judged('insulation', { ...told, ...change });
    expect(found.verdict).toBe(verdict);
    expect(figure(found, 'insulation-plus')?.min?.value).toBeCloseTo(megohm, 9);
  });
  const good = { ...told, 'insulation-plus': '5 MΩ', 'vehicle.insulation-test-hold': '60 s' };
  test.each([
    ['held as long as asked', { 'insulation-held': '1 min' }, 'passed', 'in-limits'],
    ['let go too early', { 'insulation-held': '30 s' }, 'hold', 'test-too-short'],
    ['where the step does not ask how long', {}, 'passed', 'in-limits'],
    ['set to half the voltage', { 'insulation-volts': '500 V' }, 'hold', 'test-voltage-too-low'],
    ['set to too much', { 'insulation-volts': '2500 V' }, 'hold', 'test-voltage-too-high'],
  ])('a tester %s: %o', (_, change, verdict, because) => {
    expect(judged('insulation', { ...good, ...change })).toMatchObject({ verdict, because });
  });
});
