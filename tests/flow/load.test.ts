import { createHash } from 'node:crypto';
import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { printFault } from '../../src/flow/fault.js';
import type { Flow } from '../../src/flow/flow.js';
import { BundleError, bundleTexts, type FlowText, loadBundle, loadFlows } from '../../src/flow/load.js';

const FOLDER = join(import.meta.dirname, '..', '..', 'flows');
const files: FlowText[] = readdirSync(FOLDER)
  .filter((name) => name.endsWith('.yaml'))
  .map((name) => ({ name, text: readFileSync(join(FOLDER, name), 'utf8') }));
const hash = (text: string) => createHash('sha256').update(text).digest('hex');
const { flows, faults } = loadFlows(files, hash);

function flowOf(loaded: ReadonlyMap<string, Flow>, id: string): Flow {
  const flow = loaded.get(id);
  if (flow === undefined) throw new Error(`flow ${id} did not load`);
  return flow;
}

const HAZARDS: FlowText = {
  name: 'hazards.yaml',
  text: `levels: [1S, 2S]
hazards:
  none: { label: none }
  live: { label: live, level: 2S, gear: [gloves] }
`,
};
const PARK: FlowText = {
  name: 'park-safe.yaml',
  text: `flow: park-safe
title: Park
park: true
leaves: [lid-off]
steps:
  - { id: lid, when: { open: lid-off }, do: Sheet over., hazard: none }
  - { id: plug, when: { open: plug-off }, do: Plug on., hazard: none, ends: [plug-off] }
  - { id: shut, when: { closed: plug-off }, do: Barrier shut., hazard: none, ends: [plug-off] }
`,
};
const PLUG: FlowText = {
  name: 'plug.yaml',
  text: `flow: plug
title: Plug
facts:
  plug-off: { kind: state, label: plug off, opening: true, look: 'Plug off?' }
steps:
  - { id: open, do: Plug off., hazard: none, makes: [plug-off] }
  - { id: close, do: Plug on., hazard: none, needs: [plug-off], ends: [plug-off] }
`,
};
const LID: FlowText = {
  name: 'lid.yaml',
  text: `flow: lid
title: Lid
start: true
choices:
  access: { from: vehicle, options: [hatch, top] }
facts:
  lid-off: { kind: state, label: lid off, opening: true, instead-of: lid-on, look: 'Lid off?' }
  lid-on: { kind: state, label: lid on, look: 'Lid on?' }
  dead: { kind: proof, label: dead, rest-on: [lid-off], lapse: { silence: 90 s, on: [away] } }
  dried: { kind: clock, label: dried, rest-on: [lid-on], after: 2 h }
steps:
  - { id: gear, record: Which gloves?, takes: [gloves, wrench], hazard: none }
  - { id: open, do: Lid off., hazard: live, makes: [lid-off] }
  - id: prove
    gate: Nothing inside.
    words: [LANTERN, DOLPHIN]
    hazard: live
    needs: [lid-off]
    fields: [{ name: tools, ask: Tools, type: count }]
    readings:
      - { name: theirs, ask: Volts, unit: V, limits: nil, by: second }
      - { name: ours, ask: Volts, unit: V, limits: { max: 0.3 V }, plausible: [-5, 1000] }
    second: { look: Seen? }
    makes: [dead]
  - { use: inside, id: look, when: { access: top } }
  - id: close
    tighten: 'Wrench: lid.'
    torque: { vehicle: lid-torque }
    bolts: { vehicle: lid-bolts }
    pattern: { vehicle: lid-pattern }
    pass: all
    hazard: none
    needs: [{ any: [dead, [lid-off, lid-off]] }]
    makes: [lid-on, dried]
  - { id: rest, wait: It dries., for: [dried], hazard: none }
`,
};
const INSIDE: FlowText = {
  name: 'inside.yaml',
  text: `flow: inside
title: Inside
given: [dead]
steps:
  - { id: wet, choose: 'Dry, damp or wet?', options: { dry: {}, damp: {}, wet: { hold: Wet. } }, hazard: none, needs: [dead] }
  - { id: wipe, do: Wipe., hazard: none, needs: [dead], when: { wet: damp } }
`,
};
const small = [HAZARDS, PARK, PLUG, LID, INSIDE];

