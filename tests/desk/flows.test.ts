import { readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, test } from 'vitest';
import { writePractice } from '../../src/channel/script/workshop.js';
import { openFlows } from '../../src/desk/flows.js';
import { openFolderShop } from '../../src/desk/shops.js';
import { printFault } from '../../src/flow/fault.js';
import type { FlowText } from '../../src/flow/load.js';
import { printRegisterFault } from '../../src/shop/fault.js';
import { openRegister } from '../../src/shop/folder.js';
import { emptyFolder } from '../shop/folders.js';
import { Floor, flowTexts, MORNING, provedFlows } from './floor.js';

const files = flowTexts(new URL('../..', import.meta.url).pathname);
const flows = await provedFlows(files);
const FLOW = 'make-safe';

const change = (name: string, text: (text: string) => string): FlowText[] =>
  files.map((file) => (file.name === name ? { name, text: text(file.text) } : file));

async function underWay(): Promise<Floor> {
  const floor = await Floor.open({ flows });
  await floor.say('mara', `start ${FLOW} DEMO-1`);
  await floor.say('mara', 'sound');
  expect(floor.lastPost()).toContain('Fault codes');
  return floor;
}

/** The job goes on as if nothing had been done to the files. */
async function goesOn(floor: Floor): Promise<void> {
  const before = floor.desk.flowOf('1')?.bundle;
  await floor.say('mara', 'none');
  expect(floor.lastPost()).toContain('Odometer');
  expect(floor.desk.flowOf('1')?.bundle).toBe(before);
}

describe('a job under way goes on by the text it was started with', () => {
  test('when the flow was edited', async () => {
    const floor = await underWay();
    floor.flows = await provedFlows(
      change('make-safe.yaml', (text) => text.replace('ask: Odometer', 'ask: Kilometres')),
    );
    await floor.crash();
    await goesOn(floor);
    await floor.say('jory', `start ${FLOW} DEMO-2`, { bay: '2' });
    await floor.say('jory', 'sound', { bay: '2' });
    await floor.say('jory', 'none', { bay: '2' });
    expect(floor.lastPost('2')).toContain('Kilometres');
  });

  test('when the flow was deleted', async () => {
    const floor = await underWay();
    floor.flows = await provedFlows(files.filter(({ name }) => name === 'hazards.yaml'));
    await floor.crash();
    await goesOn(floor);
    await floor.say('jory', `start ${FLOW} DEMO-2`, { bay: '2' });
    expect(floor.lastPost('2')).toContain(`No flow "${FLOW}"`);
  });

  test('when the flow was broken: it cannot be started, and its author is told where, what and how to mend it', async () => {
    const floor = await underWay();
    const broken = change('make-safe.yaml', (text) =>
      text.replace('needs: [pack-sound]', 'needs: [pack-sond]'),
    );
    const opened = await openFlows(broken, { has: async () => true, keep: async () => undefined });
    const words = opened.faults.map(printFault);
    expect(words.join('\n')).toMatch(/make-safe\.yaml:\d+:\d+.*pack-sond/s);
    expect(words.join('\n')).toContain('pack-sound');
    floor.flows = opened.source;
    await floor.crash();
    await goesOn(floor);
    await floor.say('jory', `start ${FLOW} DEMO-2`, { bay: '2' });
    expect(floor.lastPost('2')).toContain(`No flow "${FLOW}"`);
  });

  test('when its kept text was changed on the disk: that bay stops and says so, the shop opens', async () => {
    const floor = await underWay();
    await floor.say('jory', `start ${FLOW} DEMO-2`, { bay: '2' });
    const path = [...floor.disk.files.keys()].find((one) => one.endsWith('make-safe.yaml')) ?? '';
    const text = floor.disk.files.get(path)?.bytes.toString() ?? '';
    await floor.disk.write(path, Buffer.from(text.replace('Odometer', 'Clock')));
    floor.flows = await provedFlows(files.filter(({ name }) => name === 'hazards.yaml'));
    await floor.start();
    expect(floor.desk.reports.join('\n')).toContain('cannot be read');
    await floor.say('mara', 'none');
    expect(floor.lastPost()).toContain('NOT TAKEN');
  });
});

test('a bad hand edit of the register is refused with file, line and remedy; jobs go on with the last good one', async () => {
  const folder = emptyFolder();
  await writePractice(folder, MORNING);
  const opened = await openFolderShop(openRegister(folder));
  if (!opened.ok) throw new Error(opened.faults.map(printRegisterFault).join('\n'));
  const floor = await Floor.open({ flows, shop: opened.shop });
  await floor.say('mara', `start ${FLOW} DEMO-1`);
  const path = join(folder, 'people.json');
  writeFileSync(path, readFileSync(path, 'utf8').replace('"technician"', '"technican"'));
  const faults = (await opened.shop.refresh()).map(printRegisterFault);
  expect(faults.join('\n')).toMatch(/people\.json:\d+:\d+: .*technican/s);
  expect(faults.join('\n')).toContain('technician');
  await floor.say('mara', 'sound');
  expect(floor.lastPost()).toContain('Fault codes');
});
