import { createHash } from 'node:crypto';
import { readdirSync, readFileSync } from 'node:fs';
import { describe, expect, test } from 'vitest';
import type { Flow } from '../../src/flow/flow.js';
import { type FlowText, loadFlows } from '../../src/flow/load.js';
import { prove } from '../../src/flow/prove.js';

/**
 * Every shipped flow, proved, with the number of states of its proof. When a flow or a rule changes, so do the
 * counts: read the change in `npm run flows`, see that it is what you meant, and write the new number here.
 */
const STATES: Readonly<Record<string, number>> = {
  'arm-height': 11,
  'coolant-bleed': 11,
  'coolant-fill': 10,
  'coolant-open': 9,
  'coolant-renew': 1037,
  'cover-cure': 9,
  'cover-reseal': 237,
  'disconnect-fuse': 20964,
  enter: 3,
  insulate: 99,
  'insulate-apart': 158,
  'lower-car': 12,
  'make-safe': 712,
  'pack-down': 52,
  'pack-up': 40,
  'prove-dead': 9,
  'prove-sockets': 3,
  'raise-car': 28,
  're-energise': 12,
  'steady-again': 3,
  'up-and-down': 16,
  'work-done': 9,
  'hv-cable': 4405,
  'lv-battery': 1733,
  'tyre-swap': 1099,
  'first-ready': 6,
};

const dir = new URL('../../flows/', import.meta.url);
const files: readonly FlowText[] = readdirSync(dir)
  .filter((name) => name.endsWith('.yaml'))
  .sort()
  .map((name) => ({ name, text: readFileSync(new URL(name, dir), 'utf8') }));
const hash = (text: string) => createHash('sha256').update(text).digest('hex');

function loaded(texts: readonly FlowText[]): ReadonlyMap<string, Flow> {
  const { flows, faults } = loadFlows(texts, hash);
  expect(faults.filter((fault) => fault.severity === 'fault')).toEqual([]);
  return flows;
}

function breaksOf(texts: readonly FlowText[], id: string) {
  const flows = loaded(texts);
  const parkLeaves = [...flows.values()].find((flow) => flow.park)?.leaves ?? [];
  const flow = flows.get(id);
  if (flow === undefined) throw new Error(`there is no flow ${id}`);
  return prove(flow, parkLeaves);
}

describe('the shipped flows', () => {
  test.each(Object.entries(STATES))('%s is proved over every path, in %i states', (id, states) => {
    const proof = breaksOf(files, id);
    expect(proof.breaks).toEqual([]);
    expect(proof.states).toBe(states);
  });

  test('no flow is left out of this list', () => {
    const proved = [...loaded(files).values()].filter((flow) => !flow.park).map((flow) => flow.id);
    expect(proved.sort()).toEqual(Object.keys(STATES).sort());
  });
});

/** A slip in one file: what stood there, and what stands there now. */
type Slip = {
  readonly claim: string;
  readonly file: string;
  readonly from: string;
  readonly to: string;
  readonly flow: string;
  readonly property: string;
  readonly names: string;
};

const SLIPS: readonly Slip[] = [
  {
    claim: 'a test point that nobody caps is still open at the end',
    file: 'make-safe.yaml',
    from: '    needs: [gear-ready, standby-here]\n    ends: [test-open]',
    to: '    needs: [gear-ready, standby-here]\n    ends: [bus-dead]',
    flow: 'make-safe',
    property: 'closed',
    names: 'test-open',
  },
  {
    claim: 'a bead that nobody finishes keeps the job from ever being left',
    file: 'cover-reseal.yaml',
    from: '    ends: [live-entry, bead-wet]',
    to: '    ends: [live-entry]',
    flow: 'cover-reseal',
    property: 'closed',
    names: 'bead-wet',
  },
];

describe('a slip that only the walk can find', () => {
  test.each(SLIPS)('$claim', ({ file, from, to, flow, property, names }) => {
    const texts = files.map((one) =>
      one.name === file ? { ...one, text: one.text.replace(from, to) } : one,
    );
    expect(texts.some((one, at) => one.text !== files[at]?.text)).toBe(true);
    const { flows, faults } = loadFlows(texts, hash);
    const slipped = flows.get(flow);
    // Some slips are seen already by the checks of the text; the others by the walk. One of the two has to speak.
    const told =
      slipped === undefined
        ? faults.map((fault) => fault.problem)
        : prove(slipped, []).breaks.map((one) => `${one.property}: ${one.problem}`);
    expect(told.some((words) => words.includes(names))).toBe(true);
    if (slipped !== undefined) expect(told.some((words) => words.startsWith(property))).toBe(true);
  });
});
