import { type Outcome, runScript } from '../../src/channel/script/run.js';
import type { FlowSource } from '../../src/desk/flow-source.js';
import { openFlows } from '../../src/desk/flows.js';
import type { FlowText } from '../../src/flow/load.js';

/** A flow of three steps, without any hazard, on which scripts are tried. */
const TRY_OUT = `flow: try-out
title: Try out
start: true
facts:
  lamp-on: { kind: state, label: lamp on, look: 'Lamp on?' }
  warm: { kind: clock, label: warm, rest-on: [lamp-on], after: 10 min }
steps:
  - { id: lamp, do: Lamp on., hazard: none, makes: [lamp-on, warm] }
  - { id: warm-up, wait: Let it get warm., for: [warm], hazard: none }
  - id: name
    record: Name it.
    hazard: none
    needs: [lamp-on, warm]
    fields:
      - { name: lamp-name, ask: Name of the lamp, type: text }
`;

const PARK = `flow: park-safe
title: Leave it
park: true
leaves: []
facts:
  parked: { kind: state, label: left, look: 'As it was left?' }
steps:
  - { id: left, do: Leave it., hazard: none, makes: [parked] }
  - { id: photo, do: Take a photo of it., hazard: none, needs: [parked] }
`;

const HAZARDS = `levels: [1S]
hazards:
  none: { label: no hazard of its own }
`;

/** The files of the flow. */
export function tryOutTexts(): readonly FlowText[] {
  return [
    { name: 'try-out.yaml', text: TRY_OUT },
    { name: 'park-safe.yaml', text: PARK },
    { name: 'hazards.yaml', text: HAZARDS },
  ];
}

/** The flow, or the complaints about it. */
export async function tryOut(): Promise<FlowSource> {
  const { source, faults, unproved } = await openFlows(tryOutTexts(), null);
  if (source.current('try-out') === null) throw new Error(JSON.stringify({ faults, unproved }, null, 2));
  return source;
}

/** Runs a script of these lines. */
export async function run(lines: readonly string[], flows?: FlowSource): Promise<Outcome> {
  const read = async (path: string) => (path === 'a.thread' ? lines.join('\n') : null);
  return runScript('a.thread', { flows: flows ?? (await tryOut()), read });
}
