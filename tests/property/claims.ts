import { expect } from 'vitest';
import type { Refusal } from '../../src/job/refusal.js';
import type { Counts } from './rare.js';
import { canApply, carsOf, choicesOf, runFlow } from './run.js';
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
  'left-out': 'here',
};

const INPUTS = Number(process.env.PROPERTY_INPUTS ?? 22_000);
const SEED = Number(process.env.PROPERTY_SEED ?? 20260302);
const OFTEN = 20;

/** A flow, on all cars that it is for or on those of one variant only. */
export type Round = { readonly flow: string; readonly only?: Readonly<Record<string, string>> };

/**
 * Runs each of these flows for so many inputs, spread evenly over its cars, and says what was met too seldom to claim
 * anything about it. Counted are, for each round, the showings of every step that one of its cars can be shown and the
 * passings of every such gate; and over the whole file every refusal that answers and lapses can cause.
 */
export async function runFlows(rounds: readonly Round[], stretch: boolean): Promise<void> {
  const flows = await openTrials();
  const register = trialRegister();
  const refusals = new Map<string, number>();
  const seldom: string[] = [];
  const table: string[] = [];
  const note = (what: string, met: number) => {
    table.push(`${String(met).padStart(7)}  ${what}`);
    if (met < OFTEN) seldom.push(`${what}: ${met}`);
  };
  for (const { flow: id, only = {} } of rounds) {
    const flow = flows.current(id);
    if (flow === null) throw new Error(`no flow ${id}`);
    const cars = carsOf(register, flow, only);
    const began = performance.now();
    const counts = await runFlow(flows, register, { flow: id, cars, inputs: INPUTS, seed: SEED, refusals });
    const name = [id, ...Object.values(only)].join(' ');
    table.push(`${name}: ${line(counts)}, ${Math.round(performance.now() - began)} ms, ${cars.join(' ')}`);
    const choices = cars.map((car) => choicesOf(register, car));
    for (const step of flow.steps) {
      if (!choices.some((of) => canApply(flow, step, of))) continue;
      note(`${name} ${step.id} shown`, counts.shown.get(step.id) ?? 0);
      if (step.kind === 'gate') note(`${name} ${step.id} passed`, counts.passed.get(step.id) ?? 0);
    }
    if (counts.lapses > 0.03 * counts.inputs) seldom.push(`${name} had too many lapses`);
    if (counts.right < 0.78 * counts.inputs) seldom.push(`${name} had too few right answers`);
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
