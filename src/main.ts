#!/usr/bin/env node
import {
  accessSync,
  constants,
  existsSync,
  mkdirSync,
  readdirSync,
  readFileSync,
  writeFileSync,
} from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { dryRun } from './channel/script/dryrun.js';
import { runTerminal } from './channel/script/terminal.js';
import { type OpenedFlows, openFlows, sha256, type Verdicts } from './desk/flows.js';
import { printProofs } from './desk/proofs.js';
import { drawFlow } from './flow/draw.js';
import { printFault } from './flow/fault.js';
import { loadFlows } from './flow/load.js';
import { auditJournal } from './journal/audit.js';
import { LockError, takeLock } from './journal/lock.js';
import { openNodeDisk } from './journal/node-disk.js';
import { openStore } from './journal/store.js';

/**
 * The composition root and the command line; the only reader of the environment.
 *
 *     baywarden                 the interactive terminal on the data folder
 *     baywarden demo            the main job as a dry run, printed as a thread
 *     baywarden dryrun FILE…    thread scripts
 *     baywarden flows           check, prove and list the flows; --draw DIR writes their route maps
 *     baywarden audit JOB       verify a job's journal
 */
const ROOT = fileURLToPath(new URL('..', import.meta.url));
const FLOWS = process.env.BAYWARDEN_FLOWS ?? join(ROOT, 'flows');
const DATA = process.env.BAYWARDEN_DATA ?? '.data';

/** A setting that cannot be meant. */
class BadSetting extends Error {}

const [command = 'start', ...rest] = process.argv.slice(2);

try {
  process.exitCode = await run(command, rest);
} catch (error) {
  if (!(error instanceof LockError || error instanceof BadSetting)) throw error;
  console.error(error.message);
  process.exitCode = 1;
}

async function run(what: string, args: readonly string[]): Promise<number> {
  switch (what) {
    case 'start':
      return startTerminal();
    case 'demo':
      return dryRun([join(FLOWS, 'demo.thread')], await openedFlows(dryVerdicts()), {
        show: true,
        out: write,
      });
    case 'dryrun':
      return dryRun(args, await openedFlows(dryVerdicts()), { show: args.includes('--show'), out: write });
    case 'flows':
      return checkFlows(args);
    case 'audit':
      return audit(args[0]);
    default:
      console.error(
        `No command "${what}". There is: start, demo, dryrun FILE…, flows [--draw DIR], audit JOB.`,
      );
      return 2;
  }
}

function makeDataFolder(): void {
  try {
    mkdirSync(DATA, { recursive: true, mode: 0o700 });
    accessSync(DATA, constants.R_OK | constants.W_OK);
  } catch (error) {
    const why = error instanceof Error ? error.message : String(error);
    throw new BadSetting(`BAYWARDEN_DATA: ${DATA} cannot be used as the data folder (${why}). Name another.`);
  }
}

function write(text: string): void {
  process.stdout.write(`${text}\n`);
}

function flowTexts(): { name: string; text: string }[] {
  if (!existsSync(FLOWS)) {
    throw new BadSetting(
      `BAYWARDEN_FLOWS: there is no folder ${FLOWS}. Name the folder with the flow files.`,
    );
  }
  return readdirSync(FLOWS)
    .filter((name) => name.endsWith('.yaml'))
    .sort()
    .map((name) => ({ name, text: readFileSync(join(FLOWS, name), 'utf8') }));
}

async function openedFlows(verdicts: Verdicts | null): Promise<OpenedFlows> {
  const opened = await openFlows(flowTexts(), verdicts);
  for (const fault of opened.faults) if (fault.severity === 'fault') console.error(printFault(fault));
  for (const { flow, words } of opened.unproved)
    console.error(`${flow} cannot be started:\n${words.join('\n')}`);
  return opened;
}

async function startTerminal(): Promise<number> {
  makeDataFolder();
  const lock = takeLock(DATA);
  try {
    const flows = await openedFlows(folderVerdicts(join(DATA, 'verdicts')));
    return await runTerminal({
      data: DATA,
      flows: flows.source,
      input: process.stdin,
      output: process.stdout,
    });
  } finally {
    lock.release();
  }
}

/** One empty file for each bundle that was proved. */
function folderVerdicts(folder: string): Verdicts {
  mkdirSync(folder, { recursive: true, mode: 0o700 });
  return {
    has: async (bundle) => readdirSync(folder).includes(bundle),
    keep: async (bundle) => writeFileSync(join(folder, bundle), ''),
  };
}

/**
 * The verdicts of a data folder that is there already. A dry run makes no folder of its own: whoever tries a script
 * anywhere finds nothing left behind, and whoever works with the shop has proved its flows at the first start. What
 * cannot be kept is proved again.
 */
function dryVerdicts(): Verdicts | null {
  if (!existsSync(DATA)) return null;
  try {
    const verdicts = folderVerdicts(join(DATA, 'verdicts'));
    return { has: verdicts.has, keep: (bundle) => verdicts.keep(bundle).catch(() => undefined) };
  } catch {
    return null;
  }
}

function checkFlows(args: readonly string[]): number {
  const { flows, faults } = loadFlows(flowTexts(), sha256);
  for (const fault of faults) write(printFault(fault));
  const proved = printProofs(flows, write);
  const draw = args.indexOf('--draw');
  const folder = draw < 0 ? undefined : args[draw + 1];
  if (folder !== undefined) {
    mkdirSync(folder, { recursive: true });
    for (const flow of flows.values()) writeFileSync(join(folder, `${flow.id}.txt`), drawFlow(flow));
  }
  return proved && faults.every((fault) => fault.severity === 'advice') ? 0 : 1;
}

async function audit(job: string | undefined): Promise<number> {
  if (job === undefined) {
    console.error('Which job? For example: npm run audit -- QM-2603-014');
    return 2;
  }
  const disk = openNodeDisk(DATA);
  const store = openStore(disk);
  if (!(await store.has(job))) {
    console.error(`There is no job ${job} in ${DATA}.`);
    return 1;
  }
  const bytes = (await disk.read(`open/${job}.jsonl`)) ?? (await doneBytes(disk, job));
  const found = auditJournal(bytes ?? Buffer.alloc(0));
  write(JSON.stringify(found, null, 2));
  return found.findings.length === 0 ? 0 : 1;
}

async function doneBytes(disk: ReturnType<typeof openNodeDisk>, job: string): Promise<Buffer | null> {
  for (const month of (await disk.list('done')).toReversed()) {
    const bytes = await disk.read(`done/${month}/${job}.jsonl`);
    if (bytes !== null) return bytes;
  }
  return null;
}
