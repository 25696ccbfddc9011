import { expect } from 'vitest';
import type { Refusal } from '../../src/job/refusal.js';
import type { Counts } from './rare.js';
import { carsOf, runFlow } from './run.js';
import { openTrials, trialRegister } from './shop.js';

/**
 * Which refusals answers and lapses can cause. The rest have scripts of their own: what a disk, gear that is out or a
 * level that ran out brings; `window` is kept for journals of before and given by nothing.
 */
const CAUSED: Readonly<Record<Refusal['why'], 'here' | 'in the stretch' | 'script' | 'nothing'>> = {
  'not-holder': 'here',
  'not-registered': 'here',
  'not-foreman': 'here',
  stale: 'here',
  'not-delivered': 'here',
  'wrong-word': 'here',
  'habit-word': 'here',
  tap: 'here',
  marked: 'here',
  'readings-first': 'here',
  'second-first': 'here',
  'own-witness': 'here',
  'not-second': 'here',
  level: 'script',
  gear: 'script',
  'shift-end': 'in the stretch',
  'no-stop': 'in the stretch',
  waiting: 'here',
  'nothing-asked': 'here',
  'value-missing': 'here',
  held: 'here',
  mode: 'here',
  'photo-first': 'here',
  'unknown-person': 'here',
  'unknown-gear': 'here',
  'unknown-value': 'here',
  'out-of-date': 'in the stretch',
  'standby-elsewhere': 'here',
  'reason-needed': 'here',
  'source-needed': 'script',
  'asked-afresh': 'script',
  'own-hold': 'here',
  'old-lock': 'here',
  differs: 'in the stretch',
  'wrong-kind': 'here',
  window: 'nothing',
  implausible: 'here',
  unclear: 'here',
  'stop-maybe': 'here',
  'not-settled': 'script',
  'went-down': 'script',
  'emptied-at': 'script',
  'said-before': 'script',
  'edit-kept': 'here',
  'word-elsewhere': 'here',
};

const INPUTS = Number(process.env.PROPERTY_INPUTS ?? 20_000);
const SEED = Number(process.env.PROPERTY_SEED ?? 20260302);
const OFTEN = 20;

/** Runs these flows and says what was met too seldom to claim anything about it. */
export async function runFlows(ids: readonly string[], stretch: boolean): Promise<void> {
  const flows = await openTrials();
  const register = trialRegister();
  const refusals = new Map<string, number>();
  const seldom: string[] = [];
  const table: string[] = [];
  const note = (what: string, met: number) => {
    table.push(`${String(met).padStart(7)}  ${what}`);
    if (met < OFTEN) seldom.push(`${what}: ${met}`);
  };
  for (const id of ids) {
    const flow = flows.current(id);
    if (flow === null) throw new Error(`no flow ${id}`);
    const cars = carsOf(register, flow);
    const began = performance.now();
    const counts = await runFlow(flows, register, { flow: id, cars, inputs: INPUTS, seed: SEED, refusals });
    table.push(`${id}: ${line(counts)}, ${Math.round(performance.now() - began)} ms`);
    for (const step of flow.steps) {
      note(`${id} ${step.id} shown`, counts.shown.get(step.id) ?? 0);
      if (step.kind === 'gate') note(`${id} ${step.id} passed`, counts.passed.get(step.id) ?? 0);
    }
    if (counts.lapses > 0.03 * counts.inputs) seldom.push(`${id} had too many lapses`);
  }
  for (const [why, where] of Object.entries(CAUSED)) {
    const counted = where === 'here' || (stretch && where === 'in the stretch');
    if (counted) note(`refused: ${why}`, refusals.get(why) ?? 0);
  }
  if (process.env.PROPERTY_TABLE !== undefined) console.log(table.join('\n'));
  const fault = `seed ${SEED}: met fewer than ${OFTEN} times\n${seldom.join('\n')}\n\n${table.join('\n')}`;
  expect(seldom.length, fault).toBe(0);
}

function line({ inputs, right, lapses, jobs }: Counts): string {
  const part = (of: number) => `${((100 * of) / inputs).toFixed(1)} %`;
  return `${inputs} inputs, ${part(right)} right, ${part(lapses)} lapses, ${jobs} jobs`;
}
