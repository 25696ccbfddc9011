import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { DOCUMENT_NAMES, type DocumentName } from '../../src/shop/documents.js';
import { parseJson, printJson } from '../../src/shop/json.js';
import { demoTexts, faultsOf, slipped } from './folders.js';

test('the demo workshop has no fault', () => {
  expect(faultsOf(demoTexts())).toEqual([]);
});

describe('a slip of the hand says file, line, problem and remedy', () => {
  test.each<[string, DocumentName, string, string, RegExp]>([
    [
      'a comma lost',
      'people.json',
      '"id": "mara",',
      '"id": "mara"',
      /^people\.json:\d+:\d+: a comma is missing here\. Put a comma/,
    ],
    [
      'a comma too many',
      'bays.json',
      '"lift": null }',
      '"lift": null, }',
      /^bays\.json:5:\d+: a comma too many before }\. Take it away/,
    ],
    [
      'curly quotes',
      'bays.json',
      '"Bay 2"',
      '“Bay 2”',
      /^bays\.json:4:\d+: “ is no quote here\. Use the straight/,
    ],
    ['a quote not closed', 'bays.json', '"Bay 2"', '"Bay 2', /^bays\.json:4:\d+: /],
    [
      'a remark',
      'bays.json',
      '{ "id": "2"',
      '// second\n{ "id": "2"',
      /^bays\.json:4:\d+: a remark cannot stand here\. Use "note"/,
    ],
    [
      'a name written twice',
      'bays.json',
      '"id": "1",',
      '"id": "1", "id": "9",',
      /^bays\.json:3:\d+: "id" is written twice\. Take one/,
    ],
    ['a leading zero', 'gear.json', '"months": 6', '"months": 06', /^gear\.json:\d+:\d+: 06 is not a number/],
    [
      'a name misspelt',
      'gear.json',
      '"serial": "QG-0101"',
      '"seriel": "QG-0101"',
      /^gear\.json:\d+:\d+: "serial" is missing\. Add "serial"/,
    ],
    [
      'a day that is none',
      'gear.json',
      '"2025-12-08"',
      '"2025-02-29"',
      /^gear\.json:\d+:\d+: it is no day\. Write a day that exists/,
    ],
    [
      'a number in quotes',
      'gear.json',
      '"done": 1180',
      '"done": "1180"',
      /^gear\.json:\d+:\d+: "done" is "1180"\. Write a .*number without quotes/,
    ],
    [
      'a decimal comma',
      'vehicles.json',
      '"386 V"',
      '"386,5 V"',
      /^vehicles\.json:\d+:\d+: "386,5 V" is no quantity\. Write a number with a point/,
    ],
    [
      'a unit that is none',
      'vehicles.json',
      '"9 N·m"',
      '"9 newt"',
      /^vehicles\.json:\d+:\d+: "9 newt" is no quantity/,
    ],
    ['gloves without class', 'gear.json', ', "class": "0"', '', /gloves G1 lacks "class"\. Add "class": "0"/],
    [
      'a source in newton metres',
      'gear.json',
      '"nominal": "400 V"',
      '"nominal": "400 N·m"',
      /"400 N·m" is no voltage/,
    ],
    [
      'a range upside down',
      'gear.json',
      '"from": "4 N·m"',
      '"from": "40 N·m"',
      /the range does not run upwards in one unit/,
    ],
    [
      'a range in two units',
      'gear.json',
      '"from": "4 N·m"',
      '"from": "4 lbf·ft"',
      /the range does not run upwards in one unit/,
    ],
    [
      'a kind that is none',
      'gear.json',
      '"kind": "gauge"',
      '"kind": "gage"',
      /"kind" is "gage"\. Write one of: gloves, tester/,
    ],
    [
      'a value without its manual',
      'vehicles.json',
      ', "reference": "Teasel demo manual 4.2"',
      '',
      /"reference" is missing/,
    ],
    [
      'a value both number and word',
      'vehicles.json',
      '{ "value": "386 V"',
      '{ "value": "386 V", "text": "x"',
      /either "value" or "text"/,
    ],
    [
      'a car of no model',
      'vehicles.json',
      '"DEMO-1", "model": "teasel"',
      '"DEMO-1", "model": "teazel"',
      /there is no model teazel\. Write one of: teasel, moorhen/,
    ],
    [
      'a bay with a lift that is a wrench',
      'bays.json',
      '"lift": "L2"',
      '"lift": "W2"',
      /^bays\.json:4:\d+: there is no lift W2\. Write one of: L1, L2/,
    ],
    [
      'two pieces of one id',
      'gear.json',
      '"id": "G2"',
      '"id": "g-1"',
      /gear have two called g-1\. Rename one/,
    ],
    ['no foreman', 'people.json', '["foreman", "technician"]', '["technician"]', /nobody is foreman/],
    ['a zone that is none', 'shop.json', 'Europe/Dublin', 'Europe/Quillmoor', /it is no time zone/],
    [
      'shifts that overlap',
      'shop.json',
      '"from": "15:30"',
      '"from": "15:00"',
      /two shifts overlap on monday/,
    ],
    ['a deputy for no time', 'shop.json', '"2026-03-20 15:30"', '"2026-03-18 15:30"', /is no span of time/],
    [
      'a deputy nobody knows',
      'shop.json',
      '"person": "tamsin"',
      '"person": "tamsyn"',
      /there is no person tamsyn/,
    ],
  ])('%s', (_, name, find, put, expected) => {
    const faults = faultsOf(slipped(name, find, put));
    expect(faults.join('\n')).toMatch(new RegExp(expected.source, 'm'));
    expect(faults.every((fault) => fault.startsWith(name))).toBe(true);
  });
});

