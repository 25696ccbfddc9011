import type { Ask, Fact, Flow, Option, Step } from '../../src/flow/flow.js';
import type { Body, Input } from '../../src/job/input.js';
import type { Asked, Job, Standing } from '../../src/job/job.js';
import { hear } from '../../src/talk/hear.js';
import type { Unit } from '../../src/units/unit.js';

/** A small flow, and a job at one of its questions, for tests of hearing. */
const option = (say: string, ...also: string[]): Option => ({ say, also, hold: null, namedIn: null });

export const ASKS = {
  confirm: [{ ask: 'confirm' }],
  volts: [reading('V')],
  ohms: [reading('MΩ')],
  torque: [reading('N·m')],
  celsius: [reading('°C', [-20, 50])],
  percent: [reading('%', [1, 100])],
  pressure: [reading('mbar', [600, 1100])],
  volume: [reading('ml')],
  tray: [watch('spill-still', 'ml', [0, 20_000])],
  gauge: [watch('vacuum-holds', 'mbar', [-1013, 0])],
  tank: [watch('level-still', 'mm', [0, 400])],
  mass: [reading('kg')],
  length: [reading('mm')],
  turn: [reading('°')],
  count: [reading('pcs')],
  two: [reading('V'), reading('V')],
  dead: [
    {
      ask: 'dead-test',
      name: 'dead-test',
      text: '',
      source: { from: 'shop', name: 'source' },
      pack: { from: 'vehicle', name: 'pack' },
    },
    { ask: 'second-look', text: 'Saw all five?' },
    { ask: 'word', words: ['LANTERN'] },
  ],
  values: [{ ask: 'values', name: 'cover', text: 'Each bolt', unit: 'N·m' }],
  inside: [
    {
      ask: 'choice',
      choice: 'inside',
      options: [
        option('dry', 'clean'),
        option('wet', 'damp', 'water'),
        option('sooty', 'soot', 'burnt'),
        option('unbroken', 'all round'),
        option('broken', 'gap'),
      ],
    },
  ],
  fuse: [
    {
      ask: 'choice',
      choice: 'fuse',
      options: [
        option('own-cell', 'cell', 'with cell'),
        option('loop-fed', 'loop', 'no cell', 'without cell'),
      ],
    },
  ],
  serial: [{ ask: 'field', name: 'serial', text: 'Serial', type: 'serial' }],
  text: [{ ask: 'field', name: 'people', text: 'Who', type: 'text' }],
  date: [{ ask: 'field', name: 'made', text: 'Made', type: 'date' }],
  counted: [{ ask: 'field', name: 'bolts', text: 'Bolts out', type: 'count' }],
  photo: [{ ask: 'field', name: 'label', text: 'Photo', type: 'photo' }],
  gear: [{ ask: 'gear', kinds: ['gloves', 'tester'] }],
  standby: [{ ask: 'standby' }],
} satisfies Record<string, readonly Ask[]>;
export type At = keyof typeof ASKS;

export function reading(unit: Unit, plausible?: readonly [number, number]): Ask & { ask: 'reading' } {
  const range = plausible === undefined ? null : { from: plausible[0], to: plausible[1] };
  return { ask: 'reading', name: 'r', text: 'Reading', unit, limits: null, plausible: range, by: 'holder' };
}

function watch(until: string, unit: Unit, [from, to]: readonly [number, number]): Ask & { ask: 'watch' } {
  return { ask: 'watch', name: 'spill', text: 'In the tray', unit, plausible: { from, to }, until };
}

function step(id: string, asks: readonly Ask[], more: Partial<Step> = {}): Step {
  return {
    id,
    route: 'job',
    needs: [],
    makes: [],
    ends: [],
    when: [],
    again: false,
    kind: 'measure',
    text: id,
    card: [],
    hazard: 'none',
    asks,
    judge: null,
    outOfLimits: 'hold',
    alarm: [],
    tighten: null,
    gear: [],
    photo: false,
    meanwhile: [],
    stage: 'test',
    file: 'test.yaml',
    line: 1,
    ...more,
  } as Step;
}

function fact(
  id: string,
  label: string,
  undoneBy: readonly string[],
  look: string | null = null,
): readonly [string, Fact] {
  return [id, { id, label, undoneBy, look } as unknown as Fact];
}

export const FLOW = {
  id: 'test',
  facts: new Map([
    fact('lv-off', 'battery lead off', ['reconnected', 'battery back on']),
    fact('lock-on', 'own lock on', ['lock off', 'lock removed']),
    fact('loop-open', 'loop open', ['loop closed', 'plug back in']),
    fact('calm', 'pack calm', [], 'Pack calm: cool, dry, no smell, hiss or smoke?'),
    fact('car-up', 'car up', [], 'Car up, on the latches?'),
  ]),
  steps: [
    ...Object.entries(ASKS).map(([id, asks]) => step(id, asks)),
    step('photographed', [{ ask: 'confirm' }], { photo: true }),
    step('power', [{ ask: 'confirm' }], { ends: ['loop-open'] }),
  ],
} as unknown as Flow;

export type Setting = {
  readonly at: At | 'photographed' | 'power' | 'nothing';
  readonly answers?: number;
  readonly what?: Asked['what'];
  readonly facts?: readonly string[];
  readonly last?: At;
  readonly mode?: Job['mode'];
  readonly oldLock?: string;
  readonly standing?: Readonly<Record<string, Standing['value']>>;
  readonly by?: string;
};

export function jobAt(setting: Setting): Job {
  const asked = {
    what: setting.what ?? 'step',
    step: setting.at,
    facts: setting.facts ?? [],
    answers: Array.from({ length: setting.answers ?? 0 }, () => ({})),
    seq: 7,
    visit: 1,
  };
  const standing = setting.standing ?? { 'lv-off': 'stands', 'lock-on': 'stands', 'loop-open': 'stands' };
  return {
    holder: 'mara',
    standby: 'ines',
    mode: setting.mode ?? 'working',
    oldLock: setting.oldLock ?? null,
    asked: setting.at === 'nothing' ? null : asked,
    last: setting.last === undefined ? null : { step: setting.last, ask: 0, by: 'mara' },
    places: { 7: '0700' },
    values: {},
    watched: {},
    facts: Object.fromEntries(Object.entries(standing).map(([id, value]) => [id, { value }])),
  } as unknown as Job;
}

export function input(body: Body, by = 'mara'): Input {
  return { key: 'k', bay: '1', by, name: by, via: 'script', saidAt: 0, seen: null, marks: {}, body };
}

/** What is heard when these words reach a job at this question. */
export function heardAt(at: Setting['at'] | Setting, text: string) {
  const setting = typeof at === 'string' ? { at } : at;
  return hear(jobAt(setting), FLOW, input({ is: 'text', text }, setting.by));
}
