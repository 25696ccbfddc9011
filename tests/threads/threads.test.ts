import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { beforeAll, describe, expect, test } from 'vitest';
import { printOutcome, readScriptText } from '../../src/channel/script/dryrun.js';
import { parseScript } from '../../src/channel/script/grammar.js';
import { runScript } from '../../src/channel/script/run.js';
import type { FlowSource } from '../../src/desk/flow-source.js';
import { openFlows } from '../../src/desk/flows.js';

const HERE = new URL('.', import.meta.url).pathname;
/** The shipped flows, and the trials for what no shipped flow has. */
const FLOWS = ['../../flows/', '../property/trials/'].map(
  (folder) => new URL(folder, import.meta.url).pathname,
);

/** Every script under this folder, its claim as the title. Scripts under `parts/` are only there for `like`. */
const files = readdirSync(HERE, { recursive: true, encoding: 'utf8' })
  .filter((name) => name.endsWith('.thread') && !name.startsWith('parts/'))
  .sort()
  .map((name) => {
    const path = join(HERE, name);
    return { name, path, claim: parseScript(readFileSync(path, 'utf8'), path).title };
  });

let flows: FlowSource;

beforeAll(async () => {
  const texts = FLOWS.flatMap((folder) =>
    readdirSync(folder)
      .filter((name) => name.endsWith('.yaml'))
      .sort()
      .map((name) => ({ name, text: readFileSync(join(folder, name), 'utf8') })),
  );
  // What a flow promises is proved in tests/flow; here any verdict will do.
  flows = (await openFlows(texts, { has: async () => true, keep: async () => undefined })).source;
});

test('there are thread scripts, and no two make the same claim', () => {
  expect(files.length).toBeGreaterThan(0);
  expect(new Set(files.map(({ claim }) => claim)).size).toBe(files.length);
});

describe('threads', () => {
  test.each(files)('$claim', async ({ path }) => {
    const outcome = await runScript(path, { flows, read: readScriptText });
    const passed = outcome.faults.length === 0 && outcome.failures.length === 0;
    expect(passed, printOutcome(outcome, false).join('\n')).toBe(true);
    expect(outcome.checks, 'a script without a check proves nothing').toBeGreaterThan(0);
  });
});
