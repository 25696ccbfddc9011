import { createHash } from 'node:crypto';
import { printFault } from '../../src/flow/fault.js';
import type { Flow } from '../../src/flow/flow.js';
import { loadFlows } from '../../src/flow/load.js';

/** A small job with one of everything that can be asked, so that posts are told word for word. */
const BENCH = `
flow: bench-job
title: Bench job
start: true
facts:
  lead-off: { kind: state, label: battery lead off, opening: true, look: 'Battery lead off and covered?', undone-by: [reconnected] }
  loop-open: { kind: state, label: loop open, opening: true, look: 'Loop open and tagged?', undone-by: [loop closed] }
  lock-on: { kind: state, label: own lock on, opening: true, personal: true, rest-on: [lead-off, loop-open], look: 'Your lock on, key in your pocket?' }
  waited: { kind: clock, label: capacitors drained, rest-on: [lead-off, loop-open], after: { vehicle: discharge-wait } }
  gear-ready: { kind: proof, label: gear tried and on, lapse: { on: [gear, shift-end] }, make-still: 'Hands out. Step back behind the barrier.' }
  standby-here: { kind: proof, label: standby here, lapse: { on: [standby] }, make-still: 'Hands out. Step back behind the barrier.', check-in: { every: 15 min, while: [box-open] } }
  bus-dead: { kind: proof, label: dead on the car side, rest-on: [lock-on], warning: PACK INSIDE STILL LIVE, lapse: { silence: 30 min, on: [away, elsewhere, standby] }, make-still: 'Hands out. Step back behind the barrier.' }
  box-open: { kind: state, label: box open, opening: true, look: 'Box open, nobody near it?' }
  box-shut: { kind: state, label: box shut, look: 'Box shut, bolts in?' }
  may-power: { kind: proof, label: clear to power }
  cured: { kind: clock, label: sealant cured, rest-on: [box-shut], after: 2 h }
steps:
  - id: inside
    choose: 'Inside: dry or wet?'
    hazard: none
    options:
      dry: { also: [fine] }
      wet: { hold: 'Wet inside: keep away, call the foreman.' }
  - { id: who, record: 'Who stands by?', standby: true, hazard: none, makes: [standby-here] }
  - id: gear
    gate: Gear tried just now and on.
    words: [UMBRELLA]
    takes: [gloves, tester, source, wrench]
    hazard: none
    needs: [standby-here]
    makes: [gear-ready]
  - { id: loop, do: 'Gloves on: open the loop. Tag it.', hazard: none, makes: [loop-open, waited] }
  - { id: lead, do: 'Spanner: battery lead off at {vehicle.battery-place}.', hazard: none, makes: [lead-off, waited] }
  - id: lock
    gate: Own lock on, key in the pocket.
    words: [DOLPHIN]
    hazard: none
    needs: [lead-off, loop-open]
    makes: [lock-on]
  - { id: rest, wait: 'Capacitors drain. Nobody touches lead or loop.', for: [waited], hazard: none, needs: [lock-on], meanwhile: [Test leads looked at.] }
  - id: dead
    gate: Prove the car side dead. The pack inside stays live.
    words: [LANTERN]
    hazard: live-work
    needs: [waited, lock-on, gear-ready, standby-here]
    readings:
      - { dead-test: dead, source: { shop: proving-voltage }, pack: { vehicle: pack-voltage } }
    second: { look: 'Watched all five readings?' }
    makes: [bus-dead]
    card: [Body probe on bare metal.]
  - id: box-off
    do: 'Insulated socket: box open.'
    hazard: live-work
    needs: [bus-dead, gear-ready, standby-here]
    makes: [box-open]
    ends: [box-shut]
  - id: gap
    measure: 'Tester: across the gap.'
    hazard: live-work
    needs: [bus-dead, gear-ready, standby-here, box-open]
    readings:
      - { name: gap, ask: Volts across the gap, unit: V, limits: nil }
  - id: bolts
    tighten: 'Wrench: box bolts, all passes.'
    torque: { vehicle: cover-torque }
    bolts: { vehicle: cover-bolts }
    pattern: { vehicle: cover-pattern }
    pass: all
    hazard: live-work
    needs: [bus-dead, gear-ready, standby-here]
    makes: [box-shut, cured]
    ends: [box-open]
  - id: part
    record: The new part.
    fields: [{ name: part-serial, ask: 'Serial, off the label', type: serial }]
    hazard: none
  - { id: cure, wait: 'It cures. Nothing is moved.', for: [cured], hazard: none, meanwhile: [Bench cleaned., Paperwork.] }
  - { id: labels, do: Labels on., hazard: none }
  - id: unlock
    gate: Own lock off, nobody at the car.
    words: [HARVEST]
    hazard: none
    needs: [box-shut, cured]
    makes: [may-power]
    ends: [lock-on]
  - { id: power, do: Lead and loop on again., hazard: none, needs: [may-power], ends: [may-power, lead-off, loop-open, bus-dead, gear-ready, standby-here] }
`;

const PARK = `
flow: park-safe
title: Leave it for the night
park: true
leaves: [lead-off, loop-open, lock-on, box-open]
facts:
  parked: { kind: state, label: left as on the photos, look: 'Bay as on the photos?' }
steps:
  - { id: night, record: 'Round of the bay.', fields: [{ name: called-out, ask: 'Who is called out of hours', type: text }], hazard: none, makes: [parked] }
  - { id: away, do: Barrier shut., hazard: none, ends: [parked, standby-here, gear-ready] }
`;

const HAZARDS = `
levels: [1S, 2S, 3S]
hazards:
  none: { label: none }
  live-work:
    label: live parts
    demands: [gear-ready, standby-here]
    level: 2S
    second: { level: 2S }
    gear: [gloves, tester, source]
    stop: [Probes off. Step back. Treat everything as live., Rescue hook.]
`;

const files = [
  { name: 'bench-job.yaml', text: BENCH },
  { name: 'park-safe.yaml', text: PARK },
  { name: 'hazards.yaml', text: HAZARDS },
];

/** The bench job, checked as every flow is. */
export function benchFlow(): Flow {
  const loaded = loadFlows(files, (text) => createHash('sha256').update(text).digest('hex'));
  const flow = loaded.flows.get('bench-job');
  if (flow === undefined) throw new Error(loaded.faults.map(printFault).join('\n'));
  return flow;
}
