import * as fs from 'node:fs';
import { createServer } from 'node:net';
import { join } from 'node:path';
import type { FlowSource } from '../../desk/flow-source.js';
import { type Finding, readiness } from '../../desk/readiness.js';
import { printRegisterFault } from '../../shop/fault.js';
import { openRegister } from '../../shop/folder.js';
import type { Register } from '../../shop/register.js';
import { isLoopback } from './guard.js';
import { isDemo } from './hello.js';

export type PreflightParts = {
  readonly data: string;
  readonly host: string;
  readonly port: number;
  readonly now: number;
  readonly flows: FlowSource;
  /** Faults and breaks of the flows, in words. */
  readonly flowFaults: readonly string[];
  /** The program runs on this folder already: its port is its own. */
  readonly running: boolean;
};

/** Everything that is missing or wrong before the first day; what blocks first. Changes nothing. */
export async function preflight(parts: PreflightParts): Promise<readonly Finding[]> {
  const { data, flows, now } = parts;
  const checked = await readRegister(join(data, 'register'));
  const found = [
    ...diskFindings(data),
    clockFinding(data, now),
    ...checked.findings,
    flowsFinding(flows, parts.flowFaults),
    ...(checked.register === null ? [] : readiness(checked.register, flows, now)),
    addressFinding(parts, checked.register),
    await portFinding(parts),
  ];
  const rank = { blocks: 0, note: 1, good: 2 } as const;
  return found.toSorted((a, b) => rank[a.state] - rank[b.state]);
}

/** The findings as lines for the console. */
export function printFindings(findings: readonly Finding[]): readonly string[] {
  const lines = findings.flatMap(({ about, state, words, remedy }) => [
    `${MARK[state]} ${about}: ${words}`,
    ...(remedy === '' ? [] : [`         do: ${remedy}`]),
  ]);
  const blocks = findings.filter(({ state }) => state === 'blocks').length;
  const notes = findings.filter(({ state }) => state === 'note').length;
  const end = blocks > 0 ? `${blocks} to be put right before any work` : 'Nothing blocks';
  return [...lines, '', `${end}; ${notes} to know.`];
}

const MARK = { blocks: 'BLOCKS  ', note: 'know    ', good: 'in order' } as const;

const good = (about: string, words: string): Finding => ({ about, state: 'good', words, remedy: '' });
const blocks = (about: string, words: string, remedy: string): Finding => ({
  about,
  state: 'blocks',
  words,
  remedy,
});

async function readRegister(
  folder: string,
): Promise<{ readonly register: Register | null; readonly findings: readonly Finding[] }> {
  if (!fs.existsSync(folder)) {
    const remedy = 'npm start writes an invented demo workshop there; edit its files to make them yours.';
    return {
      register: null,
      findings: [{ about: 'register', state: 'note', words: `none in ${folder}`, remedy }],
    };
  }
  const checked = await openRegister(folder).read();
  if (!checked.ok) {
    const found = checked.faults.map((fault) => {
      const [words = '', ...rest] = printRegisterFault(fault).split('\n');
      return blocks('register', words, rest.join(' ').trim() || fault.remedy);
    });
    return { register: null, findings: found };
  }
  const { register } = checked;
  const { shop, people, bays, cars } = register;
  const counts = `${people.size} people, ${bays.size} bays, ${cars.size} cars`;
  if (!isDemo(register)) return { register, findings: [good('register', `${shop.name}: ${counts}`)] };
  const words = `the invented demo workshop: ${counts}`;
  const remedy = `To make it yours, edit ${folder}/*.json, its name in shop.json first. Never work on a car with these values.`;
  return { register, findings: [{ about: 'register', state: 'note', words, remedy }] };
}

function flowsFinding(flows: FlowSource, faults: readonly string[]): Finding {
  const ready = flows.startable();
  if (ready.length === 0) {
    const words = faults[0] ?? 'there is none';
    return blocks(
      'flows',
      `none can be started: ${words}`,
      'npm run flows lists all faults with line and remedy.',
    );
  }
  if (faults.length === 0) return good('flows', `proved: ${ready.join(', ')}`);
  const words = `proved: ${ready.join(', ')}; others have faults: ${faults[0]}`;
  return { about: 'flows', state: 'note', words, remedy: 'npm run flows lists them.' };
}