describe('the flows of the workshop', () => {
  test('load without a fault', () => {
    expect(files.length).toBeGreaterThan(5);
    expect(faults.map(printFault)).toEqual([]);
    expect(flows.size).toBe(files.length - 1);
  });

  test('come back the same from the texts kept with a job', () => {
    for (const flow of flows.values()) {
      const texts = bundleTexts(flow, files);
      expect(loadBundle(texts, flow.id, flow.bundle, hash)).toEqual(flow);
    }
  });

  test('every step that can be started parks by the route of parking', () => {
    for (const flow of flows.values()) {
      expect(flow.steps.some((step) => step.route === 'park')).toBe(flow.start || flow.park);
    }
  });
});

describe('a small flow written out', () => {
  const loaded = loadFlows(small, hash);
  const lid = () => flowOf(loaded.flows, 'lid');
  const step = (id: string) => lid().steps.find((one) => one.id === id);

  test('has no fault', () => expect(loaded.faults.map(printFault)).toEqual([]));

  test('puts used steps in their place under the name of the use, with the conditions of both', () => {
    expect(lid().steps.map((one) => one.id)).toEqual([
      'gear',
      'open',
      'prove',
      'look/wet',
      'look/wipe',
      'close',
      'rest',
      'park-safe/lid',
      'park-safe/shut',
    ]);
    expect(step('look/wipe')?.when).toEqual([
      { reads: 'access', is: ['top'] },
      { reads: 'look/wet', is: ['damp'] },
    ]);
    expect(step('look/wet')?.sets).toEqual({ choice: 'look/wet', options: ['dry', 'damp'] });
    expect(step('look/wet')?.stage).toBe('inside');
  });

  test('asks fields, own readings, the second person, the word, in this order', () => {
    const asks = step('prove')?.asks ?? [];
    expect(asks.map((ask) => ('name' in ask ? ask.name : ask.ask))).toEqual([
      'tools',
      'ours',
      'theirs',
      'second-look',
      'word',
    ]);
  });

  test('takes gear from the hazard and a wrench for tightening', () => {
    expect(step('prove')?.gear).toEqual(['gloves']);
    expect(step('close')?.gear).toEqual(['wrench']);
  });

  test('what stands instead of another does so both ways round', () => {
    expect(lid().facts.get('lid-off')?.insteadOf).toEqual(['lid-on']);
    expect(lid().facts.get('lid-on')?.insteadOf).toEqual(['lid-off']);
  });

  test('reads times in minutes and hours', () => {
    expect(lid().facts.get('dead')?.lapse).toEqual({ silenceMinutes: 1.5, on: ['away'] });
    expect(lid().facts.get('dried')?.time).toEqual({ value: 2, unit: 'h' });
  });

  test('a wait needs what it waits for, and a need may be met in several ways', () => {
    expect(step('rest')?.needs).toEqual([[['dried']]]);
    expect(step('close')?.needs).toEqual([[['dead'], ['lid-off', 'lid-off']]]);
  });

  test('parking leaves out the steps for openings that this flow never makes', () => {
    expect(step('park-safe/lid')?.when).toEqual([{ reads: 'open:lid-off', is: ['yes'] }]);
    expect(step('park-safe/plug')).toBeUndefined();
    expect(step('park-safe/shut')?.when).toEqual([]);
    expect(step('park-safe/shut')?.ends).toEqual([]);
    expect(lid().facts.has('plug-off')).toBe(false);
  });

  test('a fragment leaves open what it was given open and does not close', () => {
    const flow = flowOf(loadFlows([HAZARDS, PLUG, { name: 'user.yaml', text: USER }], hash).flows, 'user');
    expect(flow.given).toEqual(['plug-off']);
    expect(flow.leaves).toEqual(['plug-off']);
  });
});

const USER = `flow: user
title: User
given: [plug-off]
steps:
  - { id: look, do: Look., hazard: none, needs: [plug-off] }
`;

