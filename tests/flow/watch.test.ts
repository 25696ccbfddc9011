import { createHash } from 'node:crypto';
import { readdirSync, readFileSync } from 'node:fs';
import { describe, expect, test } from 'vitest';
import { drawFlow } from '../../src/flow/draw.js';
import { type FlowText, loadFlows } from '../../src/flow/load.js';
import { prove } from '../../src/flow/prove.js';
import { flowJsonSchema } from '../../src/flow/schema.js';
import { valuesUsed } from '../../src/flow/values.js';

const textsOf = (folder: string): FlowText[] => {
  const url = new URL(folder, import.meta.url);
  return readdirSync(url)
    .filter((name) => name.endsWith('.yaml'))
    .map((name) => ({ name, text: readFileSync(new URL(name, url), 'utf8') }));
};
const texts = [...textsOf('../../flows/'), ...textsOf('../property/trials/')];
const hash = (text: string) => createHash('sha256').update(text).digest('hex');

function trial(change: (text: string) => string = (text) => text) {
  const { flows, faults } = loadFlows(
    texts.map((file) => (file.name === 'trial-spill.yaml' ? { ...file, text: change(file.text) } : file)),
    hash,
  );
  const flow = flows.get('trial-spill');
  if (flow === undefined) throw new Error(faults.map((fault) => fault.problem).join('\n'));
  const parkLeaves = [...flows.values()].find((one) => one.park)?.leaves ?? [];
  return { flow, proof: prove(flow, parkLeaves) };
}

describe('a flow that watches', () => {
  test('is proved over every path like one that measures', () => {
    const { proof } = trial();
    expect(proof.breaks).toEqual([]);
    const measured = trial((text) =>
      text
        .replaceAll(/watch:/g, 'measure:')
        .replaceAll(/reading: (\{.*\})/g, 'readings: [$1]')
        .replaceAll(/ {4}until: .*\n/g, ''),
    );
    expect(proof.states).toBe(measured.proof.states);
    expect(proof.longest).toBe(measured.proof.longest);
  });

  test('breaks where a later watch ends what the end still needs', () => {
    const { proof } = trial((text) =>
      text.replace('    until: vacuum-holds', '    until: vacuum-holds\n    ends: [tray-still]'),
    );
    expect(proof.breaks.map((one) => one.property)).toContain('straight run');
  });

  test('names the values it is judged by, and those it can do without', () => {
    const used = new Map(valuesUsed(trial().flow).map(({ key, optional }) => [key, optional]));
    expect(used.get('shop.vacuum-rise')).toBe(false);
    expect(used.get('vehicle.vacuum-rise')).toBe(true);
    expect(used.get('shop.stillness-limit')).toBe(true);
    expect(used.get('shop.level-change')).toBe(true);
  });

  test('is drawn with what it watches and until when', () => {
    const drawn = drawFlow(trial().flow);
    expect(drawn).toContain('part -> spill~ -> vacuum~ -> level~ -> shut');
    expect(drawn).toContain('trial-spill until spill-still');
  });

  test('is known to editors', () => {
    const schema = JSON.stringify(flowJsonSchema());
    expect(schema).toContain('"watch"');
    expect(schema).toContain('"until"');
  });
});
