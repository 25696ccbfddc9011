import { createHash } from 'node:crypto';
import { readdirSync, readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, test } from 'vitest';
import { printFault } from '../../src/flow/fault.js';
import { type FlowText, loadFlows } from '../../src/flow/load.js';

/*
 * Each file of `bad/` is a flow with planted faults; its name is the claim, its lower half the exact complaints.
 *
 * When a wording or a place changes on purpose: run
 *   BAD_FLOWS=write npx vitest run --config tests/vitest.config.ts tests/flow/bad.test.ts
 * and read the diff line by line. A complaint that vanishes is a fault that authors are no longer told.
 */
const FOLDER = join(import.meta.dirname, 'bad');
const HAZARDS = 'levels: [1S, 2S]\nhazards:\n  none: { label: none }\n';
const MARK = '=== complaints\n';

const names = readdirSync(FOLDER).filter((name) => name.endsWith('.case'));
const hash = (text: string) => createHash('sha256').update(text).digest('hex');

/** `=== NAME` begins a file; without one the text is `case.yaml`. The plain hazard table is added if none is given. */
function filesOf(top: string): FlowText[] {
  const parts = top.startsWith('=== ') ? top.split(/^=== /m).slice(1) : [`case.yaml\n${top}`];
  const files = parts.map((part) => {
    const at = part.indexOf('\n');
    return { name: part.slice(0, at), text: part.slice(at + 1) };
  });
  if (!files.some((file) => file.name === 'hazards.yaml'))
    files.push({ name: 'hazards.yaml', text: HAZARDS });
  return files;
}

describe('a planted fault is told at its line with its remedy', () => {
  test('there are cases', () => expect(names.length).toBeGreaterThan(40));

  test.each(names)('%s', (name) => {
    const path = join(FOLDER, name);
    const [top = '', bottom = ''] = readFileSync(path, 'utf8').split(MARK);
    const { flows, faults } = loadFlows(filesOf(top), hash);
    const told = faults.map((fault) => `${printFault(fault)}\n`).join('');
    if (process.env.BAD_FLOWS === 'write') writeFileSync(path, `${top}${MARK}${told}`);
    else expect(told).toBe(bottom);
    expect(told).not.toBe('');
    for (const fault of faults) expect([...flows.keys()].map((id) => `${id}.yaml`)).not.toContain(fault.file);
  });
});
