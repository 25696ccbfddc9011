import type { Dimension } from '../units/unit.js';

/** What a calculation needs and gives. The running code is in `job/judge.ts`, the arithmetic in `trade/`. */
export type Calculation = {
  /** Readings of the job by name, in this step or before it. */
  readonly readings: readonly {
    readonly name: string;
    readonly dimension: Dimension;
    /** Judged too where the flow asks it. */
    readonly optional?: true;
  }[];
  readonly values: readonly CalculationValue[];
  /** Names of figures that it computes for clocks and the record. */
  readonly figures: readonly string[];
};

export type CalculationValue = {
  /** `SOURCE.NAME`, as a job keeps it. */
  readonly key: string;
  /** `text` for a value that is a word. */
  readonly dimension: Dimension | 'text';
  readonly optional?: true;
};

const DEWY: Calculation['readings'] = [
  { name: 'air-temp', dimension: 'temperature' },
  { name: 'humidity', dimension: 'fraction' },
];

const LIFT: Pick<Calculation, 'readings' | 'values'> = {
  readings: [
    { name: 'pad-front', dimension: 'length' },
    { name: 'pad-rear', dimension: 'length' },
  ],
  values: [
    { key: 'vehicle.axle-load-front', dimension: 'mass' },
    { key: 'vehicle.axle-load-rear', dimension: 'mass' },
    { key: 'vehicle.wheelbase', dimension: 'length' },
    { key: 'lift.rating', dimension: 'mass' },
    { key: 'lift.pad-rating', dimension: 'mass' },
    { key: 'shop.balance-margin', dimension: 'length' },
  ],
};

/** By the name that a step gives under `judge:`. */
export const CALCULATIONS: Readonly<Record<string, Calculation>> = {
  'lift-balance': { ...LIFT, figures: ['front-load', 'rear-load', 'balance-margin'] },
  /** With the pack in the car, and after it has left. */
  'lift-balance-pack-out': {
    readings: LIFT.readings,
    values: [
      ...LIFT.values,
      { key: 'vehicle.pack-mass', dimension: 'mass' },
      /** Its centre of gravity behind the front axle. */
      { key: 'vehicle.pack-position', dimension: 'length' },
    ],
    figures: [
      'front-load',
      'rear-load',
      'balance-margin',
      'front-load-off',
      'rear-load-off',
      'balance-margin-off',
    ],
  },
  /** The rating is read off the table's plate, stands with the shop, or both: the lower one counts. */
  'table-carries': {
    readings: [{ name: 'table-rating', dimension: 'mass', optional: true }],
    values: [
      { key: 'vehicle.pack-mass', dimension: 'mass' },
      { key: 'shop.table-rating', dimension: 'mass', optional: true },
    ],
    figures: ['table-load'],
  },
  'coolant-balance': {
    readings: [
      { name: 'coolant-out', dimension: 'volume' },
      { name: 'coolant-in', dimension: 'volume' },
      /** What ran into the tray later, read before it was emptied: over night, and before the fill. */
      { name: 'tray-night', dimension: 'volume', optional: true },
      { name: 'tray-late', dimension: 'volume', optional: true },
      /** Added after the fill. */
      { name: 'coolant-added', dimension: 'volume', optional: true },
    ],
    values: [{ key: 'shop.coolant-tolerance', dimension: 'volume' }],
    figures: ['coolant-went-in', 'coolant-came-out', 'coolant-difference'],
  },
  frost: {
    readings: [
      { name: 'frost-point', dimension: 'temperature' },
      /** Of the drop in the refractometer. */
      { name: 'sample-temp', dimension: 'temperature', optional: true },
    ],
    values: [
      { key: 'vehicle.frost-point', dimension: 'temperature' },
      { key: 'vehicle.coolant-volume', dimension: 'volume', optional: true },
      /** `ethylene` or `propylene`. */
      { key: 'vehicle.coolant-glycol', dimension: 'text', optional: true },
      /** Volume % of glycol in the concentrate at hand; pure glycol where it is not known. */
      { key: 'shop.coolant-concentrate', dimension: 'fraction', optional: true },
      /** The sample temperatures that the refractometer corrects for, from its own sheet. */
      { key: 'shop.refractometer-from', dimension: 'temperature', optional: true },
      { key: 'shop.refractometer-to', dimension: 'temperature', optional: true },
    ],
    figures: ['frost-point', 'coolant-strength', 'coolant-swap'],
  },
  bonding: {
    readings: [
      { name: 'bonding', dimension: 'resistance' },
      { name: 'bonding-current', dimension: 'current', optional: true },
    ],
    values: [{ key: 'vehicle.bonding-max', dimension: 'resistance', optional: true }],
    figures: ['bonding'],
  },
  'dew-point': {
    readings: [...DEWY, { name: 'pack-skin', dimension: 'temperature' }],
    values: [{ key: 'shop.dew-margin', dimension: 'temperature' }],
    figures: ['dew-point', 'dew-margin'],
  },
  'sealant-plan': {
    readings: [...DEWY, { name: 'panel-temp', dimension: 'temperature' }],
    values: [
      { key: 'sealant.skin-time', dimension: 'time' },
      { key: 'sealant.depth-24h', dimension: 'length' },
      { key: 'sealant.handle-part', dimension: 'fraction' },
      { key: 'sealant.test-part', dimension: 'fraction' },
      { key: 'sealant.drive-part', dimension: 'fraction' },
      { key: 'vehicle.bead-width', dimension: 'length' },
      { key: 'vehicle.bead-faces', dimension: 'text' },
      { key: 'shop.lay-time', dimension: 'time' },
      { key: 'shop.fit-time', dimension: 'time' },
      { key: 'shop.first-pass-time', dimension: 'time' },
      { key: 'shop.open-time-reserve', dimension: 'time' },
    ],
    figures: ['open-time', 'cure-handle', 'cure-test', 'cure-drive'],
  },
  insulation: {
    readings: [
      { name: 'insulation-plus', dimension: 'resistance' },
      { name: 'insulation-minus', dimension: 'resistance' },
      { name: 'insulation-volts', dimension: 'voltage', optional: true },
      { name: 'insulation-held', dimension: 'time', optional: true },
    ],
    values: [
      { key: 'vehicle.max-voltage', dimension: 'voltage' },
      { key: 'vehicle.insulation-test-voltage', dimension: 'voltage' },
      { key: 'vehicle.insulation-minimum', dimension: 'resistance', optional: true },
      { key: 'vehicle.insulation-test-hold', dimension: 'time', optional: true },
      /** `yes`, `no` or `protected`; a doubt is `yes`. */
      { key: 'vehicle.ac-joined', dimension: 'text', optional: true },
    ],
    figures: ['insulation-plus', 'insulation-minus'],
  },
  'enclosure-tight': {
    readings: [
      { name: 'air-pressure', dimension: 'pressure' },
      { name: 'p-start', dimension: 'pressure' },
      { name: 't-start', dimension: 'temperature' },
      { name: 'p-end', dimension: 'pressure' },
      { name: 't-end', dimension: 'temperature' },
    ],
    values: [
      { key: 'vehicle.tight-start', dimension: 'pressure' },
      { key: 'vehicle.tight-limit', dimension: 'pressure' },
      { key: 'vehicle.tight-minutes', dimension: 'time' },
      { key: 'shop.thermometer-error', dimension: 'temperature' },
    ],
    figures: ['compensated-drop'],
  },
  'pack-cool': {
    readings: [
      { name: 'pack-temp', dimension: 'temperature' },
      { name: 'air-temp', dimension: 'temperature' },
    ],
    values: [{ key: 'shop.pack-warm-margin', dimension: 'temperature' }],
    figures: ['pack-above-air'],
  },
  'joint-torque': {
    readings: [{ name: 'joint-torque', dimension: 'torque' }],
    // The torque of the step and its tolerance, whatever they are called: `values.ts` names them.
    values: [],
    figures: [],
  },
};

