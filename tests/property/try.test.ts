import { test } from 'vitest';
import { openTrials, trialRegister } from './shop.js';
import { carsOf, runFlow } from './run.js';
test('x', async () => {
  const flows = await openTrials();
  const register = trialRegister();
  const id = process.env.FLOW ?? 'make-safe';
  const flow = flows.current(id);
  if (flow === null) throw new Error('no');
  const cars = carsOf(register, flow);
  const t = performance.now();
  const refusals = new Map<string, number>();
  const counts = await runFlow(flows, register, { flow: id, cars, inputs: Number(process.env.N ?? 2000), seed: Number(process.env.SEED ?? 1), refusals });
  const low = flow.steps.filter((s) => (counts.shown.get(s.id) ?? 0) < 20).map((s) => `${s.id} ${counts.shown.get(s.id) ?? 0}`);
  const gates = flow.steps.filter((s) => s.kind === 'gate' && (counts.passed.get(s.id) ?? 0) < 20).map((s) => `${s.id} ${counts.passed.get(s.id) ?? 0}`);
  console.log(id, 'inputs', counts.inputs, 'lapses', counts.lapses, 'right', counts.right, 'jobs', counts.jobs, 'ms', Math.round(performance.now() - t));
  console.log('low', low.join(', '), '| gates', gates.join(', '));
  console.log([...counts.refused].map(([k, v]) => `${k} ${v}`).join(', '));
});
