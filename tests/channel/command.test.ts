import { expect, test } from 'vitest';
import { type Command, readCommand } from '../../src/channel/script/command.js';

const isPerson = (who: string) => ['mara', 'orla'].includes(who);

const rows: readonly (readonly [string, Command | null])[] = [
  ['', null],
  ['  ', null],
  ['ok', { do: 'speak', who: null, what: { is: 'text', text: 'ok' } }],
  ['orla: where', { do: 'speak', who: 'orla', what: { is: 'text', text: 'where' } }],
  ['note: bolt 3', { do: 'speak', who: null, what: { is: 'text', text: 'note: bolt 3' } }],
  ['orla:', { do: 'speak', who: null, what: { is: 'text', text: 'orla:' } }],
  ['/as jory', { do: 'as', who: 'jory' }],
  ['/bay 2', { do: 'thread', thread: '2' }],
  ['/foreman', { do: 'thread', thread: 'foreman' }],
  ['/clock +10m', { do: 'clock', ms: 600_000 }],
  ['/tap Go on', { do: 'speak', who: null, what: { is: 'tap', label: 'Go on' } }],
  ['/photo lock.jpg', { do: 'speak', who: null, what: { is: 'photo', name: 'lock.jpg' } }],
  ['/react thumbsup', { do: 'speak', who: null, what: { is: 'reaction', name: 'thumbsup' } }],
  ['/help', { do: 'help' }],
  ['/quit', { do: 'quit' }],
];

test.each(rows)('typed into the terminal: %j', (line, command) => {
  expect(readCommand(line, isPerson)).toEqual(command);
});

test.each(['/clock 10m', '/as', '/bay', '/tap', '/dance'])(
  '%s is told what to write instead, and said to nobody',
  (line) => {
    expect(readCommand(line, isPerson)).toMatchObject({ do: 'unknown' });
  },
);
