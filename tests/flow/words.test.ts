import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, test } from 'vitest';
import { closest } from '../../src/flow/closest.js';
import { readShelf } from '../../src/flow/text.js';
import { soundOf } from '../../src/flow/words.js';
import { ENGLISH } from '../../src/talk/lexicon.js';

describe('a gate word as it sounds', () => {
  test.each([
    ['PHEASANT', 'FEASANT'],
    ['KNIGHT', 'NIGHTT'],
    ['LANTERN', 'LANDERN'],
    ['CIRCUS', 'SIRKUS'],
    ['BASKET', 'PASKET'],
  ])('%s is taken for %s', (one, other) => {
    expect(soundOf(one)).toBe(soundOf(other));
  });

  test.each([
    ['LANTERN', 'DOLPHIN'],
    ['VOLCANO', 'PENGUIN'],
    ['CHIMNEY', 'GONDOLA'],
  ])('%s is not taken for %s', (one, other) => {
    expect(soundOf(one)).not.toBe(soundOf(other));
  });
});

describe('what was meant', () => {
  test.each([
    ['hazzard', 'hazard'],
    ['torqeu', 'torque'],
    ['tihgten', 'tighten'],
  ])('%s is %s', (written, wanted) => {
    expect(closest(written, ['hazard', 'torque', 'tighten'])).toBe(wanted);
  });

  test.each(['hold', 'xx', '4S'])('nothing is near %s', (written) => {
    expect(closest(written, ['hazard', 'torque', '1S', 'yy'])).toBeNull();
  });
});

describe('the gate words of the workshop', () => {
  const folder = join(import.meta.dirname, '..', '..', 'flows');
  const names = readdirSync(folder).filter((name) => name.endsWith('.yaml'));
  const shelf = readShelf(names.map((name) => ({ name, text: readFileSync(join(folder, name), 'utf8') })));
  const words = [...shelf.flows.values()].flatMap((file) =>
    file.lines.flatMap((line) => (line.is === 'step' ? (line.step.words ?? []) : [])),
  );

  test('mean nothing that hearing listens for', () => {
    const heard = new Set(
      JSON.stringify(ENGLISH)
        .toLowerCase()
        .match(/[a-z]+/g),
    );
    expect(words.length).toBeGreaterThan(10);
    expect(words.filter((word) => heard.has(word.toLowerCase()))).toEqual([]);
  });
});
