import { mkdirSync, mkdtempSync, readdirSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import { buildVerdicts } from '../../src/desk/built-verdicts.js';
import { openFlows } from '../../src/desk/flows.js';
import { tryOutTexts } from '../channel/bench.js';

describe('flows that are proved while the program is built', () => {
  let folder = '';
  beforeEach(() => {
    folder = mkdtempSync(join(tmpdir(), 'verdicts-'));
    mkdirSync(join(folder, 'prover'));
    writeFileSync(join(folder, 'prover/prove.js'), 'one');
  });
  afterEach(() => rmSync(folder, { recursive: true, force: true }));
  const build = async (files = tryOutTexts()) =>
    buildVerdicts(files, join(folder, 'verdicts'), [join(folder, 'prover')]);

  test('are found proved at the first start, and are not proved twice', async () => {
    expect(await build()).toBe(1);
    const names = readdirSync(join(folder, 'verdicts'));
    const { source } = await openFlows(tryOutTexts(), {
      has: async (bundle) => names.includes(bundle),
      keep: () => Promise.reject(new Error('it was proved again')),
    });
    expect(source.startable()).toEqual(['try-out']);
    expect(await build()).toBe(0);
  });

  test('are proved again when the text of a flow or the prover has changed', async () => {
    await build();
    const changed = tryOutTexts().map(({ name, text }) => ({ name, text: `${text}\n# changed\n` }));
    expect(await build(changed)).toBe(1);
    writeFileSync(join(folder, 'prover/prove.js'), 'other');
    expect(await build()).toBe(1);
  });
});