/** So much is room for years of journals, and for a week of photos. Common practice, no source. */
const LEAST_FREE = 1e9;
const ALMOST_FULL = 100e6;

function diskFindings(data: string): readonly Finding[] {
  const file = join(data, `.preflight.${process.pid}`);
  const was = fs.existsSync(data);
  try {
    fs.mkdirSync(data, { recursive: true, mode: 0o700 });
    const fd = fs.openSync(file, 'w', 0o600);
    try {
      fs.writeSync(fd, 'one line\n');
      fs.fdatasyncSync(fd);
    } finally {
      fs.closeSync(fd);
      fs.rmSync(file, { force: true });
    }
  } catch (error) {
    const why = error instanceof Error ? error.message : String(error);
    const remedy = 'Name another folder in BAYWARDEN_DATA, or give this user the right to write it.';
    return [blocks('disk', `${data} cannot be written and flushed (${why})`, remedy)];
  }
  const { bavail, bsize } = fs.statfsSync(data);
  if (!was) fs.rmdirSync(data);
  const free = bavail * bsize;
  const words = `${data}: written and flushed, ${(free / 1e9).toFixed(1)} GB free`;
  const remedy =
    'Make room, or name a folder on another disk in BAYWARDEN_DATA. On a full disk nothing but STOP is taken.';
  if (free < ALMOST_FULL) return [blocks('disk', words, remedy)];
  return [free < LEAST_FREE ? { about: 'disk', state: 'note', words, remedy } : good('disk', words)];
}

/** No clock of a workshop shows a day before this program was written. */
const WRITTEN = Date.UTC(2026, 0, 1);
const SLACK_MS = 5 * 60_000;

function clockFinding(data: string, now: number): Finding {
  const remedy = 'Set the clock of this computer, best by the network. Waits, cures and dates rest on it.';
  const shown = `${new Date(now).toISOString().slice(0, 16).replace('T', ' ')} UTC`;
  if (now < WRITTEN) return blocks('clock', `it says ${shown}, which is past`, remedy);
  const path = join(data, 'alive');
  const alive = fs.existsSync(path) ? Number(fs.readFileSync(path, 'utf8')) : 0;
  if (Number.isFinite(alive) && alive > now + SLACK_MS) {
    const last = new Date(alive).toISOString().slice(0, 16).replace('T', ' ');
    return blocks('clock', `it says ${shown}, and this program ran at ${last} UTC: it was set back`, remedy);
  }
  return good('clock', shown);
}

function addressFinding({ host, port }: PreflightParts, register: Register | null): Finding {
  if (isLoopback(host)) return good('address', `${host}:${port}, this computer only`);
  const people = [...(register?.people.keys() ?? [])];
  const without = people.filter((id) => (register?.secrets.get(id)?.pin ?? null) === null);
  if (register !== null && without.length === 0)
    return good('address', `${host}:${port}, and everybody has a PIN`);
  const who = register === null ? 'everybody' : without.join(', ');
  return blocks(
    'address',
    `BAYWARDEN_HOST ${host} can be reached from other computers, and without a PIN: ${who}`,
    `npm run pin -- ${without[0] ?? 'PERSON'}, for each; or take BAYWARDEN_HOST out.`,
  );
}

async function portFinding({ host, port, running }: PreflightParts): Promise<Finding> {
  if (running) return good('port', `${port} is in use by this program`);
  const code = await new Promise<string | null>((resolve) => {
    const server = createServer();
    server.once('error', (error: NodeJS.ErrnoException) => resolve(error.code ?? error.message));
    server.listen(port, host, () => server.close(() => resolve(null)));
  });
  if (code === null) return good('port', `${port} is free`);
  if (code === 'EADDRINUSE') {
    return blocks(
      'port',
      `${port} is taken by another program`,
      'Set BAYWARDEN_PORT to another, or end that program.',
    );
  }
  return blocks(
    'port',
    `${host}:${port} cannot be listened on (${code})`,
    'Set BAYWARDEN_HOST and BAYWARDEN_PORT to what this computer has.',
  );
}
