import { createHash } from 'node:crypto';
import { readdirSync, readFileSync } from 'node:fs';
import { describe, expect, test } from 'vitest';
import { compile, PARK_FLOW } from '../../src/flow/compile.js';
import type { Flow } from '../../src/flow/flow.js';
import type { FlowText } from '../../src/flow/load.js';
import type { Break, Proof } from '../../src/flow/proof.js';
import { prove } from '../../src/flow/prove.js';
import { readShelf } from '../../src/flow/text.js';

/*
 * Faults planted into the shipped flows, one small edit each, past the checks of the loader so that the proof stands
 * alone (the loader's own are in `bad/`). Each row: the edit, the property that breaks, its words, the step named,
 * and the length of the path to it. The proof stops there: that the flows without plants have none is in
 * `proved.test.ts`.
 *
 * Whoever reads the path is told of the vehicle that goes it: each of its steps is one that this vehicle has.
 * When a flow changes on purpose and a length with it: read the path, count, and write the new length.
 */
type Plant = {
  readonly claim: string;
  readonly flow: string;
  readonly edits: readonly Edit[];
  readonly property: Break['property'];
  readonly problem: string;
  readonly step: string | null;
  readonly path: number;
  /** What the first line of the path says of the vehicle, where only one kind goes that way. */
  readonly vehicle?: string;
};

/** One change of one flow file; `was` must be in it, once. */
type Edit = { readonly file: string; readonly was: string; readonly now: string };

const FOLDER = new URL('../../flows/', import.meta.url);

const shipped: readonly FlowText[] = readdirSync(FOLDER)
  .filter((name) => name.endsWith('.yaml'))
  .map((name) => ({ name, text: readFileSync(new URL(name, FOLDER), 'utf8') }));

function edited(edits: readonly Edit[]): FlowText[] {
  return edits.reduce<FlowText[]>(
    (all, { file, was, now }) =>
      all.map((one) => {
        if (one.name !== `${file}.yaml`) return one;
        const parts = one.text.split(was);
        expect(parts.length, `${file}.yaml has to hold "${was}" once`).toBe(2);
        return { name: one.name, text: parts.join(now) };
      }),
    [...shipped],
  );
}

/**
 * Proves a flow straight from the texts, past the checks that may refuse it before anybody proves it, until what is
 * `wanted` is found.
 */
function proofOf(
  texts: FlowText[],
  id: string,
  wanted: (found: Break) => boolean,
): Proof & { readonly of: Flow } {
  const shelf = readShelf(texts);
  const file = shelf.flows.get(id);
  if (file === undefined) throw new Error(`no flow ${id} that can be read`);
  const { flow } = compile(shelf, file, (text) => createHash('sha256').update(text).digest('hex')).compiled;
  return { ...prove(flow, shelf.flows.get(PARK_FLOW)?.head.leaves ?? [], wanted), of: flow };
}

/** Steps on a path that the vehicle in its first line does not have. */
function strangeSteps({ steps }: Flow, [start = '', ...path]: readonly string[]): string[] {
  const vehicle = new Map(
    start
      .replace(/^start( with )?/, '')
      .split(', ')
      .map((one) => one.split(' ') as [string, string]),
  );
  return path.filter((words) => {
    const step = steps.find(({ id }) => id === words.replace(/^.*; /, '').split(' ')[0]);
    return step?.when.some(({ reads, is }) => !is.includes(vehicle.get(reads) ?? is[0] ?? ''));
  });
}

const edit = (file: string, was: string, now: string): Edit => ({ file, was, now });

/** Opening the loop ends what taking the sources away made, and the other way round: where the loop comes last. */
const CIRCLE_OF_LV_FIRST: readonly Edit[] = [
  edit('make-safe', '    makes: [sources-off]\n', '    makes: [sources-off]\n    ends: [loop-open]\n'),
  edit(
    'make-safe',
    'when: { order: lv-first, loop-kind: low-voltage-loop }\n',
    'when: { order: lv-first, loop-kind: low-voltage-loop }\n    ends: [sources-off]\n',
  ),
];

