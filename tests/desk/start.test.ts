import { type ChildProcess, spawn } from 'node:child_process';
import { existsSync, mkdirSync, readdirSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { expect, test } from 'vitest';
import { sha256 } from '../../src/desk/flows.js';
import { loadFlows } from '../../src/flow/load.js';
import { emptyFolder } from '../shop/folders.js';
import { flowTexts } from './floor.js';

const ROOT = new URL('../..', import.meta.url).pathname;
const MAIN = join(ROOT, 'dist', 'main.js');

type Ran = { readonly code: number | null; readonly out: string; readonly err: string };

type Running = {
  readonly child: ChildProcess;
  readonly ended: Promise<Ran>;
  says(text: string): Promise<string>;
};

/** Starts the program as somebody at a keyboard would, with these settings and no other of ours. */
function begin(args: readonly string[], settings: Readonly<Record<string, string>>): Running {
  const child = spawn(process.execPath, [MAIN, ...args], {
    cwd: ROOT,
    env: { PATH: process.env.PATH ?? '', ...settings },
    stdio: ['pipe', 'pipe', 'pipe'],
  });
  let out = '';
  let err = '';
  const waiting: (() => void)[] = [];
  const wake = () => {
    for (const one of waiting.splice(0)) one();
  };
  child.stdout.on('data', (chunk: Buffer) => {
    out += chunk.toString();
    wake();
  });
  child.stderr.on('data', (chunk: Buffer) => {
    err += chunk.toString();
  });
  const ended = new Promise<Ran>((resolve) => {
    child.on('close', (code) => {
      wake();
      resolve({ code, out, err });
    });
  });
  return {
    child,
    ended,
    says: async (text) => {
      while (!out.includes(text)) {
        if (child.exitCode !== null) throw new Error(`it ended without "${text}":\n${out}\n${err}`);
        await new Promise<void>((resolve) => waiting.push(resolve));
      }
      return out;
    },
  };
}

async function run(
  args: readonly string[],
  settings: Readonly<Record<string, string>>,
  lines: readonly string[] = [],
): Promise<Ran> {
  const { child, ended } = begin(args, settings);
  child.stdin?.end(lines.map((line) => `${line}\n`).join(''));
  return ended;
}

/** A data folder in which the flows were proved by an earlier start: proving is tested elsewhere. */
function dataFolder(): string {
  const data = emptyFolder();
  mkdirSync(join(data, 'verdicts'));
  for (const { bundle } of loadFlows(flowTexts(ROOT), sha256).flows.values()) {
    writeFileSync(join(data, 'verdicts', bundle), '');
  }
  return data;
}

const FIRST_STEPS = [
  'start make-safe DEMO-1',
  'sound',
  'none',
  '81214',
  '/photo codes.jpg',
  '30 %',
  '24 °C',
  '23 °C',
  '4 MΩ',
  'ok',
];

test('the terminal on an empty folder walks the first steps of make-safe and leaves a journal that audits sound', async () => {
  const data = dataFolder();
  const { code, out, err } = await run(['terminal'], { BAYWARDEN_DATA: data }, FIRST_STEPS);
  expect(err).toBe('');
  expect(code).toBe(0);
  const order = [
    'First line to type',
    'This pack',
    'Fault codes',
    'Odometer',
    'Charge',
    'Hottest cell',
    'Barrier',
  ];
  const places = order.map((words) => out.indexOf(words));
  expect(places).not.toContain(-1);
  expect(places).toEqual(places.toSorted((a, b) => a - b));
  const [name = ''] = readdirSync(join(data, 'open'));
  const audit = await run(['audit', name.replace('.jsonl', '')], { BAYWARDEN_DATA: data });
  expect(audit.code).toBe(0);
  const found = JSON.parse(audit.out);
  expect(found.sound).toBe(true);
  expect(found.inputs).toBe(FIRST_STEPS.length);
  expect(existsSync(join(data, 'lock'))).toBe(false);
});

test('a second program on the same folder is refused with the reason; the first goes on, and a later one takes over', async () => {
  const data = dataFolder();
  const first = begin(['terminal'], { BAYWARDEN_DATA: data });
  await first.says('First line to type');
  const second = await run(['terminal'], { BAYWARDEN_DATA: data }, ['start make-safe DEMO-1']);
  expect(second.code).toBe(1);
  expect(second.err).toContain(`is in use by process ${first.child.pid}`);
  expect(second.err).toContain('stop that one first');
  expect(second.err).not.toMatch(/\n\s+at /);
  first.child.stdin?.write('start make-safe DEMO-1\n');
  await first.says('This pack');
  first.child.kill('SIGKILL');
  await first.ended;
  expect(existsSync(join(data, 'lock'))).toBe(true);
  const third = await run(['terminal'], { BAYWARDEN_DATA: data }, ['sound']);
  expect(third.code).toBe(0);
  expect(third.out).toContain('Fault codes');
});

test.each([
  [
    'a data folder that is a file',
    (path: string) => ({ BAYWARDEN_DATA: join(path, 'taken') }),
    /BAYWARDEN_DATA.*taken/s,
  ],
  [
    'a flow folder that is not there',
    (path: string) => ({ BAYWARDEN_DATA: join(path, 'data'), BAYWARDEN_FLOWS: join(path, 'none') }),
    /BAYWARDEN_FLOWS.*none/s,
  ],
])(
  '%s: one clear line names the setting and what to do, and no trace of the program',
  async (_, settings, words) => {
    const folder = emptyFolder();
    writeFileSync(join(folder, 'taken'), '');
    const { code, err } = await run(['terminal'], settings(folder));
    expect(code).toBe(1);
    expect(err).toMatch(words);
    expect(err).toMatch(/Name /);
    expect(err).not.toMatch(/\n\s+at /);
  },
);

test('a command that is not known is told with those that are', async () => {
  const { code, err } = await run(['strat'], { BAYWARDEN_DATA: emptyFolder() });
  expect(code).toBe(2);
  expect(err).toContain('No command "strat"');
  expect(err).toContain('start');
});

test('an audit of a job that is not there says so', async () => {
  const { code, err } = await run(['audit', 'QM-2603-999'], { BAYWARDEN_DATA: emptyFolder() });
  expect(code).toBe(1);
  expect(err).toContain('There is no job QM-2603-999');
});

test('a dry run takes the proofs made at the build, writes none where a data folder is, and makes none where there is none', async () => {
  const data = emptyFolder();
  const { code, err } = await run(['demo'], { BAYWARDEN_DATA: data });
  expect(err).toBe('');
  expect(code).toBe(0);
  expect(readdirSync(join(data, 'verdicts'))).toEqual([]);
  const none = join(emptyFolder(), 'none');
  expect((await run(['demo'], { BAYWARDEN_DATA: none })).code).toBe(0);
  expect(existsSync(none)).toBe(false);
});