/** What a watched reading is held against. The running code is in `job/settling.ts`, the arithmetic in `trade/`. */
export type Settling = {
  /** What it can be read in. */
  readonly dimensions: readonly Dimension[];
  readonly values: readonly CalculationValue[];
  /** Names of figures that it gives for clocks and the record. */
  readonly figures: readonly string[];
};

/** By the name that a watch gives under `until:`. */
export const SETTLINGS: Readonly<Record<string, Settling>> = {
  /** What ran into a tray has died away. Figures that the shop does not set: common practice, in `trade/spill.ts`. */
  'spill-still': {
    dimensions: ['volume'],
    values: [
      { key: 'shop.stillness-limit', dimension: 'flow-rate', optional: true },
      { key: 'shop.stillness-minutes', dimension: 'time', optional: true },
      { key: 'shop.tray-error', dimension: 'volume', optional: true },
    ],
    figures: ['spill-rate', 'spill-estimate'],
  },
  /** The pressure of an evacuated circuit stays. The car's own figures come first, then the shop's. */
  'vacuum-holds': {
    dimensions: ['pressure'],
    values: [
      { key: 'vehicle.vacuum-minutes', dimension: 'time', optional: true },
      { key: 'vehicle.vacuum-rise', dimension: 'pressure', optional: true },
      { key: 'shop.vacuum-minutes', dimension: 'time' },
      { key: 'shop.vacuum-rise', dimension: 'pressure' },
    ],
    figures: ['vacuum-change'],
  },
  /** The level stays while the pump runs, and no bubbles come. */
  'level-still': {
    dimensions: ['length', 'volume'],
    values: [
      { key: 'vehicle.level-minutes', dimension: 'time', optional: true },
      { key: 'shop.level-minutes', dimension: 'time', optional: true },
      { key: 'shop.level-change', dimension: 'length', optional: true },
      { key: 'shop.level-change-volume', dimension: 'volume', optional: true },
    ],
    figures: ['level-change'],
  },
};
