import type { Flow } from '../flow/flow.js';
import { prove } from '../flow/prove.js';

/** Proves every flow and prints a line each, breaks with their shortest path. True when all are proved. */
export function printProofs(flows: ReadonlyMap<string, Flow>, out: (text: string) => void): boolean {
  let all = true;
  const parkLeaves = [...flows.values()].find((flow) => flow.park)?.leaves ?? [];
  for (const flow of flows.values()) {
    const { states, longest, breaks } = prove(flow, parkLeaves);
    const steps = flow.steps.length;
    out(`${flow.id}: ${steps} steps, ${states} states, at most ${longest} questions to the end`);
    for (const { property, problem, path } of breaks) {
      all = false;
      out(`  NOT PROVED, ${property}: ${problem}`);
      for (const line of path) out(`    ${line}`);
    }
  }
  return all;
}
