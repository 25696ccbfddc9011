import type { Written } from '../documents.js';

type Values = Written['vehicles.json']['models'][number]['values'];

/** Values of one page of an invented manual. */
function page(reference: string, values: Readonly<Record<string, string>>): Values {
  const enteredBy = 'Orla Fenwick';
  const entry = ([name, written]: [string, string]) =>
    [
      name,
      written.startsWith('=')
        ? { text: written.slice(1), reference, enteredBy }
        : { value: written, reference, enteredBy },
    ] as const;
  return Object.fromEntries(Object.entries(values).map(entry));
}

const TEASEL: Values = {
  ...page('Teasel demo manual 1.1', {
    'lift-points': '=the four sill marks',
    'battery-place': '=under the bonnet, left',
    'loop-place': '=the orange flap under the bonnet',
    'test-point': '=the junction box, rear cover',
    'cell-temp-max': '45 °C',
    'charge-max': '50 %',
    'insulation-alarm': '0.5 MΩ',
  }),
  ...page('Teasel demo manual 4.3', {
    'joint-pattern': '=cross',
    'trigger-order': '=plug last, after both joints',
    'power-order': '=loop first, then the battery',
  }),
  ...page('Teasel demo manual 2.1', {
    'pack-voltage': '386 V',
    'max-voltage': '450 V',
    'discharge-wait': '10 min',
    'pyro-wait': '3 min',
    'ac-joined': '=yes',
  }),
  ...page('Teasel demo manual 4.2', {
    'joint-torque': '9 N·m',
    'joint-torque-tolerance': '10 %',
    'joint-torque-stages': '=50 100',
    'joint-bolts': '2 pcs',
    'fuse-own-cell-months': '96 pcs',
    'fuse-inspect-months': '24 pcs',
    'fuse-fitted-types': '=own-cell or loop-fed',
  }),
  ...page('Teasel demo manual 4.5', {
    'cover-torque': '8 N·m',
    'cover-torque-stages': '=50 75 100',
    'cover-bolts': '10 pcs',
    'cover-pattern': '=cross',
    'bead-width': '6 mm',
    'bead-faces': '=1',
  }),
  ...page('Teasel demo manual 4.6', {
    'tight-start': '30 mbar',
    'tight-limit': '2 mbar',
    'tight-minutes': '2 min',
    'insulation-minimum': '1 MΩ',
    'insulation-test-voltage': '500 V',
    'insulation-test-hold': '60 s',
  }),
  ...page('Teasel demo manual 1.3', {
    'axle-load-front': '780 kg',
    'axle-load-rear': '740 kg',
    wheelbase: '2560 mm',
  }),
};

const MOORHEN: Values = {
  ...page('Moorhen demo manual 1.2', {
    'lift-points': '=the four cast pads ahead of and behind the sills',
    'battery-place': '=under the boot floor, right',
    'loop-place': '=the service plug behind the rear seat',
    'test-point': '=the service port at the front motor',
    'cell-temp-max': '45 °C',
    'charge-max': '30 %',
    'insulation-alarm': '1 MΩ',
  }),
  ...page('Moorhen demo manual 6.3', {
    'joint-pattern': '=cross',
    'trigger-order': '=plug last, after both joints',
    'power-order': '=battery first, then the plug',
  }),
  ...page('Moorhen demo manual 3.1', {
    'pack-voltage': '702 V',
    'max-voltage': '830 V',
    'discharge-wait': '15 min',
    'pyro-wait': '5 min',
    'ac-joined': '=yes',
  }),
  ...page('Moorhen demo manual 6.2', {
    'joint-torque': '14 N·m',
    'joint-torque-tolerance': '8 %',
    'joint-torque-stages': '=50 100',
    'joint-bolts': '2 pcs',
    'fuse-own-cell-months': '96 pcs',
    'fuse-inspect-months': '36 pcs',
    'fuse-fitted-types': '=own-cell or loop-fed',
  }),
  ...page('Moorhen demo manual 6.4', {
    'cover-torque': '10 N·m',
    'cover-torque-stages': '=50 75 100',
    'cover-bolts': '38 pcs',
    'cover-pattern': '=spiral',
    'bead-width': '8 mm',
    'bead-faces': '=1',
  }),
  ...page('Moorhen demo manual 6.7', {
    'tight-start': '25 mbar',
    'tight-limit': '1.5 mbar',
    'tight-minutes': '10 min',
    'insulation-minimum': '2 MΩ',
    'insulation-test-voltage': '1000 V',
    'insulation-test-hold': '60 s',
  }),
  ...page('Moorhen demo manual 5.1', {
    'axle-load-front': '1060 kg',
    'axle-load-rear': '1120 kg',
    wheelbase: '2890 mm',
    'pack-mass': '520 kg',
    'pack-centre': '1480 mm',
    'pack-position': '1480 mm',
    'pack-torque-stages': '=50 100',
    'pack-bolt-order': '=ends inward, the two marked M last',
    'table-points': '=the four ribs marked T',
    'plug-places': '=the two orange plugs at the front of the pack',
    'strap-place': '=the rear left corner',
    'bonding-max': '0.05 Ω',
    'pack-bolts': '22 pcs',
    'pack-torque': '110 N·m',
    'pack-pattern': '=cross',
  }),
  ...page('Moorhen demo manual 7.1', {
    'coolant-volume': '12.5 l',
    'coolant-open-below': '40 °C',
    'coolant-type': '=demo glycol mix, violet',
    'coolant-couplings': '=the two quick couplings at the front',
    'frost-point': '-30 °C',
    'bleed-time': '10 min',
  }),
};

export const VEHICLES: Written['vehicles.json'] = {
  models: [
    {
      id: 'teasel',
      name: 'Teasel (invented)',
      choices: {
        access: 'hatch',
        order: 'loop-first',
        'loop-kind': 'low-voltage-loop',
        'test-point': 'above',
      },
      values: TEASEL,
    },
    {
      id: 'moorhen',
      name: 'Moorhen (invented)',
      choices: {
        access: 'pack-out',
        order: 'lv-first',
        'loop-kind': 'high-voltage-plug',
        'test-point': 'above',
      },
      values: MOORHEN,
    },
  ],
  cars: [
    { registration: 'DEMO-1', model: 'teasel', odometerKm: 81200, kmPerYear: 15000 },
    {
      registration: 'DEMO-2',
      model: 'teasel',
      odometerKm: 46750,
      kmPerYear: null,
      choices: { order: 'lv-first' },
      note: 'a Teasel of the second series: low-voltage battery off first',
    },
    { registration: 'DEMO-3', model: 'moorhen', odometerKm: 132400, kmPerYear: 28000 },
    {
      registration: 'DEMO-4',
      model: 'moorhen',
      odometerKm: null,
      kmPerYear: null,
      choices: { access: 'hatch', order: 'loop-first' },
      note: 'odometer not read yet',
    },
    {
      registration: 'DEMO-5',
      model: 'moorhen',
      odometerKm: 60310,
      kmPerYear: 19000,
      choices: { access: 'hatch' },
      note: 'hatch version: the fuse is reached from below',
    },
  ],
};
