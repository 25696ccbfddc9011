import { mkdirSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import type { FlowText } from '../flow/load.js';
import { openFlows, sha256 } from './flows.js';

/**
 * Proves the flows that come with the program while it is built, so that the first start finds them proved: one empty
 * file in `to` for each bundle. Nothing is proved again by the same prover. `provers` are the folders of compiled files
 * that a proof hangs on; another prover, and every verdict is made anew. Gives how many flows were proved now.
 */
export async function buildVerdicts(
  files: readonly FlowText[],
  to: string,
  provers: readonly string[],
): Promise<number> {
  const prover = `prover-${sha256(provers.flatMap(textsIn).join('\n'))}`;
  mkdirSync(to, { recursive: true });
  const before = readdirSync(to);
  if (!before.includes(prover)) for (const name of before) rmSync(join(to, name));
  writeFileSync(join(to, prover), '');
  const has = new Set(readdirSync(to));
  let proved = 0;
  await openFlows(files, {
    has: async (bundle) => has.has(bundle),
    keep: async (bundle) => {
      writeFileSync(join(to, bundle), '');
      proved++;
    },
  });
  return proved;
}

function textsIn(folder: string): readonly string[] {
  return readdirSync(folder)
    .filter((name) => name.endsWith('.js'))
    .sort()
    .map((name) => `${name}\n${readFileSync(join(folder, name), 'utf8')}`);
}
