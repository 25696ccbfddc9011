import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { createServer } from 'node:net';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeAll, beforeEach, describe, expect, test } from 'vitest';
import { givePin } from '../../../src/channel/floor/grant.js';
import { preflight, printFindings } from '../../../src/channel/floor/preflight.js';
import { writePractice } from '../../../src/channel/script/workshop.js';
import type { FlowSource } from '../../../src/desk/flow-source.js';
import { flowTexts, MORNING, provedFlows } from '../../desk/floor.js';

let flows: FlowSource;
beforeAll(async () => {
  flows = await provedFlows(flowTexts());
});

let data: string;
beforeEach(async () => {
  data = mkdtempSync(join(tmpdir(), 'baywarden-preflight-'));
  await writePractice(join(data, 'register'), MORNING);
});
afterEach(() => rmSync(data, { recursive: true, force: true }));

const FREE = 0;
const look = (more: Partial<Parameters<typeof preflight>[0]> = {}) =>
  preflight({
    ...{ data, host: '127.0.0.1', port: FREE, now: MORNING, flows, flowFaults: [], running: false },
    ...more,
  });
const about = async (what: string, more: Partial<Parameters<typeof preflight>[0]> = {}) =>
  (await look(more)).filter((finding) => finding.about.startsWith(what));
const edit = (file: string, from: string | RegExp, to: string) => {
  const path = join(data, 'register', file);
  const text = readFileSync(path, 'utf8');
  if (text.replace(from, to) === text) throw new Error(`${file} has no ${from}`);
  writeFileSync(path, text.replace(from, to));
};

describe('before the first day', () => {
  test('the demo workshop is ready for practice, and what is old or invented in it is told', async () => {
    const findings = await look();
    expect(findings.filter(({ state }) => state === 'blocks')).toEqual([]);
    expect((await about('register'))[0]?.words).toContain('invented');
    expect((await about('gear'))[0]?.words).toContain('G5 is out of use');
    expect((await about('levels'))[0]?.words).toContain('pip');
    // The demo's hatch car has no coolant values: the foreman is asked for them when a job needs one.
    const [values] = await about('values');
    expect(values).toMatchObject({ state: 'note' });
    expect(values?.words).toContain('vehicle.coolant-type');
  });

  test('everything that is not in order says what to do', async () => {
    for (const { state, remedy } of await look({ host: '0.0.0.0', now: 0 }))
      expect(remedy.length > 10).toBe(state !== 'good');
  });

  test('what blocks is printed first, and counted at the end', async () => {
    const lines = printFindings(await look({ now: 0 }));
    expect(lines[0]).toMatch(/^BLOCKS +clock/);
    expect(lines.at(-1)).toMatch(/^1 to be put right before any work; \d to know\.$/);
  });

  test('a register with faults blocks, with file, line and remedy of each', async () => {
    edit('people.json', '"foreman"', '"forman"');
    expect((await about('register'))[0]).toMatchObject({ state: 'blocks' });
    expect((await about('register'))[0]?.words).toMatch(/people\.json:\d+:\d+/);
  });

  test('without a register nothing blocks: the first start writes one', async () => {
    rmSync(join(data, 'register'), { recursive: true });
    expect((await about('register'))[0]).toMatchObject({
      state: 'note',
      remedy: expect.stringContaining('npm start'),
    });
  });

  test('flows none of which can be started block', async () => {
    const none = { ...flows, startable: () => [] };
    expect((await about('flows', { flows: none, flowFaults: ['a.yaml:3: odd'] }))[0]).toMatchObject({
      state: 'blocks',
      words: expect.stringContaining('a.yaml:3: odd'),
    });
  });

  test.each([
    ['before this program was written', 0],
    ['set back since it ran last', MORNING - 86_400_000],
  ])('a clock %s blocks', async (_, now) => {
    writeFileSync(join(data, 'alive'), String(MORNING));
    expect((await about('clock', { now }))[0]).toMatchObject({ state: 'blocks' });
    expect((await about('clock', { now: MORNING + 60_000 }))[0]).toMatchObject({ state: 'good' });
  });

  test('a folder that cannot be written blocks', async () => {
    writeFileSync(join(data, 'file'), '');
    expect((await about('disk', { data: join(data, 'file') }))[0]).toMatchObject({
      state: 'blocks',
      remedy: expect.stringContaining('BAYWARDEN_DATA'),
    });
  });

  test('a port that is taken blocks and names its setting, unless this program has it', async () => {
    const server = createServer();
    await new Promise<void>((resolve) => server.listen(0, '127.0.0.1', () => resolve()));
    const address = server.address();
    const port = typeof address === 'object' && address !== null ? address.port : 0;
    expect((await about('port', { port }))[0]).toMatchObject({
      state: 'blocks',
      remedy: expect.stringContaining('BAYWARDEN_PORT'),
    });
    expect((await about('port', { port, running: true }))[0]).toMatchObject({ state: 'good' });
    server.close();
  });

  test('an address that others reach blocks until everybody has a PIN', async () => {
    expect((await about('address', { host: '0.0.0.0' }))[0]).toMatchObject({ state: 'blocks' });
    for (const person of ['orla', 'mara', 'jory', 'tamsin', 'wilf', 'pip', 'desk'])
      expect((await givePin(join(data, 'register'), person, '4711')).ok).toBe(true);
    expect((await about('address', { host: '0.0.0.0' }))[0]).toMatchObject({ state: 'good' });
    expect((await about('PINs'))[0]).toMatchObject({ state: 'good' });
  });

  test('a value that a flow reads and no car of the model has is named', async () => {
    edit('vehicles.json', '"discharge-wait"', '"discharge-weight"');
    const [finding] = await about('values of');
    expect(finding).toMatchObject({
      state: 'note',
      words: expect.stringContaining('vehicle.discharge-wait'),
    });
  });

  test('gear all of whose kind is past its day is told apart', async () => {
    const later = MORNING + 3 * 365 * 86_400_000;
    const words = (await about('gear', { now: later })).map((finding) => finding.words).join(' | ');
    expect(words).toContain('nothing fit for use');
    expect(words).toContain('tester');
  });
});
