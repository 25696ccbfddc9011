import { distance } from '../rule/distance.js';
import type { Register } from '../shop/register.js';
import { hearForBay, officeSaid } from '../talk/office-words.js';
import { DAY_COMMANDS } from './day-commands.js';
import type { OfficeCommand } from './office-command.js';
import { BAY_COMMAND } from './register-bays.js';
import { CAR_COMMAND, VALUE_COMMAND } from './register-cars.js';
import { GEAR_COMMAND } from './register-gear.js';
import { PEOPLE_COMMAND } from './register-people.js';
import { BATCH_COMMAND } from './register-shelf.js';
import { DEPUTY_COMMAND, SHOP_COMMANDS } from './register-shop.js';

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
export const OFFICE_COMMANDS: readonly OfficeCommand[] = [
  BOARD,
  ...DAY_COMMANDS,
  GEAR_COMMAND,
  PEOPLE_COMMAND,
  CAR_COMMAND,
  VALUE_COMMAND,
  BATCH_COMMAND,
  BAY_COMMAND,
  DEPUTY_COMMAND,
  ...SHOP_COMMANDS,
  HELP,
];

/** What answers an echo; not in the list of `help`, which says it in its first lines. */
const YES: readonly string[] = ['yes', 'y', 'yep', 'yeah'];
const NO: readonly string[] = ['no', 'n', 'nope', 'cancel'];

/** Whether a message is nothing but a yes or a no to what was echoed; null for anything else. */
export function agreedBy(text: string): boolean | null {
  const { word, rest } = officeSaid(text);
  if (rest !== '') return null;
  return YES.includes(word) ? true : NO.includes(word) ? false : null;
}

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
  if (agreedBy(text) !== null) return true;
  const command = commandOf(text, register);
  if (command !== null) return command.who === 'foreman';
  return hearForBay(text, [...register.bays.keys()]) !== null;
}

/** The word of a command that is one slip of the thumb away from a word; null for none. */
export function nearestWord(word: string): string | null {
  const all = OFFICE_COMMANDS.flatMap(({ words }) => words);
  return all.find((one) => one.length > 3 && distance(one, word) <= 1) ?? null;
}
