import { type ChildProcess, spawn } from 'node:child_process';
import { once } from 'node:events';
import * as fs from 'node:fs';
import { hostname, tmpdir } from 'node:os';
import { join } from 'node:path';
import ts from 'typescript';
import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import { takeLock } from '../../src/journal/lock.js';

let folder = '';
const children: ChildProcess[] = [];

beforeEach(() => {
  folder = fs.mkdtempSync(join(tmpdir(), 'lock-'));
});
afterEach(() => {
  for (const child of children.splice(0)) child.kill('SIGKILL');
  fs.rmSync(folder, { recursive: true, force: true });
});

const lockFile = () => join(folder, 'lock');
const write = (owner: unknown) => fs.writeFileSync(lockFile(), JSON.stringify(owner));

/** Another process that takes the lock by the same code and keeps it. */
async function otherProcess(): Promise<ChildProcess> {
  const source = fs.readFileSync(new URL('../../src/journal/lock.ts', import.meta.url), 'utf8');
  const compilerOptions = { module: ts.ModuleKind.ESNext, target: ts.ScriptTarget.ES2023 };
  const code = ts.transpileModule(source, { compilerOptions }).outputText;
  const zod = import.meta.resolve('zod');
  const program = join(folder, 'other.mjs');
  const tail = `\ntry { takeLock(${JSON.stringify(folder)}); console.log('taken'); setInterval(() => {}, 1000); }
    catch (error) { console.log(error.message); }`;
  fs.writeFileSync(program, code.replace(/from ['"]zod['"]/, `from ${JSON.stringify(zod)}`) + tail);
  const child = spawn(process.execPath, [program], { stdio: ['ignore', 'pipe', 'inherit'] });
  children.push(child);
  return child;
}

async function firstWords(child: ChildProcess): Promise<string> {
  const [data] = await once(child.stdout ?? process.stdin, 'data');
  return String(data).trim();
}

describe('two processes', () => {
  test('the second one is refused while the first runs, and takes over when it was killed', async () => {
    const first = await otherProcess();
    expect(await firstWords(first)).toBe('taken');
    expect(() => takeLock(folder)).toThrow(
      new RegExp(`is in use by process ${first.pid} on this computer.*stop that one first`),
    );
    const gone = once(first, 'exit');
    first.kill('SIGKILL');
    await gone;
    const lock = takeLock(folder);
    expect(lock.report).toMatch(new RegExp(`lock of process ${first.pid}, which is gone, was taken over`));
    lock.release();
    expect(fs.existsSync(lockFile())).toBe(false);
  });

  test('this one refuses another', async () => {
    const lock = takeLock(folder);
    expect(await firstWords(await otherProcess())).toMatch(
      `in use by process ${process.pid} on this computer`,
    );
    lock.release();
    expect(await firstWords(await otherProcess())).toBe('taken');
  });
});

test('one process does not open a folder twice', () => {
  const lock = takeLock(folder);
  expect(() => takeLock(folder)).toThrow(/open in this program already/);
  lock.release();
  takeLock(folder).release();
});

test('a lock of another computer is refused with what to do', () => {
  write({ pid: 1, host: 'some-other-host', born: null });
  expect(() => takeLock(folder)).toThrow(/process 1 on some-other-host\. Stop it there.*delete .*lock/);
});

test('a process number used again by another program does not hold the lock', () => {
  write({ pid: process.ppid, host: hostname(), born: '1' });
  expect(takeLock(folder).report).toMatch(/which is gone/);
});

test('a lock file that is no lock is not taken over unseen', () => {
  fs.writeFileSync(lockFile(), 'what is this');
  expect(() => takeLock(folder)).toThrow(/not readable/);
});
