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
import { setFlagsFromString } from 'node:v8';
import type { OpenBeside } from './channel/several.js';
import type { Desk } from './desk/desk.js';
import type { OpenedFlows, Verdicts } from './desk/flows.js';
import type { Disk } from './journal/disk.js';
import { LockError, takeLock } from './journal/lock.js';

/**
 * The composition root and the command line; the only reader of the environment.
 *
 *     baywarden                 the floor page on the data folder, Slack beside it when its tokens are set
 *     baywarden terminal        the interactive terminal on the data folder
 *     baywarden preflight       what is missing or wrong before the first day, with what to do
 *     baywarden pin PERSON      sets a person's PIN, read from the input
 *     baywarden link PERSON     makes a person's own link to the page, and prints it
 *     baywarden demo            the main job as a dry run, printed as a thread
 *     baywarden dryrun FILE…    thread scripts
 *     baywarden flows           check, prove and list the flows; --draw DIR writes their route maps
 *     baywarden audit JOB       verify a job's journal
 *     baywarden due             what is due, and the calendar to subscribe to; --ics FILE writes it
 *
 * What a command needs is loaded when it runs: the page is up before the checker of flows would have been read.
 */
const ROOT = fileURLToPath(new URL('..', import.meta.url));
const FLOWS = process.env.BAYWARDEN_FLOWS ?? join(ROOT, 'flows');
const DATA = process.env.BAYWARDEN_DATA ?? '.data';
const HOST = process.env.BAYWARDEN_HOST ?? '127.0.0.1';
const PORT = process.env.BAYWARDEN_PORT ?? '4477';
const NAMES = process.env.BAYWARDEN_NAMES ?? '';

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
      return startFloor();
    case 'terminal':
      return startTerminal();
    case 'demo':
      return runDry([join(FLOWS, 'demo.thread')], true);
    case 'dryrun':
      return runDry(args, args.includes('--show'));
    case 'flows':
      return checkFlows(args);
    case 'due':
      return showDue(args);
    case 'audit':
      return audit(args[0]);
    case 'preflight':
      return checkBefore();
    case 'pin':
      return setPin(args[0]);
    case 'link':
      return makeLink(args[0]);
    default:
      console.error(
        `No command "${what}". There is: start, terminal, preflight, pin PERSON, link PERSON, demo, dryrun FILE…, flows [--draw DIR], audit JOB, due [--ics FILE].`,
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

async function runDry(files: readonly string[], show: boolean): Promise<number> {
  const { dryRun } = await import('./channel/script/dryrun.js');
  return dryRun(files, await openedFlows(dryVerdicts()), { show, out: write });
}

async function openedFlows(verdicts: Verdicts | null): Promise<OpenedFlows> {
  const { printFault } = await import('./flow/fault.js');
  const { openFlows } = await import('./desk/flows.js');
  const opened = await openFlows(flowTexts(), verdicts);
  for (const fault of opened.faults) if (fault.severity === 'fault') console.error(printFault(fault));
  for (const { flow, words } of opened.unproved)
    console.error(`${flow} cannot be started:\n${words.join('\n')}`);
  return opened;
}

function portOf(text: string): number {
  const port = Number(text);
  if (/^\d+$/.test(text) && port >= 1 && port <= 65_535) return port;
  throw new BadSetting(`BAYWARDEN_PORT: "${text}" is no port. Set a number from 1 to 65535, such as 4477.`);
}

function namesOf(text: string): readonly string[] {
  return text.split(',').flatMap((name) => name.trim() || []);
}

/** The settings of the messaging channel, which is loaded only where they are set. */
async function slackSet() {
  if (!Object.keys(process.env).some((name) => name.startsWith('SLACK_'))) return null;
  const { SlackSettingFault, slackSettings } = await import('./channel/slack/settings.js');
  try {
    return slackSettings(process.env);
  } catch (error) {
    if (error instanceof SlackSettingFault) throw new BadSetting(error.message);
    throw error;
  }
}

/** Slack beside the floor page, where its tokens are set. */
async function slackBeside(print: (words: string) => void): Promise<OpenBeside | null> {
  const settings = await slackSet();
  if (settings === null) return null;
  // The library's sockets fail from timers of their own, without a reason while they are closed: they are made anew.
  process.on('unhandledRejection', (reason) => {
    const code = reason instanceof Error && 'code' in reason ? String(reason.code) : '';
    if (reason === undefined || code.startsWith('slack_')) return;
    console.error(reason);
    process.exit(1);
  });
  const { openSlack } = await import('./channel/slack/slack.js');
  return async (on) => {
    const slack = await openSlack({ settings, ...on, report: print });
    const start = (desk: Desk) =>
      void slack.start(desk).ready.then(() => print(`  slack   ${slack.describe()}`));
    return { channel: slack.channel, start, tick: () => slack.tick(), stop: () => slack.stop() };
  };
}

async function startFloor(): Promise<number> {
  // Else short-lived memory grows to 48 MB before it is swept; what a shop's talk needs is a few. It is swept more often
  // and no slower for it: `npm run bench -- slack`.
  setFlagsFromString('--semi-space-growth-factor=1');
  const port = portOf(PORT);
  makeDataFolder();
  const lock = takeLock(DATA);
  if (lock.report !== null) console.error(lock.report);
  const ended = new Promise<void>((resolve) => {
    for (const signal of ['SIGINT', 'SIGTERM'] as const) process.once(signal, () => resolve());
  });
  try {
    const { isLoopback } = await import('./channel/floor/guard.js');
    if (!isLoopback(HOST)) {
      const { addressRefusal } = await import('./channel/floor/floor.js');
      const refused = await addressRefusal(DATA, HOST);
      if (refused !== null) throw new BadSetting(refused);
    }
    const { ListenError, openDoor, urlOf } = await import('./channel/floor/door.js');
    const page = join(ROOT, 'dist/page');
    const door = await openDoor({ page, host: HOST, port, names: namesOf(NAMES) }).catch((error) => {
      if (error instanceof ListenError) throw new BadSetting(error.message);
      throw error;
    });
    // Whoever opens it now sees the page, and in a moment the workshop: the rest is read meanwhile.
    write(`Baywarden. Open: ${urlOf(HOST, door.port)}`);
    if (!existsSync(join(page, 'index.html'))) write('  page    not built: npm run build');
    const { FloorError, openFloor } = await import('./channel/floor/floor.js');
    const flows = (await openedFlows(folderVerdicts(join(DATA, 'verdicts')))).source;
    const print = (...lines: readonly string[]) => write(lines.join('\n'));
    const beside = await slackBeside(print);
    const parts = { data: DATA, flows, door, host: HOST, print, ...(beside === null ? {} : { beside }) };
    const floor = await openFloor(parts).catch((error) => {
      if (error instanceof FloorError) return error;
      throw error;
    });
    if (floor instanceof FloorError) {
      console.error(floor.message);
      return 1;
    }
    await ended;
    await floor.close();
    return 0;
  } finally {
    lock.release();
  }
}

/** Exit code 1 when something blocks. Changes nothing but the verdicts on flows. */
async function checkBefore(): Promise<number> {
  const { printFault } = await import('./flow/fault.js');
  const port = portOf(PORT);
  const { openFlows } = await import('./desk/flows.js');
  const { preflight, printFindings } = await import('./channel/floor/preflight.js');
  const texts = existsSync(FLOWS) ? flowTexts() : [];
  const opened = await openFlows(texts, dryVerdicts());
  const faults = [
    ...opened.faults.filter(({ severity }) => severity === 'fault').map(printFault),
    ...opened.unproved.map(({ flow, words }) => `${flow}: ${words[0] ?? ''}`),
    ...(existsSync(FLOWS) ? [] : [`BAYWARDEN_FLOWS: there is no folder ${FLOWS}`]),
  ];
  const [now, running] = [Date.now(), isRunning()];
  const parts = { data: DATA, host: HOST, port, now, flows: opened.source, flowFaults: faults, running };
  const findings = [...(await preflight(parts)), ...(await slackFindings())];
  for (const line of printFindings(findings)) write(line);
  return findings.some(({ state }) => state === 'blocks') ? 1 : 0;
}

/** What Slack lacks; nothing where the workshop does without. */
async function slackFindings() {
  const settings = await slackSet();
  if (settings === null) return [];
  const { checkSlack } = await import('./channel/slack/check.js');
  const { openRegister } = await import('./shop/folder.js');
  const read = await openRegister(join(DATA, 'register')).read();
  return checkSlack({ settings, register: read.ok ? read.register : null, now: Date.now });
}

function isRunning(): boolean {
  if (!existsSync(DATA)) return false;
  try {
    takeLock(DATA).release();
    return false;
  } catch (error) {
    if (error instanceof LockError) return true;
    throw error;
  }
}

/** The register of the data folder, for a command that changes it. The program may run meanwhile: it looks again. */
async function setPin(person: string | undefined): Promise<number> {
  const { givePin } = await import('./channel/floor/grant.js');
  if (person === undefined) return usage('Whose PIN? For example: npm run pin -- mara');
  if (process.stdin.isTTY) process.stderr.write(`PIN of ${person}, 4 to 12 digits: `);
  const { createInterface } = await import('node:readline');
  const lines = createInterface({ input: process.stdin, terminal: false });
  let said = '';
  for await (const line of lines) {
    said = line;
    break;
  }
  lines.close();
  return tell(await givePin(join(DATA, 'register'), person, said));
}

async function makeLink(person: string | undefined): Promise<number> {
  const { giveLink } = await import('./channel/floor/grant.js');
  if (person === undefined) return usage('Whose link? For example: npm run link -- mara');
  const base = `http://${namesOf(NAMES)[0] ?? `${HOST}:${portOf(PORT)}`}`;
  return tell(await giveLink(join(DATA, 'register'), person, base));
}

function usage(words: string): number {
  console.error(words);
  return 2;
}

function tell({ ok, lines }: { readonly ok: boolean; readonly lines: readonly string[] }): number {
  for (const line of lines)
    if (ok) write(line);
    else console.error(line);
  return ok ? 0 : 1;
}

async function startTerminal(): Promise<number> {
  makeDataFolder();
  const lock = takeLock(DATA);
  try {
    const { runTerminal } = await import('./channel/script/terminal.js');
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

/** Whether a bundle was proved when this program was built. */
function isBuiltProved(bundle: string): boolean {
  return existsSync(join(ROOT, 'dist/verdicts', bundle));
}

/** One empty file for each bundle that was proved, beside those that the program brings. */
function folderVerdicts(folder: string): Verdicts {
  mkdirSync(folder, { recursive: true, mode: 0o700 });
  return {
    has: async (bundle) => isBuiltProved(bundle) || readdirSync(folder).includes(bundle),
    keep: async (bundle) => writeFileSync(join(folder, bundle), ''),
  };
}

/**
 * The verdicts of a data folder that is there already. A dry run makes no folder of its own: whoever tries a script
 * anywhere finds nothing left behind, and whoever works with the shop has proved its flows at the first start. What
 * cannot be kept is proved again.
 */
function dryVerdicts(): Verdicts {
  const built: Verdicts = { has: async (bundle) => isBuiltProved(bundle), keep: async () => undefined };
  if (!existsSync(DATA)) return built;
  try {
    const verdicts = folderVerdicts(join(DATA, 'verdicts'));
    return { has: verdicts.has, keep: (bundle) => verdicts.keep(bundle).catch(() => undefined) };
  } catch {
    return built;
  }
}

async function checkFlows(args: readonly string[]): Promise<number> {
  const { printFault } = await import('./flow/fault.js');
  const { sha256 } = await import('./desk/flows.js');
  const { printProofs } = await import('./desk/proofs.js');
  const { drawFlow } = await import('./flow/draw.js');
  const { loadFlows } = await import('./flow/load.js');
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

/** The due list, read from the register; the program may run meanwhile. */
async function showDue(args: readonly string[]): Promise<number> {
  const { openFolderShop } = await import('./desk/shops.js');
  const { openRegister } = await import('./shop/folder.js');
  const { dueCalendar } = await import('./desk/due-calendar.js');
  const { dueListOf } = await import('./desk/day-teller.js');
  const { renderPost } = await import('./channel/script/render.js');
  const at = args.indexOf('--ics');
  const file = at < 0 ? undefined : args[at + 1];
  if (at >= 0 && file === undefined) return usage('Which file? For example: npm run due -- --ics due.ics');
  const folder = join(DATA, 'register');
  const read = await openFolderShop(openRegister(folder));
  if (!read.ok) return usage(`There is no register without faults in ${folder}: npm run preflight says why.`);
  const now = Date.now();
  if (file !== undefined) {
    writeFileSync(file, await dueCalendar(read.shop, now));
    write(`Written: ${file}`);
    return 0;
  }
  for (const line of renderPost(await dueListOf(read.shop, now), read.shop.register().shop.zone)) write(line);
  const { openNodeDisk } = await import('./journal/node-disk.js');
  const { calendarToken, calendarUrl } = await import('./channel/floor/calendar.js');
  const base = `http://${namesOf(NAMES)[0] ?? `${HOST}:${portOf(PORT)}`}`;
  write(`Subscribe, while the program runs: ${calendarUrl(base, await calendarToken(openNodeDisk(DATA)))}`);
  write(
    `Whoever has this address reads the due list. Take ${join(DATA, 'calendar-token')} away to make it void.`,
  );
  return 0;
}

async function audit(job: string | undefined): Promise<number> {
  if (job === undefined) {
    console.error('Which job? For example: npm run audit -- QM-2603-014');
    return 2;
  }
  const { openNodeDisk } = await import('./journal/node-disk.js');
  const { openStore } = await import('./journal/store.js');
  const { auditJournal } = await import('./journal/audit.js');
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

async function doneBytes(disk: Disk, job: string): Promise<Buffer | null> {
  for (const month of (await disk.list('done')).toReversed()) {
    const bytes = await disk.read(`done/${month}/${job}.jsonl`);
    if (bytes !== null) return bytes;
  }
  return null;
}
