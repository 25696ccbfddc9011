import { distance } from '../rule/distance.js';
import type { Register } from '../shop/register.js';
import { hearForBay, officeSaid } from '../talk/office-words.js';
import { DAY_COMMANDS } from './day-commands.js';
import type { OfficeCommand } from './office-command.js';

const BOARD: OfficeCommand = {
  words: ['board', 'where', 'list', 'status'],
  shape: 'board',
  does: 'where every bay stands, what needs somebody first',
  who: 'registered',
  answer: () => ({ is: 'board' }),
};

const HELP: OfficeCommand = {
  words: ['help'],
  shape: 'help',
  does: 'this list',
  who: 'registered',
  answer: () => ({ is: 'help' }),
};

/** Everything that can be said in the foreman's thread besides STOP and words for one bay, in the order of `help`. */
export const OFFICE_COMMANDS: readonly OfficeCommand[] = [BOARD, ...DAY_COMMANDS, HELP];

/** The command that a message is for; null when it is for none. */
export function commandOf(text: string, register: Register): OfficeCommand | null {
  const { word } = officeSaid(text);
  return (
    OFFICE_COMMANDS.find(({ words }) => words.includes(word)) ??
    OFFICE_COMMANDS.find(({ claims }) => claims?.(text, register) === true) ??
    null
  );
}

/** Whether a message in the foreman's thread would do something: on a shared screen it is said with one's own PIN. */
export function directs(text: string, register: Register): boolean {
  const command = commandOf(text, register);
  if (command !== null) return command.who === 'foreman';
  return hearForBay(text, [...register.bays.keys()]) !== null;
}

/** The word of a command that is one slip of the thumb away from a word; null for none. */
export function nearestWord(word: string): string | null {
  const all = OFFICE_COMMANDS.flatMap(({ words }) => words);
  return all.find((one) => one.length > 3 && distance(one, word) <= 1) ?? null;
}
