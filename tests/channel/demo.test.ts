import { readdirSync, readFileSync } from 'node:fs';
import { beforeAll, describe, expect, test } from 'vitest';
import { runScript } from '../../src/channel/script/run.js';
import { type OpenedFlows, openFlows } from '../../src/desk/flows.js';

const dir = new URL('../../flows/', import.meta.url);
const demo = readFileSync(new URL('demo.thread', dir), 'utf8');

let flows: OpenedFlows;
beforeAll(async () => {
  const files = readdirSync(dir)
    .filter((name) => name.endsWith('.yaml'))
    .map((name) => ({ name, text: readFileSync(new URL(name, dir), 'utf8') }));
  // That they are proved is another test's matter.
  flows = await openFlows(files, { has: async () => true, keep: async () => {} });
});

async function played(text: string) {
  const outcome = await runScript('demo.thread', { flows: flows.source, read: async () => text });
  return { ...outcome, said: outcome.thread.filter((line) => !/restart|^-- /i.test(line)).join('\n') };
}

describe('the demo job', () => {
  test('shows a refused gate, a stale answer, a lapse with its new proof, a cure wait and what is next due', async () => {
    const { failures, said } = await played(demo);
    expect(failures).toEqual([]);
    for (const words of [
      'That word passes no gate.',
      'Said before the question below was seen.',
      'Long pause: after RESUME states are looked at, proofs made again.',
      'Again: Gate: Prove the car side dead.',
      'Waiting, not before Tue 3 Mar',
      'Next due: disconnect fuse, change 20',
      'RECORD OF JOB QM-2603-001',
    ]) {
      expect(said).toContain(words);
    }
  });

  test('is the same to the last byte every time', async () => {
    expect((await played(demo)).said).toBe((await played(demo)).said);
  });

  test('looks the same to everybody when the computer is restarted at every step', async () => {
    const acts = /^(\d\d:\d\d )?\w+( early)?(: | photo )/;
    const restarted = demo
      .split('\n')
      .flatMap((line) => (acts.test(line) && !line.includes(': start ') ? ['restart', line] : [line]))
      .join('\n');
    expect(restarted.split('\n').filter((line) => line === 'restart').length).toBeGreaterThan(150);
    const once = await played(demo);
    const often = await played(restarted);
    expect(often.failures).toEqual([]);
    expect(often.said).toBe(once.said);
  });
});