test('the place is where the slip is', () => {
  const text =
    '{\n  "bays": [\n    { "id": "1", "label": "Bay 1", "lift": "L1" },\n    { "id": "2",\n      "label": 7, "lift": null }\n  ]\n}\n';
  expect(faultsOf(demoTexts({ 'bays.json': text }))).toEqual([
    'bays.json:5:7: "label" is 7. Write text in double quotes.',
  ]);
});

test('all faults of all documents come at once', () => {
  const faults = faultsOf({
    ...demoTexts(),
    'bays.json': '{ "bays": [ { "id": "1" "label": "x" } ] }',
    'people.json':
      '{ "people": [ { "id": "a b", "name": "", "roles": [] }, { "id": "x", "roles": ["boss"] } ] }',
    'sealants.json': null,
  });
  const about = (what: RegExp) => faults.filter((fault) => what.test(fault)).length;
  expect(about(/^bays\.json.*comma is missing/)).toBe(1);
  expect(about(/^sealants\.json.*there is no such file/)).toBe(1);
  expect(about(/^people\.json/)).toBe(5);
});

test('a file cut off anywhere is a fault with its place, and never read as something else', () => {
  const whole = demoTexts()['bays.json'] ?? '';
  for (let length = 0; length < whole.trimEnd().length; length++) {
    const faults = faultsOf(demoTexts({ 'bays.json': whole.slice(0, length) }));
    expect(faults, `cut at ${length}`).toHaveLength(1);
    expect(faults[0]).toMatch(/^bays\.json:\d+:\d+: .+\. .+/);
  }
});

test('what is read is what JSON means by it', () => {
  fc.assert(
    fc.property(fc.jsonValue({ noUnicodeString: false }), fc.nat(3), (value, indent) => {
      const text = JSON.stringify(value, null, indent);
      const json = parseJson(text);
      expect(json.ok && json.value).toEqual(JSON.parse(text));
      const printed = parseJson(printJson(value));
      expect(printed.ok && printed.value).toEqual(JSON.parse(text));
    }),
  );
});

test('what JSON refuses is refused here', () => {
  fc.assert(
    fc.property(
      fc.jsonValue(),
      fc.nat(),
      fc.constantFrom('"', ',', '}', ']', ':', '0', '\\', '\t', "'", 'x', ''),
      (value, at, put) => {
        const text = JSON.stringify(value);
        const from = at % (text.length + 1);
        const changed = text.slice(0, from) + put + text.slice(from + 1);
        const allowed = (() => {
          try {
            JSON.parse(changed);
            return true;
          } catch {
            return false;
          }
        })();
        // A name written twice is refused here though JSON lets it pass.
        if (!allowed) expect(parseJson(changed).ok).toBe(false);
      },
    ),
    { numRuns: 2000 },
  );
});

test.each(DOCUMENT_NAMES)('%s is printed in lines that a person can edit', (name) => {
  const lines = (demoTexts()[name] ?? '').split('\n');
  expect(lines.length).toBeGreaterThan(4);
  expect(Math.max(...lines.map((line) => line.length))).toBeLessThanOrEqual(140);
});
