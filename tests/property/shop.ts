import { readdirSync, readFileSync } from 'node:fs';
import type { FlowSource } from '../../src/desk/flow-source.js';
import { openFlows } from '../../src/desk/flows.js';
import { printFault } from '../../src/flow/fault.js';
import type { Flow } from '../../src/flow/flow.js';
import { PEOPLE } from '../../src/shop/demo/people.js';
import { VEHICLES } from '../../src/shop/demo/vehicles.js';
import { printRegisterFault } from '../../src/shop/fault.js';
import { printJson } from '../../src/shop/json.js';
import { checkRegister, type Register } from '../../src/shop/register.js';
import type { Crew } from '../crew/crew.js';
import { demoTexts } from '../shop/folders.js';

/** The repository's flows and the trials. Whether they are proved is another test's business. */
export async function openTrials(): Promise<FlowSource> {
  const read = (folder: URL) =>
    readdirSync(folder)
      .filter((name) => name.endsWith('.yaml'))
      .map((name) => ({ name, text: readFileSync(new URL(name, folder), 'utf8') }));
  const files = [
    ...read(new URL('../../flows/', import.meta.url)),
    ...read(new URL('trials/', import.meta.url)),
  ];
  const opened = await openFlows(files, { has: async () => true, keep: async () => undefined });
  if (opened.faults.length > 0) throw new Error(opened.faults.map(printFault).join('\n'));
  // Working out the texts of a bundle takes as long as a hundred inputs.
  const texts = new Map<string, ReadonlyMap<string, string>>();
  const textsOf = (flow: Flow) => {
    const known = texts.get(flow.bundle) ?? opened.source.texts(flow);
    texts.set(flow.bundle, known);
    return known;
  };
  return { ...opened.source, texts: textsOf };
}

const sky = { level: '3S', until: '2027-01-31' };
const [teasel, moorhen] = VEHICLES.models;

const below = { 'test-point': 'below' };

function car(registration: string, model: string, choices: Readonly<Record<string, string>>) {
  return { registration, model, odometerKm: 12_000, kmPerYear: null, choices };
}

/** The demo workshop with a second foreman, one more technician, and cars of every variant and a gap. */
export function trialRegister(): Register {
  if (teasel === undefined || moorhen === undefined) throw new Error('the demo workshop has too few models');
  const { 'pyro-wait': _wait, 'cell-temp-max': _temp, 'cover-torque': _torque, ...values } = teasel.values;
  const { 'pack-mass': _mass, 'coolant-open-below': _open, 'pack-torque': _bolts, ...fewer } = moorhen.values;
  const people = [
    ...PEOPLE.people,
    { id: 'fern', name: 'Fern Askew', roles: ['foreman' as const], levels: [sky] },
    { id: 'nell', name: 'Nell Garrod', roles: ['technician' as const], levels: [sky] },
  ];
  const models = [
    ...VEHICLES.models,
    { ...teasel, id: 'teasel-gaps', name: 'Teasel (gaps)', values },
    { ...moorhen, id: 'moorhen-gaps', name: 'Moorhen (gaps)', values: fewer },
  ];
  const cars = [
    ...VEHICLES.cars,
    car('TRIAL-1', 'moorhen', { access: 'hatch', order: 'lv-first' }),
    car('TRIAL-2', 'teasel-gaps', {}),
    car('TRIAL-3', 'moorhen', { ...below, order: 'loop-first' }),
    car('TRIAL-4', 'moorhen', { order: 'loop-first', 'loop-kind': 'low-voltage-loop' }),
    car('TRIAL-5', 'moorhen-gaps', { ...below, order: 'lv-first', 'loop-kind': 'low-voltage-loop' }),
    car('TRIAL-6', 'teasel', { ...below, order: 'loop-first' }),
    car('TRIAL-7', 'moorhen', { ...below, access: 'hatch', order: 'lv-first' }),
    car('TRIAL-8', 'moorhen', { ...below, order: 'loop-first', 'loop-kind': 'low-voltage-loop' }),
    car('TRIAL-9', 'teasel', { ...below, order: 'lv-first' }),
  ];
  // One of each for either bay: a car is worked on in one.
  const checked = checkRegister(
    demoTexts({
      'people.json': printJson({ ...PEOPLE, people }),
      'vehicles.json': printJson({ ...VEHICLES, models, cars }),
    }),
  );
  if (!checked.ok) throw new Error(checked.faults.map(printRegisterFault).join('\n'));
  return checked.register;
}

/** Who works in a bay, and what they read. */
export type BayCrew = Crew & { readonly bay: string; readonly holders: readonly [string, string] };

const good = {
  batch: 'MS4-2601',
  value: '10 min',
  values: {
    'vehicle.pyro-wait': '3 min',
    'vehicle.cell-temp-max': '45 °C',
    'vehicle.cover-torque': '8 N·m',
    'vehicle.pack-mass': '520 kg',
    'vehicle.coolant-open-below': '40 °C',
    'vehicle.pack-torque': '110 N·m',
    'vehicle.coolant-volume': '12 l',
    'vehicle.lv-lithium-rest-min': '13 V',
    'vehicle.lv-lithium-rest-max': '13.6 V',
    'vehicle.frost-point': '-30 °C',
  },
  readings: {
    'charge-state': '30 %',
    'cell-hottest': '24 °C',
    'cell-coldest': '23 °C',
    'insulation-before': '4 MΩ',
    'pad-front': '520 mm',
    'pad-rear': '1980 mm',
    'pack-skin': '21 °C',
    'air-temp': '21 °C',
    humidity: '45 %',
    'panel-temp': '21 °C',
    'tools-out': '14 pcs',
    'own-tools-out': '14 pcs',
    'air-pressure': '1000 mbar',
    't-start': '21 °C',
    't-end': '21 °C',
    'insulation-plus': '50 MΩ',
    'insulation-minus': '60 MΩ',
    'pack-temp': '21 °C',
    'coolant-temp': '22 °C',
    'table-rating': '1000 kg',
    bonding: '0.02 Ω',
    'bonding-current': '1 A',
    'tray-late': '0 ml',
    'tray-night': '0 ml',
    'coolant-out': '120 ml',
    'frost-point': '-35 °C',
    vacuum: '-800 mbar',
    level: '20 mm',
  },
};

export const CREWS: readonly BayCrew[] = [
  { ...good, bay: '2', foreman: 'orla', deputy: 'fern', standby: 'tamsin', holders: ['mara', 'orla'] },
  { ...good, bay: '1', foreman: 'fern', deputy: 'orla', standby: 'wilf', holders: ['jory', 'nell'] },
];
