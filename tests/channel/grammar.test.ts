import { describe, expect, test } from 'vitest';
import { parseScript, printScriptFault } from '../../src/channel/script/grammar.js';
import { type Doing, isAct } from '../../src/channel/script/line.js';
import { KEYWORDS } from '../../src/channel/script/words.js';

const parse = (...lines: readonly string[]) => parseScript(lines.join('\n'), 'a.thread');
const only = (line: string) => {
  const { lines, faults } = parse(line);
  expect(faults.map(printScriptFault)).toEqual([]);
  return lines[0]?.does ?? null;
};

describe('each way of writing a line', () => {
  const rows: readonly (readonly [string, Doing])[] = [
    ['shop demo', { do: 'shop', name: 'demo' }],
    ['shop ../our workshop', { do: 'shop', name: '../our workshop' }],
    ['at 2026-03-02 07:30', { do: 'at', local: '2026-03-02 07:30' }],
    ['at 2026-03-02T07:30', { do: 'at', local: '2026-03-02 07:30' }],
    ['like to-the-dead-test.thread', { do: 'like', file: 'to-the-dead-test.thread' }],
    ['bay 2', { do: 'bay', thread: '2' }],
    ['bay foreman', { do: 'bay', thread: 'foreman' }],
    ['+90s', { do: 'pass', ms: 90_000 }],
    ['+12m', { do: 'pass', ms: 720_000 }],
    ['+2h', { do: 'pass', ms: 7_200_000 }],
    ['+1d', { do: 'pass', ms: 86_400_000 }],
    ['mara: 0 0 0', { do: 'say', who: 'mara', text: '0 0 0', mark: null }],
    ['Mara Tillet: ok', { do: 'say', who: 'Mara Tillet', text: 'ok', mark: null }],
    ['mara: note: bolt 3', { do: 'say', who: 'mara', text: 'note: bolt 3', mark: null }],
    ['mara early: ok', { do: 'say', who: 'mara', text: 'ok', mark: 'early' }],
    ['mara edits: 0.4', { do: 'say', who: 'mara', text: '0.4', mark: 'edits' }],
    ['mara forwards: LANTERN', { do: 'say', who: 'mara', text: 'LANTERN', mark: 'forwards' }],
    ['Mara Tillet quotes: LANTERN', { do: 'say', who: 'Mara Tillet', text: 'LANTERN', mark: 'quotes' }],
    ['bot: LANTERN', { do: 'say', who: 'bot', text: 'LANTERN', mark: 'bot' }],
    ['mara taps OK', { do: 'tap', who: 'mara', label: 'OK', on: null }],
    ['mara taps Go on', { do: 'tap', who: 'mara', label: 'Go on', on: null }],
    ['mara taps OK on until 10:40', { do: 'tap', who: 'mara', label: 'OK', on: 'until 10:40' }],
    ['mara reacts +1', { do: 'react', who: 'mara', name: '+1', on: null }],
    ['mara reacts thumbsup on Cover off', { do: 'react', who: 'mara', name: 'thumbsup', on: 'Cover off' }],
    ['mara photo lock in place.jpg', { do: 'photo', who: 'mara', name: 'lock in place.jpg' }],
    ['again', { do: 'again', back: 1 }],
    ['again 3', { do: 'again', back: 3 }],
    ['channel lost', { do: 'channel', to: 'lost' }],
    ['disk full', { do: 'disk', to: 'full' }],
    ['restart', { do: 'restart' }],
    ['> Dead on the car side', { do: 'has', text: 'Dead on the car side' }],
    ['< SAFE', { do: 'lacks', text: 'SAFE' }],
    ['>> still live', { do: 'newest', text: 'still live' }],
    ['step dead', { do: 'step', step: 'dead' }],
    ['step -', { do: 'step', step: null }],
    ['fact lock-on doubt', { do: 'fact', fact: 'lock-on', value: 'doubt' }],
    ['stay', { do: 'stay' }],
    ['called-off', { do: 'mode', mode: 'called-off' }],
  ];
  test.each(rows)('%s', (line, does) => {
    expect(only(line)).toEqual(does);
  });
});

