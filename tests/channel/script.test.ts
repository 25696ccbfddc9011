import { describe, expect, test } from 'vitest';
import { printScriptFault } from '../../src/channel/script/grammar.js';
import { readScript, strangers } from '../../src/channel/script/script.js';
import { readWorkshop } from '../../src/channel/script/workshop.js';

const readFrom = (files: Readonly<Record<string, string>>) => async (path: string) => files[path] ?? null;

async function demoRegister() {
  const checked = await readWorkshop('demo');
  if (!checked.ok) throw new Error('the demo workshop has faults');
  return checked.register;
}

describe('a script that is like others', () => {
  test('runs their lines first, by paths from where each of them lies', async () => {
    const script = await readScript(
      'threads/b.thread',
      readFrom({
        'threads/b.thread': '# B\nlike parts/a.thread\nmara: two',
        'threads/parts/a.thread': 'like ../root.thread\nmara: one',
        'threads/root.thread': 'at 2026-03-03 07:00\nmara: zero',
      }),
    );
    expect(script.faults).toEqual([]);
    expect(script.title).toBe('B');
    expect(script.lines.map(({ file, line, written }) => `${file}:${line} ${written}`)).toEqual([
      'threads/root.thread:1 at 2026-03-03 07:00',
      'threads/root.thread:2 mara: zero',
      'threads/parts/a.thread:2 mara: one',
      'threads/b.thread:3 mara: two',
    ]);
  });

  test('tells the faults of all of them at once, each with its own file', async () => {
    const { faults } = await readScript(
      'b.thread',
      readFrom({
        'b.thread': 'like a.thread\nlike none.thread\nat 2026-03-03 07:00\nmara',
        'a.thread': 'mara: ok\nmaybe\nlike b.thread',
      }),
    );
    const said = faults.map(printScriptFault);
    expect(said).toHaveLength(6);
    expect(said).toEqual(
      expect.arrayContaining([
        expect.stringContaining('b.thread:4: "mara" is not understood'),
        expect.stringContaining('a.thread:2: "maybe" is not understood'),
        expect.stringContaining('a.thread:3: "like" comes after the first act'),
        expect.stringContaining('a.thread:3: b.thread is like this script itself'),
        expect.stringContaining('b.thread:2: there is no none.thread'),
        expect.stringContaining('b.thread:3: "at" comes after acts of a script that this one is like'),
      ]),
    );
  });

  test('a script that is not there is a fault, not an empty script', async () => {
    const { faults } = await readScript('none.thread', readFrom({}));
    expect(faults).toMatchObject([{ file: 'none.thread', problem: 'there is no such file' }]);
  });
});

describe('who may appear', () => {
  const rows: readonly (readonly [string, string | null])[] = [
    ['mara: ok', null],
    ['Mara Tillet: ok', null],
    ['MARA: ok', null],
    ['visitor: ok', null],
    ['bot: ok', null],
    ['visitor taps OK', null],
    ['bay 2', null],
    ['bay foreman', null],
    ['maraa: ok', 'Write "mara"'],
    ['amra taps OK', 'Write "mara"'],
    ['Mara Tilet: ok', 'Write a register id or name'],
    ['bay 9', 'Write one of: 1, 2, 3, foreman, shop.'],
  ];
  test.each(rows)('%s', async (line, remedy) => {
    const script = await readScript('a.thread', readFrom({ 'a.thread': line }));
    expect(script.faults).toEqual([]);
    const faults = strangers(script, await demoRegister());
    if (remedy === null) expect(faults).toEqual([]);
    else
      expect(faults).toMatchObject([{ file: 'a.thread', line: 1, remedy: expect.stringContaining(remedy) }]);
  });
});
