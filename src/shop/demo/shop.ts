import type { Written } from '../documents.js';

const PRACTICE = 'common practice, no source';
const SHEET = 'Quillmoor shop sheet 3';

const agreed = (value: string) => ({ value, reference: PRACTICE, enteredBy: 'Orla Fenwick' });
const ours = (value: string) => ({ value, reference: SHEET, enteredBy: 'Orla Fenwick' });

/** The demo workshop is invented, its people, cars, values and numbers too. */
export const SHOP: Written['shop.json'] = {
  note: 'Demo workshop. Everything in it is invented. Do not work on a car with these values.',
  name: 'Quillmoor Works',
  site: 'QM',
  zone: 'Europe/Dublin',
  hours: {
    monday: [
      { from: '07:00', to: '15:30' },
      { from: '15:30', to: '23:00' },
    ],
    tuesday: [
      { from: '07:00', to: '15:30' },
      { from: '15:30', to: '23:00' },
    ],
    wednesday: [
      { from: '07:00', to: '15:30' },
      { from: '15:30', to: '23:00' },
    ],
    thursday: [
      { from: '07:00', to: '15:30' },
      { from: '15:30', to: '23:00' },
    ],
    friday: [{ from: '07:00', to: '15:30' }],
    saturday: [],
    sunday: [],
  },
  closed: ['2026-03-17', '2026-12-25'],
  emergency: [
    { label: 'Emergency (demo number)', number: '000' },
    { label: 'Works first aid (demo)', number: 'ext. 11' },
    { label: 'Foreman on call (demo)', number: 'ext. 20' },
  ],
  deputies: [{ person: 'tamsin', from: '2026-03-19 07:00', until: '2026-03-20 15:30' }],
  settings: { pause: '15 min', visit: '15 min', 'dead-test': '10 min', 'check-in-grace': '5 min' },
  values: {
    'dead-limit': agreed('5 V'),
    'proving-voltage': { value: '400 V', reference: 'plate of source PS1', enteredBy: 'Orla Fenwick' },
    'proving-tolerance': agreed('10 %'),
    'dew-margin': agreed('3 K'),
    'pack-warm-margin': agreed('5 K'),
    'balance-margin': agreed('100 mm'),
    'thermometer-error': { value: '0.2 K', reference: 'plate of gauge P1', enteredBy: 'Orla Fenwick' },
    'bond-limit': { value: '0.1 Ω', reference: 'UN R100, from memory', enteredBy: 'Orla Fenwick' },
    'lay-time': ours('6 min'),
    'fit-time': ours('3 min'),
    'first-pass-time': ours('4 min'),
    'open-time-reserve': ours('2 min'),
    'pack-move-time': ours('20 min'),
    'check-in-time': agreed('15 min'),
    'coolant-tolerance': ours('150 ml'),
    'spill-limit': ours('10 ml/min'),
    'stillness-limit': ours('2 ml/min'),
    'vacuum-minutes': agreed('5 min'),
    'vacuum-rise': agreed('20 mbar'),
    'level-minutes': agreed('5 min'),
    'level-change': agreed('2 mm'),
    'tread-least': ours('3 mm'),
    'tyre-age-most': { text: '8 years', reference: SHEET, enteredBy: 'Orla Fenwick' },
  },
};