test('a time in front moves the clock on before the line is done, or alone', () => {
  const { lines, faults } = parse('09:14 mara: ok', '10:00', '11:30 > Still there?');
  expect(faults).toEqual([]);
  expect(lines.map(({ clock, does }) => [clock, does?.do ?? null])).toEqual([
    ['09:14', 'say'],
    ['10:00', null],
    ['11:30', 'has'],
  ]);
});

describe('a comment begins at a # that opens the line or follows two blanks', () => {
  const rows: readonly (readonly [string, string])[] = [
    ['mara: note bolt #4 is tight', 'note bolt #4 is tight'],
    ['mara: note bolt # 4', 'note bolt # 4'],
    ['mara: ok  # and the sheet is on', 'ok'],
    ['mara: ok\t# and the sheet is on', 'ok'],
    ['mara: note #4  # the fourth', 'note #4'],
  ];
  test.each(rows)('%s', (line, text) => {
    expect(only(line)).toMatchObject({ text });
  });

  test('## is a heading of the printed thread, and not an act that checks look back to', () => {
    const { lines } = parse('mara: ok', '## The break', '> Paused');
    expect(lines.map(({ does }) => does)).toEqual([
      expect.objectContaining({ do: 'say' }),
      { do: 'chapter', text: 'The break' },
      { do: 'has', text: 'Paused' },
    ]);
    expect(lines.map(isAct)).toEqual([true, false, false]);
  });

  test('a line that is nothing but a comment says nothing', () => {
    expect(parse('# > not a check', '   # nor this', '')).toMatchObject({ lines: [], faults: [] });
  });
});

test('every fault of a script is told at once, with its line and what to write instead', () => {
  const { faults, lines } = parse(
    'mara: start disconnect-fuse DEMO-1',
    'mara ok',
    '9:14 mara: ok',
    '24:00 mara: ok',
    '+12',
    '+0m',
    'channel broken',
    'fact lock-on maybe',
    '>',
    '>Dead',
    'step',
    'step: dead',
    'stay here',
    'mara:',
    'mara the technician of bay two: ok',
    'bot taps OK',
    'bot edits: ok',
    'again 0',
    'at 2026-02-30 08:00',
    'at 2026-03-02 08:00',
    'mara: ok',
  );
  expect(faults.map(({ line }) => line)).toEqual([
    2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12, 13, 14, 15, 16, 17, 18, 19, 20,
  ]);
  expect(lines.map(({ line }) => line)).toEqual([1, 20, 21]);
  const said = faults.map(printScriptFault);
  expect(said[0]).toContain('a.thread:2: "mara ok" is not understood. Write WHO: TEXT');
  expect(said[1]).toContain('"9:14" is no time of day. Write it with four digits, like 09:14.');
  expect(said[5]).toContain(
    '"channel broken" is not understood. Write "channel down", "channel lost" or "channel up".',
  );
  expect(said[8]).toContain('Write > Dead');
  expect(said[10]).toContain('"step" is a word of scripts, nobody\'s name');
  for (const { remedy } of faults) expect(remedy).toMatch(/^(Write|Begin|Move|Take) /);
});

test.each([...KEYWORDS])('nobody can be called %s, so that no check turns into words of a guest', (word) => {
  expect(parse(`${word}: dead`).faults).toHaveLength(1);
});

describe('the ground of a script is laid before the first act', () => {
  test.each(['at 2026-03-02 08:00', 'shop demo', 'like other.thread'])(
    '%s after an act is a fault',
    (late) => {
      expect(parse(late, 'mara: ok').faults).toEqual([]);
      expect(parse('bay 2', late, 'mara: ok').faults).toEqual([]);
      expect(parse('mara: ok', late).faults).toMatchObject([{ line: 2 }]);
      expect(parse('+1m', late).faults).toMatchObject([{ line: 2 }]);
    },
  );

  test('it takes no time', () => {
    expect(parse('09:00 at 2026-03-02 08:00').faults).toMatchObject([
      { line: 1, remedy: 'Take 09:00 away.' },
    ]);
  });
});

test('the comment that opens a script is its claim; without one it is the name of the file', () => {
  expect(parseScript('# A tap passes no gate\nbay 1', 'tests/x.thread').title).toBe('A tap passes no gate');
  expect(parseScript('bay 1\n# later', 'tests/a-tap-passes-no-gate.thread').title).toBe(
    'a tap passes no gate',
  );
});