const PLANTS: readonly Plant[] = [
  {
    claim: 'a test point that nobody caps is open at the end',
    flow: 'make-safe',
    edits: [
      edit(
        'make-safe',
        '    needs: [gear-ready, standby-here]\n    ends: [test-open]\n',
        '    needs: [gear-ready, standby-here]\n',
      ),
    ],
    property: 'closed',
    problem: 'test-open is still open at the end',
    step: null,
    path: 16,
  },
  {
    claim: 'a loose fuse that fitting does not end is open at the end',
    flow: 'disconnect-fuse',
    edits: [edit('disconnect-fuse', 'ends: [fuse-out, pyro-loose]', 'ends: [fuse-out]')],
    property: 'closed',
    problem: 'pyro-loose is still open at the end',
    step: null,
    path: 80,
  },
  {
    claim: 'a lock that the owner never takes off is on at the end',
    flow: 'disconnect-fuse',
    edits: [edit('re-energise', '    ends: [lock-on]\n', '')],
    property: 'closed',
    problem: 'lock-on is still open at the end',
    step: null,
    path: 80,
  },
  {
    claim: 'a loop that powering up forgets is open at the end',
    flow: 'disconnect-fuse',
    edits: [edit('re-energise', 'ends: [lv-off, loop-open, may-power', 'ends: [lv-off, may-power')],
    property: 'closed',
    problem: 'loop-open is still open at the end',
    step: null,
    path: 80,
  },
  {
    claim: 'a trigger plug that does not stand instead of its opposite stays off on paper',
    flow: 'disconnect-fuse',
    edits: [
      edit('disconnect-fuse', '    instead-of: trigger-on\n', ''),
      edit('disconnect-fuse', 'ends: [trigger-off]\n', 'ends: []\n'),
    ],
    property: 'closed',
    problem: 'trigger-off is still open at the end',
    step: null,
    path: 80,
  },
  {
    claim: 'trays that do not stand instead of their absence stay off on paper',
    flow: 'disconnect-fuse',
    edits: [
      edit('raise-car', '    instead-of: trays-on\n', ''),
      edit('lower-car', '    makes: [trays-on]\n    ends: [trays-off]', '    makes: [trays-on]'),
    ],
    property: 'closed',
    problem: 'trays-off is still open at the end',
    step: null,
    path: 80,
  },
  {
    claim: 'a stretch without stops that nothing ends is open at the end',
    flow: 'disconnect-fuse',
    edits: [edit('cover-reseal', 'ends: [live-entry, bead-wet]', 'ends: [live-entry]')],
    property: 'closed',
    problem: 'bead-wet is still open at the end',
    step: null,
    path: 80,
  },
  {
    claim: 'a maker behind the need for it leaves the job stuck there',
    flow: 'disconnect-fuse',
    edits: [
      edit(
        'disconnect-fuse',
        'inside-dry]\n    makes: [neighbours-covered]',
        'inside-dry, gap-nil]\n    makes: [neighbours-covered]',
      ),
    ],
    property: 'remake',
    problem: 'nothing brings back fuse-out, which sheets needs',
    step: 'sheets',
    path: 31,
  },
  {
    claim: 'a gate that needs what it guards can never be shown',
    flow: 'raise-car',
    edits: [
      edit(
        'raise-car',
        '    needs: [balance-ok, pads-set, standby-here]',
        '    needs: [balance-ok, pads-set, standby-here, car-steady]',
      ),
    ],
    property: 'remake',
    problem: 'nothing brings back car-raised, which hand-width needs',
    step: 'hand-width',
    path: 3,
  },
  {
    claim: 'a wait on the wrong ground never comes back',
    flow: 'make-safe',
    edits: [
      edit(
        'make-safe',
        'label: capacitors drained\n    rest-on: [lv-off, loop-open]',
        'label: capacitors drained\n    rest-on: [test-open]',
      ),
    ],
    property: 'remake',
    problem: 'nothing brings back test-open, which drain needs',
    step: 'drain',
    path: 12,
  },
  {
    claim: 'an open time that no step starts leaves the cover where it is',
    flow: 'cover-reseal',
    edits: [edit('cover-reseal', '    makes: [bead-wet, bead-open]\n', '    makes: [bead-wet]\n')],
    property: 'remake',
    problem: 'nothing brings back bead-open, which cover needs',
    step: 'cover',
    path: 7,
  },
  {
    claim: 'a way back that forgets the battery leaves a lapse without a way on',
    flow: 'work-done',
    edits: [
      edit(
        'work-done',
        'makes: [lv-off, loop-open, waited, pyro-quiet]',
        'makes: [loop-open, waited, pyro-quiet]',
      ),
    ],
    property: 'remake',
    problem: 'nothing brings back lv-off, which lock needs',
    step: 'lock',
    path: 3,
  },
  {
    claim: 'two steps that undo each other go round in a circle',
    flow: 'make-safe',
    edits: [
      edit(
        'make-safe',
        '    makes: [standby-here]\n',
        '    makes: [standby-here]\n    ends: [area-barred]\n',
      ),
      edit('make-safe', '    makes: [area-barred]\n', '    makes: [area-barred]\n    ends: [standby-here]\n'),
    ],
    property: 'settle',
    problem: 'the job goes round in a circle',
    step: null,
    path: 12,
  },
  {
    claim: 'a circle that only the vehicles go round in whose battery comes off before their loop is found',
    flow: 'make-safe',
    edits: CIRCLE_OF_LV_FIRST,
    property: 'settle',
    problem: 'the job goes round in a circle',
    step: null,
    path: 16,
    vehicle: 'loop-kind low-voltage-loop, order lv-first',
  },
  {
    claim: 'a need that an earlier step has ended sends a good run back',
    flow: 'raise-car',
    edits: [
      edit('raise-car', 'needs: [balance-ok, car-raised]', 'needs: [balance-ok, may-raise, car-raised]'),
    ],
    property: 'straight run',
    problem: 'steady lacks may-raise though nothing has lapsed',
    step: 'steady',
    path: 5,
  },
  {
    claim: 'an order that no vehicle has leaves its steps dead',
    flow: 'make-safe',
    edits: [edit('make-safe', 'options: [loop-first, lv-first]', 'options: [lv-first]')],
    property: 'dead',
    problem: 'step loop-before is never shown',
    step: 'loop-before',
    path: 0,
  },
  {
    claim: 'parking that leaves a loose fuse on its mat is found',
    flow: 'disconnect-fuse',
    edits: [edit('park-safe', '    hazard: article\n    ends: [pyro-loose]\n', '    hazard: article\n')],
    property: 'park',
    problem: 'pyro-loose is left open by parking',
    step: null,
    path: 44,
  },
  {
    claim: 'parking that leaves open what it does not list is found',
    flow: 'disconnect-fuse',
    edits: [edit('park-safe', 'car-raised, trays-off, trigger-off', 'car-raised, trigger-off')],
    property: 'park',
    problem: 'trays-off is left open by parking',
    step: null,
    path: 32,
  },
  {
    claim: 'parking that lays no lid on is found',
    flow: 'disconnect-fuse',
    edits: [edit('park-safe', 'ends: [live-exposed, live-entry]', 'ends: [live-entry]')],
    property: 'park',
    problem: 'live-exposed is left open by parking',
    step: null,
    path: 38,
  },
  {
    claim: 'parking between test and cap that leaves the test point open is found',
    flow: 'make-safe',
    edits: [edit('park-safe', '    ends: [test-open]\n', '')],
    property: 'park',
    problem: 'test-open is left open by parking',
    step: null,
    path: 21,
  },
  {
    claim: 'parking that needs what cannot be made yet is stuck at its lid',
    flow: 'disconnect-fuse',
    edits: [
      edit(
        'park-safe',
        'hazard: covering\n    needs: [gear-ready, standby-here]',
        'hazard: covering\n    needs: [gear-ready, standby-here, plan-fits]',
      ),
    ],
    property: 'park',
    problem: 'nothing brings back plan-fits, which park-safe/lid needs',
    step: 'park-safe/lid',
    path: 31,
  },
  {
    claim: 'a stretch without stops that nothing ends lets nobody park',
    flow: 'disconnect-fuse',
    edits: [edit('cover-reseal', 'ends: [live-entry, bead-wet]', 'ends: [live-entry]')],
    property: 'park',
    problem: 'bead-wet is left open by parking',
    step: null,
    path: 86,
  },
  {
    claim: 'sockets that nobody proves again after the landing stop the job at its next need of them',
    flow: 'disconnect-fuse',
    edits: [
      edit(
        'disconnect-fuse',
        '    makes: [sockets-nil]\n    ends: [live-entry]\n',
        '    ends: [live-entry, sockets-nil]\n',
      ),
    ],
    property: 'straight run',
    problem: 'enter/entry lacks sockets-nil though nothing has lapsed',
    step: 'enter/entry',
    path: 45,
    vehicle: 'access pack-out',
  },
  {
    claim: 'a coolant circuit that nobody closes is open at the end',
    flow: 'disconnect-fuse',
    edits: [edit('coolant-bleed', '    ends: [coolant-open]\n', '')],
    property: 'closed',
    problem: 'coolant-open is still open at the end',
    step: null,
    path: 126,
    vehicle: 'access pack-out',
  },
  {
    claim: 'a pack on its table that parking neither straps nor puts away is found',
    flow: 'disconnect-fuse',
    edits: [
      edit(
        'park-safe',
        "castors locked. Way out for it free.'\n    hazard: none\n    ends: [pack-carried]\n",
        "castors locked. Way out for it free.'\n    hazard: none\n",
      ),
    ],
    property: 'park',
    problem: 'pack-carried is left open by parking',
    step: null,
    path: 88,
    vehicle: 'access pack-out',
  },
  {
    claim: 'a release that needs the four pads, which nobody has looked at, sends a good run back',
    flow: 'pack-down',
    edits: [
      edit(
        'pack-down',
        '    makes: [pack-carried]\n    card:\n',
        '    makes: [pack-carried]\n    ends: [car-steady]\n    card:\n',
      ),
      edit(
        'pack-down',
        '    needs: [balance-ok, car-raised, pack-carried]\n    makes: [car-steady]\n',
        '    needs: [balance-ok, car-raised, pack-carried]\n',
      ),
    ],
    property: 'straight run',
    problem: 'release lacks car-steady though nothing has lapsed',
    step: 'release',
    path: 12,
  },
  {
    claim: 'a landing that does not end its stretch leaves no moment to park a pack on its table',
    flow: 'disconnect-fuse',
    edits: [
      edit(
        'pack-down',
        '    ends: [pack-moving, pack-carried, car-steady]\n',
        '    ends: [pack-carried, car-steady]\n',
      ),
    ],
    property: 'dead',
    problem: 'step park-safe/pack is never shown',
    step: 'park-safe/pack',
    path: 0,
  },
  {
    claim: 'a parking that itself enters a stretch without stops is found',
    flow: 'disconnect-fuse',
    edits: [
      edit(
        'park-safe',
        "castors locked. Way out for it free.'\n    hazard: none\n",
        "castors locked. Way out for it free.'\n    hazard: none\n    makes: [pack-moving]\n",
      ),
    ],
    property: 'park',
    problem: 'pack-moving is left open by parking',
    step: null,
    path: 54,
  },
  {
    claim: 'a test point below without its raise leaves the job without a car to go under',
    flow: 'disconnect-fuse',
    edits: [edit('make-safe', '  - { use: raise-car, when: { test-point: below } }\n', '')],
    property: 'remake',
    problem: 'nothing brings back car-raised, which make-safe/prove-dead/test-point-below needs',
    step: 'make-safe/prove-dead/test-point-below',
    path: 16,
    vehicle: 'test-point below',
  },
];

describe('a fault planted into a shipped flow is found, named, and led to', () => {
  test.each(PLANTS.map((plant) => [plant.claim, plant] as const))('%s', (_, plant) => {
    const { flow, edits, property, problem, step, path } = plant;
    const wanted = (one: Break) => one.property === property && one.problem === problem;
    const { breaks, of } = proofOf(edited(edits), flow, wanted);
    const found = breaks.find(wanted);
    const told = breaks.map((one) => `${one.property}: ${one.problem}`);
    expect(told).toContain(`${property}: ${problem}`);
    expect({ step: found?.step, path: found?.path.length }, found?.path.join('\n')).toEqual({ step, path });
    expect(found?.path[0] ?? '').toContain(plant.vehicle ?? '');
    expect(strangeSteps(of, found?.path ?? []), found?.path[0]).toEqual([]);
  });

  test('the same two edits are no circle for the vehicles whose loop comes first', () => {
    const only = edit('make-safe', 'options: [loop-first, lv-first]', 'options: [loop-first]');
    const { breaks } = proofOf(edited([...CIRCLE_OF_LV_FIRST, only]), 'make-safe', () => false);
    expect(breaks.filter(({ property }) => property !== 'dead')).toEqual([]);
  });
});
