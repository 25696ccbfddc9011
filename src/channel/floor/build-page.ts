import { copyFileSync, readdirSync, readFileSync, statSync } from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { build } from 'esbuild';
import { buildVerdicts } from '../../desk/built-verdicts.js';

/** What a phone fetches before a chart is opened, in bytes at most. */
export const MOST_BYTES = 150_000;
/** Only fetched when somebody opens the pictures. */
const ON_DEMAND = 'charts.js';

const ROOT = fileURLToPath(new URL('../../..', import.meta.url));
const FROM = join(ROOT, 'src/channel/floor/page');
const TO = join(ROOT, 'dist/page');

/** Bundles the floor page into `dist/page` and prints its weight; part of `npm run build`. */
async function buildPage(): Promise<void> {
  await build({
    entryPoints: [join(FROM, 'page.ts'), join(FROM, 'charts.ts'), join(FROM, 'page.css')],
    outdir: TO,
    bundle: true,
    splitting: true,
    format: 'esm',
    target: 'es2022',
    minify: true,
    charset: 'utf8',
    legalComments: 'none',
    logLevel: 'warning',
  });
  copyFileSync(join(FROM, 'index.html'), join(TO, 'index.html'));
  const weights = readdirSync(TO).map((name) => ({ name, bytes: statSync(join(TO, name)).size }));
  const first = weights.filter(({ name }) => name !== ON_DEMAND).reduce((sum, { bytes }) => sum + bytes, 0);
  const each = weights.map(({ name, bytes }) => `${name} ${(bytes / 1000).toFixed(1)}`).join(', ');
  console.log(`page: ${(first / 1000).toFixed(1)} kB before charts, at most ${MOST_BYTES / 1000} (${each})`);
  if (first > MOST_BYTES) throw new Error('the page has grown too heavy');
}

/** Whoever starts for the first time looks at the page at once: no proof may keep it from answering then. */
async function proveFlows(): Promise<void> {
  const files = readdirSync(join(ROOT, 'flows'))
    .filter((name) => name.endsWith('.yaml'))
    .sort()
    .map((name) => ({ name, text: readFileSync(join(ROOT, 'flows', name), 'utf8') }));
  const provers = ['flow', 'rule', 'units'].map((name) => join(ROOT, 'dist', name));
  const proved = await buildVerdicts(files, join(ROOT, 'dist/verdicts'), provers);
  if (proved > 0) console.log(`flows: ${proved} proved, for the first start`);
}

await buildPage();
await proveFlows();
