import { readdirSync, readFileSync } from 'node:fs';
import { test } from 'vitest';
import { loadFlows } from '../../src/flow/load.js';
import { openFlows, sha256 } from '../../src/desk/flows.js';
import { printFault } from '../../src/flow/fault.js';

test('x', async () => {
  const read = (dir: URL) =>
    readdirSync(dir)
      .filter((n) => n.endsWith('.yaml'))
      .map((name) => ({ name, text: readFileSync(new URL(name, dir), 'utf8') }));
  const files = [
    ...read(new URL('../../flows/', import.meta.url)),
    ...read(new URL('trials/', import.meta.url)),
  ];
  const skip = new Set([...loadFlows(files, sha256).flows.values()].filter((f) => ['disconnect-fuse'].includes(f.id)).map((f) => f.bundle));
  const t = performance.now();
  const opened = await openFlows(files, { has: async (b) => skip.has(b), keep: async () => undefined });
  for (const f of opened.faults) console.log(printFault(f));
  for (const u of opened.unproved) console.log(u.flow, u.words.join('\n'));
  console.log(opened.source.startable(), performance.now() - t);
  for (const id of opened.source.startable())
    console.log(
      id,
      opened.source.current(id)?.steps.length,
      opened.source
        .current(id)
        ?.steps.map((s) => s.id)
        .join(' '),
    );
});
