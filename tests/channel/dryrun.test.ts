import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { dryRun } from '../../src/channel/script/dryrun.js';
import type { FlowSource } from '../../src/desk/flow-source.js';
import { tryOut } from './bench.js';

const folder = mkdtempSync(join(tmpdir(), 'baywarden-'));
let flows: { readonly source: FlowSource };

const SCRIPTS = {
  good: '# A lamp is lit\nmara: start try-out DEMO-1\n> Lamp on.\nmara: ok\nstep warm-up',
  bad: '# A lamp is not lit\nmara: start try-out DEMO-1\n> Lamp off.\nstay',
  odd: '# Nobody understands this\nmara start try-out\nstep: lamp',
} as const;

beforeAll(async () => {
  flows = { source: await tryOut() };
  for (const [name, text] of Object.entries(SCRIPTS)) writeFileSync(join(folder, `${name}.thread`), text);
});
afterAll(() => rmSync(folder, { recursive: true }));

async function dry(...args: readonly string[]) {
  const lines: string[] = [];
  const paths = args.map((arg) => (arg.startsWith('-') ? arg : join(folder, arg)));
  const code = await dryRun(paths, flows, {
    show: false,
    out: (line) => lines.push(line.replaceAll(`${folder}/`, '')),
  });
  return { code, text: lines.join('\n') };
}

test('scripts that pass are a line each, and the exit is 0', async () => {
  expect(await dry('good.thread')).toEqual({
    code: 0,
    text: 'passed  good.thread, 2 checks\n1 script, 2 checks: 1 passed.',
  });
});

test('a check that fails is told with file, line and the thread so far, and the exit is 1', async () => {
  const { code, text } = await dry('bad.thread', 'good.thread');
  expect(code).toBe(1);
  expect(text).toContain('bad.thread:3: > Lamp off.');
  expect(text).toContain('08:00 mara   start try-out DEMO-1');
  expect(text).toContain('passed  good.thread');
  expect(text).toContain('2 scripts, 4 checks: 1 passed, 1 failed.');
});

test('a line that is not understood is told, all of them at once, and the exit is 2 whatever else failed', async () => {
  const { code, text } = await dry('odd.thread', 'bad.thread', 'good.thread');
  expect(code).toBe(2);
  expect(text).toMatch(/odd\.thread:2: .*\n.*odd\.thread:3: /);
  expect(text).toContain('3 scripts, 4 checks: 1 passed, 1 failed, 1 not understood.');
});

test('a folder stands for all scripts in it', async () => {
  expect((await dry('.')).text).toContain('3 scripts');
});

test('--show prints claim and thread of a script that passed, and no path', async () => {
  const { code, text } = await dry('--show', 'good.thread');
  expect(code).toBe(0);
  expect(text).toMatch(/^A lamp is lit\n\n-- Bay 1, Mon 2 Mar 2026 --\n08:00 mara {3}start try-out DEMO-1\n/);
  expect(text).not.toContain('good.thread');
});

test.each([[[]], [['--fast', 'good.thread']]])('%j is told how to be written', async (args) => {
  const { code, text } = await dry(...args);
  expect(code).toBe(2);
  expect(text).toContain('npm run dryrun');
});

test('a script that is not there is not understood', async () => {
  expect(await dry('none.thread')).toMatchObject({
    code: 2,
    text: expect.stringContaining('there is no such file'),
  });
});
