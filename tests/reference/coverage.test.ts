import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, test } from 'vitest';
import { z } from 'zod';

/*
 * Which row of the reference is checked by which test file. A row counts as checked by a file that reads its topic and names
 * its id or its quantity. A row that none checks has to stand in left-out.json with the reason, and so has every row of the
 * pack that was not carried here. To add rows: carry them to TOPIC.json, name them in a test, correct the count of the pack.
 */
const HERE = import.meta.dirname;
const TESTS = join(HERE, '..');

const LEFT = z.record(
  z.string(),
  z.strictObject({
    /** How many rows the topic has in the reference pack. */
    rows: z.int(),
    left: z.array(z.strictObject({ because: z.string().min(10), ids: z.array(z.string()).min(1) })),
  }),
);
const left = LEFT.parse(JSON.parse(readFileSync(join(HERE, 'left-out.json'), 'utf8')));

const ROWS = z.array(
  z.looseObject({ id: z.string(), quantity: z.string(), source: z.string(), basis: z.string() }),
);
const carried = new Map(
  readdirSync(HERE)
    .filter((name) => name.endsWith('.json') && name !== 'left-out.json')
    .map(
      (name) => [name.slice(0, -5), ROWS.parse(JSON.parse(readFileSync(join(HERE, name), 'utf8')))] as const,
    ),
);

/** Files that fail by themselves when a row of their topic is not computed. */
const WHOLE: Readonly<Record<string, string>> = { units: 'units/quantity.test.ts' };

const files = ['trade', 'units'].flatMap((folder) =>
  readdirSync(join(TESTS, folder))
    .filter((name) => name.endsWith('.test.ts'))
    .map((name) => ({
      name: `${folder}/${name}`,
      // Comments name rows that are NOT checked.
      text: readFileSync(join(TESTS, folder, name), 'utf8').replace(/\/\*[\s\S]*?\*\/|^\s*\/\/.*$/gm, ''),
    })),
);

const reads = (text: string, topic: string) =>
  text.includes(`rowsOf('${topic}'`) || text.includes(`reference/${topic}.json`);

function checkedBy(
  topic: string,
  row: { readonly id: string; readonly quantity: string },
): readonly string[] {
  const named = new RegExp(`'${row.quantity}'|^\\s*${row.quantity}:|\\b${row.id}\\b`, 'm');
  return files
    .filter(({ name, text }) => reads(text, topic) && (WHOLE[topic] === name || named.test(text)))
    .map(({ name }) => name);
}

test('there are tests, rows and reasons to look at', () => {
  expect(files.length).toBeGreaterThan(20);
  expect([...carried.values()].flat().length).toBeGreaterThan(400);
  expect(Object.keys(left).length).toBe(13);
});

describe.each(Object.entries(left))('%s', (topic, { rows, left: reasons }) => {
  const own = carried.get(topic) ?? [];
  const gone = reasons.flatMap((reason) => reason.ids);

  test('every row of the pack is carried or left out, and none is listed twice', () => {
    const known = new Set([...own.map((row) => row.id), ...gone]);
    expect(known.size).toBe(rows);
    expect(new Set(gone).size).toBe(gone.length);
    expect(new Set(own.map((row) => row.id)).size).toBe(own.length);
  });

  test('a row that is carried is checked by a test or left out with a reason', () => {
    const loose = own.filter((row) => checkedBy(topic, row).length === 0 && !gone.includes(row.id));
    expect(loose.map((row) => `${row.id} ${row.quantity}`)).toEqual([]);
  });

  test('no reason outlives a row that is checked', () => {
    const stale = own.filter(
      (row) => gone.includes(row.id) && WHOLE[topic] === undefined && checkedBy(topic, row).length > 0,
    );
    expect(stale.map((row) => row.id)).toEqual([]);
  });
});

test('which file checks which topic', () => {
  const table = [...carried].map(([topic, own]) => [
    topic,
    [...new Set(own.flatMap((row) => checkedBy(topic, row)))].sort(),
  ]);
  expect(Object.fromEntries(table)).toEqual({
    coolant: ['trade/glycol.test.ts', 'trade/top-up.test.ts'],
    dates: ['trade/dates.test.ts', 'trade/in-date.test.ts'],
    gloves: ['trade/gloves.test.ts'],
    hazard_limits: [
      'trade/bonding.test.ts',
      'trade/dead-test.test.ts',
      'trade/discharge.test.ts',
      'trade/insulation.test.ts',
    ],
    leak_test: ['trade/leak.test.ts'],
    lift_stability: ['trade/lift.test.ts'],
    moist_air: ['trade/moist-air.test.ts'],
    rc_discharge: ['trade/discharge.test.ts'],
    sealant_cure: ['trade/cure.test.ts', 'trade/test-bead.test.ts'],
    torque: ['trade/pattern.test.ts', 'trade/torque.test.ts'],
    units: ['units/quantity.test.ts'],
  });
});
