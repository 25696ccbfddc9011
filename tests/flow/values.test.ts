import { createHash } from 'node:crypto';
import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, test } from 'vitest';
import { CALCULATIONS } from '../../src/flow/calc.js';
import { drawFlow } from '../../src/flow/draw.js';
import { loadFlows } from '../../src/flow/load.js';
import { flowJsonSchema, hazardsJsonSchema } from '../../src/flow/schema.js';
import { placeholdersIn, valuesUsed } from '../../src/flow/values.js';

const FOLDER = join(import.meta.dirname, '..', '..', 'flows');
const files = readdirSync(FOLDER)
  .filter((name) => name.endsWith('.yaml'))
  .map((name) => ({ name, text: readFileSync(join(FOLDER, name), 'utf8') }));
const { flows } = loadFlows(files, (text) => createHash('sha256').update(text).digest('hex'));

describe('the values that a flow reads', () => {
  const fuse = flows.get('disconnect-fuse');

  test.each([
    ['vehicle.pack-voltage', 'voltage', false],
    ['vehicle.max-voltage', 'voltage', false],
    ['vehicle.discharge-wait', 'time', false],
    ['vehicle.cover-torque', 'torque', false],
    ['vehicle.cover-bolts', 'count', false],
    ['vehicle.insulation-minimum', 'resistance', true],
    ['vehicle.loop-place', null, false],
    ['sealant.depth-24h', 'length', false],
    ['shop.dead-limit', 'voltage', false],
  ])('%s is a %s', (key, dimension, optional) => {
    const value = fuse === undefined ? undefined : valuesUsed(fuse).find((one) => one.key === key);
    expect(value).toMatchObject({ key, dimension, optional });
    expect(value?.steps.length).toBeGreaterThan(0);
  });

  test('every calculation that the flows name is known, and every known one is used', () => {
    const used = new Set(
      [...flows.values()].flatMap((flow) => flow.steps.flatMap((step) => step.judge ?? [])),
    );
    const known = Object.keys(CALCULATIONS);
    expect([...used].filter((name) => !known.includes(name))).toEqual([]);
    // The flows that bring the pack out use these; take a name off once its flow is there.
    const waiting = ['lift-balance-pack-out', 'table-carries', 'coolant-balance', 'frost', 'bonding'];
    expect(known.filter((name) => !used.has(name) && !waiting.includes(name))).toEqual([]);
  });
});

describe('a value said in a text', () => {
  test.each([
    ['plug at {vehicle.loop-place}', ['vehicle.loop-place'], []],
    ['{shop.a} and {lift.b}', ['shop.a', 'lift.b'], []],
    ['{loop}', [], ['{loop}']],
    ['{vehicle.}', [], ['{vehicle.}']],
    ['{vehicle.x', [], ['{vehicle.x']],
    ['vehicle.x}', [], ['}']],
  ])('%s', (text, keys, broken) => {
    expect(placeholdersIn(text)).toEqual({ keys, broken });
  });
});

describe('for the author', () => {
  test('the map of a flow shows every step, gates in brackets, and fits a page', () => {
    for (const flow of flows.values()) {
      const map = drawFlow(flow);
      for (const step of flow.steps) expect(map).toContain(`${step.id}  ${step.kind}`);
      const top = map.slice(0, map.indexOf(`${flow.steps[0]?.id}  `)).split('\n');
      for (const line of top.filter((one) => one.startsWith('  '))) expect(line.length).toBeLessThan(105);
      if (flow.steps.some((step) => step.kind === 'gate')) expect(map).toMatch(/\[[A-Z-]+\]/);
    }
  });

  test('editors get a schema that knows the kinds of step', () => {
    const text = JSON.stringify(flowJsonSchema());
    for (const key of ['gate', 'tighten', 'dead-test', 'rest-on', 'use']) expect(text).toContain(`"${key}"`);
    expect(JSON.stringify(hazardsJsonSchema())).toContain('"demands"');
  });
});
