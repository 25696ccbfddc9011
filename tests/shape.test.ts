import { existsSync, readdirSync, readFileSync, statSync } from 'node:fs';
import { dirname, join, relative, resolve } from 'node:path';
import { describe, expect, test } from 'vitest';

const ROOT = resolve(import.meta.dirname, '..');

/** What each folder may import. A failing test names the file: move the code, not the arrow. */
const ARROWS: Readonly<Record<string, readonly string[]>> = {
  units: [],
  trade: ['units'],
  rule: [],
  flow: ['units', 'trade', 'rule'],
  job: ['units', 'trade', 'rule', 'flow'],
  talk: ['units', 'trade', 'rule', 'flow', 'job'],
  record: ['units', 'trade', 'rule', 'flow', 'job', 'talk'],
  journal: ['job'],
  shop: ['job', 'flow', 'units'],
  desk: ['units', 'trade', 'rule', 'flow', 'job', 'talk', 'record', 'journal', 'shop'],
  channel: ['units', 'job', 'talk', 'record', 'desk', 'flow', 'journal', 'shop', 'rule'],
  '': ['flow', 'desk', 'channel', 'journal', 'shop'],
};
const PURE = ['units', 'trade', 'rule', 'flow', 'job', 'talk', 'record'];

type Import = { readonly from: string; readonly to: string; readonly typeOnly: boolean };

function sources(folder: string): string[] {
  return readdirSync(folder).flatMap((name) => {
    const path = join(folder, name);
    if (statSync(path).isDirectory()) return sources(path);
    return path.endsWith('.ts') ? [path] : [];
  });
}

const files = sources(join(ROOT, 'src'));
const text = new Map(files.map((file) => [file, readFileSync(file, 'utf8')]));

function importsOf(file: string): Import[] {
  const found: Import[] = [];
  for (const match of (text.get(file) ?? '').matchAll(
    /^(import|export)\s+(type\s)?([^;]*?)from\s+'([^']+)'/gms,
  )) {
    const to = match[4] ?? '';
    const named = (match[3] ?? '')
      .replace(/[{}\s]/g, '')
      .split(',')
      .filter((name) => name !== '');
    const allTypes = /\{/.test(match[3] ?? '') && named.every((name) => name.startsWith('type'));
    found.push({ from: file, to, typeOnly: match[2] !== undefined || allTypes });
  }
  return found;
}

const folderOf = (file: string) => {
  const parts = relative(join(ROOT, 'src'), file).split('/');
  return parts.length === 1 ? '' : (parts[0] ?? '');
};

describe('the shape of the source', () => {
  test('there is source to look at', () => {
    expect(files.length).toBeGreaterThan(80);
    expect(files.flatMap(importsOf).length).toBeGreaterThan(300);
  });

  test('imports point one way', () => {
    const wrong: string[] = [];
    for (const file of files) {
      for (const { to, typeOnly } of importsOf(file)) {
        if (!to.startsWith('.')) continue;
        const target = folderOf(resolve(dirname(file), to));
        const from = folderOf(file);
        if (target === from) continue;
        const journalTypes = (from === 'journal' || from === 'shop') && target === 'job' && !typeOnly;
        if (journalTypes || !(ARROWS[from] ?? []).includes(target)) {
          wrong.push(`${relative(ROOT, file)} imports ${to}`);
        }
      }
    }
    expect(wrong).toEqual([]);
  });

  test('the pure folders know no clock, disk, network, chance or environment', () => {
    const pure = files.filter((file) => PURE.includes(folderOf(file)));
    expect(pure.length).toBeGreaterThan(50);
    const wrong: string[] = [];
    for (const file of pure) {
      const code = (text.get(file) ?? '').replace(/\/\*[\s\S]*?\*\/|\/\/[^\n]*/g, '');
      const reaches =
        /\bDate\.now\b|\bnew Date\(\s*\)|\bMath\.random\b|\bprocess\.|\bfetch\(|\bsetTimeout\b|\bperformance\./;
      const hit = reaches.exec(code);
      if (hit !== null) wrong.push(`${relative(ROOT, file)}: ${hit[0]}`);
      for (const { to } of importsOf(file)) {
        if (to.startsWith('.') || to === 'yaml' || to === 'zod') continue;
        wrong.push(`${relative(ROOT, file)} imports ${to}`);
      }
    }
    expect(wrong).toEqual([]);
  });

  test('no file imports itself by a ring', () => {
    const graph = new Map<string, string[]>();
    for (const file of files) {
      const to = importsOf(file)
        .filter((one) => one.to.startsWith('.') && !one.typeOnly)
        .map((one) => resolve(dirname(file), one.to).replace(/\.js$/, '.ts'));
      graph.set(file, to);
    }
    const done = new Set<string>();
    const rings: string[] = [];
    const visit = (file: string, path: readonly string[]): void => {
      if (path.includes(file)) {
        rings.push([...path.slice(path.indexOf(file)), file].map((one) => relative(ROOT, one)).join(' -> '));
        return;
      }
      if (done.has(file)) return;
      for (const next of graph.get(file) ?? []) visit(next, [...path, file]);
      done.add(file);
    };
    for (const file of files) visit(file, []);
    expect(rings).toEqual([]);
  });

  test('there are no barrels and no drawers for odds and ends', () => {
    const names = files.map((file) => relative(ROOT, file));
    expect(names.filter((name) => /(^|\/)(index|utils?|helpers?|common|misc)\.ts$/.test(name))).toEqual([]);
  });

  test.each([
    ['developers', 'DEVELOPERS.md', 40],
    ['readers', 'README.md', 5],
  ])('every path named for %s exists', (_, file, least) => {
    const page = readFileSync(join(ROOT, file), 'utf8');
    const named = [...page.matchAll(/(?<=[`\s])((?:src|flows|tests)\/[^`*\s]*)`/g)].map(
      (match) => match[1] ?? '',
    );
    expect(named.length).toBeGreaterThanOrEqual(least);
    expect(named.filter((path) => !existsSync(join(ROOT, path)))).toEqual([]);
  });

  test('the top level is what the user fixed', () => {
    const allowed =
      /^(README\.md|DEVELOPERS\.md|package\.json|package-lock\.json|tsconfig\.json|src|flows|tests|LICENSE|\..*|node_modules|dist)$/;
    expect(readdirSync(ROOT).filter((name) => !allowed.test(name))).toEqual([]);
  });
});
