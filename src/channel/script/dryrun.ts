import { readdir, readFile, stat } from 'node:fs/promises';
import { join } from 'node:path';
import type { FlowSource } from '../../desk/flow-source.js';
import { printScriptFault } from './grammar.js';
import type { Failure } from './play.js';
import { type Outcome, runScript } from './run.js';
import type { ReadText } from './script.js';

/** Reads a script from disk. */
export const readScriptText: ReadText = (path) => readFile(path, 'utf8').catch(() => null);

const USAGE = 'Write: npm run dryrun -- [--show] FILE…   A folder stands for all its .thread files.';

/** 0: all passed. 1: a check failed. 2: a line is not understood. */
export type ExitCode = 0 | 1 | 2;

export type DryRunOptions = {
  /** Prints the threads too, also when they pass; `--show` among the arguments does the same. */
  readonly show: boolean;
  readonly out: (line: string) => void;
};

/** Runs scripts, all of them, and prints what came of each and a summary. */
export async function dryRun(
  args: readonly string[],
  flows: { readonly source: FlowSource },
  { show, out }: DryRunOptions,
): Promise<ExitCode> {
  const odd = args.find((arg) => arg.startsWith('-') && arg !== '--show');
  const files = odd === undefined ? await filesOf(args.filter((arg) => arg !== '--show')) : [];
  if (files.length === 0) {
    out(odd === undefined ? 'There is no script to run.' : `"${odd}" is not known here.`);
    out(USAGE);
    return 2;
  }
  const outcomes: Outcome[] = [];
  for (const file of files) {
    const outcome = await runScript(file, { flows: flows.source, read: readScriptText });
    outcomes.push(outcome);
    for (const line of printOutcome(outcome, show || args.includes('--show'))) out(line);
  }
  out(summaryOf(outcomes));
  return exitCode(outcomes);
}

async function filesOf(paths: readonly string[]): Promise<readonly string[]> {
  const files = await Promise.all(
    paths.map(async (path) => {
      const found = await stat(path).catch(() => null);
      if (found === null || !found.isDirectory()) return [path];
      const names = (await readdir(path)).filter((name) => name.endsWith('.thread')).sort();
      return names.map((name) => join(path, name));
    }),
  );
  return files.flat();
}

/**
 * What came of a script, as lines. The thread stands under the first failure; the others often follow from it. With
 * `show` a script that passed is its claim and its threads, no path: the same bytes everywhere.
 */
export function printOutcome(outcome: Outcome, show: boolean): readonly string[] {
  const { file, title, faults, failures, checks, thread } = outcome;
  if (faults.length > 0) {
    return [`NOT UNDERSTOOD  ${file}`, ...faults.map((fault) => `  ${printScriptFault(fault)}`)];
  }
  if (failures.length === 0) {
    return show ? [title, '', ...thread, ''] : [`passed  ${file}, ${count(checks, 'check')}`];
  }
  return [
    `FAILED  ${file}, ${count(failures.length, 'line')} of it; ${count(checks, 'check')}`,
    ...failures.flatMap((failure, at) => printFailure(failure, at === 0)),
    ...(show ? ['', ...thread, ''] : []),
  ];
}

function printFailure({ file, line, written, problem, thread }: Failure, whole: boolean): readonly string[] {
  const head = [`  ${file}:${line}: ${written}`, ...problem.split('\n').map((one) => `    ${one}`)];
  if (!whole) return head;
  if (thread.length === 0) return [...head, '    The thread so far is empty.'];
  return [...head, '    The thread so far:', ...thread.map((one) => `      ${one}`)];
}

function summaryOf(outcomes: readonly Outcome[]): string {
  const odd = outcomes.filter(({ faults }) => faults.length > 0).length;
  const failed = outcomes.filter(({ failures }) => failures.length > 0).length;
  const checks = outcomes.reduce((sum, outcome) => sum + outcome.checks, 0);
  const came = [`${outcomes.length - odd - failed} passed`];
  if (failed > 0) came.push(`${failed} failed`);
  if (odd > 0) came.push(`${odd} not understood`);
  return `${count(outcomes.length, 'script')}, ${count(checks, 'check')}: ${came.join(', ')}.`;
}

function exitCode(outcomes: readonly Outcome[]): ExitCode {
  if (outcomes.some(({ faults }) => faults.length > 0)) return 2;
  return outcomes.some(({ failures }) => failures.length > 0) ? 1 : 0;
}

const count = (n: number, what: string) => `${n} ${what}${n === 1 ? '' : 's'}`;