describe('a bundle', () => {
  const before = loadFlows(small, hash).flows;

  test('does not depend on the order in which the files came', () => {
    expect(flowOf(loadFlows([...small].reverse(), hash).flows, 'lid').bundle).toBe(
      flowOf(before, 'lid').bundle,
    );
  });

  test.each([
    ['hazards.yaml', true],
    ['park-safe.yaml', true],
    ['lid.yaml', true],
    ['inside.yaml', true],
    ['plug.yaml', false],
  ])('a change of %s makes another bundle of lid: %s', (name, changes) => {
    const edited = small.map((file) => (file.name === name ? { name, text: `# new\n${file.text}` } : file));
    const after = flowOf(loadFlows(edited, hash).flows, 'lid').bundle;
    expect(after !== flowOf(before, 'lid').bundle).toBe(changes);
  });

  test('that was tampered with is refused', () => {
    const lid = flowOf(before, 'lid');
    const texts = new Map(bundleTexts(lid, small));
    texts.set('lid.yaml', LID.text.replace('0.3 V', '30 V'));
    expect(() => loadBundle(texts, 'lid', lid.bundle, hash)).toThrow(BundleError);
    texts.delete('lid.yaml');
    expect(() => loadBundle(texts, 'lid', lid.bundle, hash)).toThrow('not among the texts');
  });

  test('runs on its own text when today it would be refused', () => {
    const lid = flowOf(before, 'lid');
    const texts = new Map([...bundleTexts(lid, small)].filter(([name]) => name !== 'hazards.yaml'));
    texts.set('hazards.yaml', HAZARDS.text.replace('live: {', 'other: {'));
    expect(
      loadFlows(
        [...texts].map(([name, text]) => ({ name, text })),
        hash,
      ).flows.has('lid'),
    ).toBe(false);
    const seen = loadBundleAnyway(texts, 'lid');
    expect(seen.steps.length).toBe(lid.steps.length);
  });
});

/** Loads texts by whatever hash they have. */
function loadBundleAnyway(texts: ReadonlyMap<string, string>, id: string): Flow {
  try {
    return loadBundle(texts, id, '', hash);
  } catch (error) {
    const bundle = /make bundle (\w+)/.exec(String(error))?.[1] ?? '';
    return loadBundle(texts, id, bundle, hash);
  }
}

describe('whatever an author types', () => {
  test('a character taken out makes faults at most, never a crash', () => {
    const place = fc.tuple(fc.constantFrom(...small), fc.nat());
    fc.assert(
      fc.property(place, ([file, at]) => {
        const cut = at % file.text.length;
        const text = file.text.slice(0, cut) + file.text.slice(cut + 1);
        const loaded = loadFlows(
          small.map((one) => (one === file ? { ...one, text } : one)),
          hash,
        );
        for (const fault of loaded.faults) {
          expect(fault.line).toBeGreaterThan(0);
          expect(fault.problem).not.toBe('');
          expect(fault.remedy).not.toBe('');
        }
      }),
      { numRuns: 300 },
    );
  });

  test('a piece of one file pasted into another makes faults at most, never a crash', () => {
    const text = fc.constantFrom(...small).map((file) => file.text);
    fc.assert(
      fc.property(text, fc.nat(), fc.nat(80), fc.nat(), (from, start, length, into) => {
        const piece = from.slice(start % from.length).slice(0, length);
        const at = into % LID.text.length;
        const pasted = LID.text.slice(0, at) + piece + LID.text.slice(at);
        loadFlows([HAZARDS, PARK, PLUG, INSIDE, { ...LID, text: pasted }], hash);
      }),
      { numRuns: 300 },
    );
  });

  test.each([
    '',
    '\u0000',
    '{',
    '- - -',
    '*x',
    '&a [*a]',
    'null',
    '[]',
    '%YAML 1.1\n---\nflow: x',
    '!!binary x',
    'flow: lid',
  ])('%j is a fault, not a crash', (text) => {
    expect(loadFlows([{ name: 'lid.yaml', text }, HAZARDS], hash).faults.length).toBeGreaterThan(0);
    expect(loadFlows([LID, { name: 'hazards.yaml', text }], hash).flows.size).toBe(0);
  });
});
