import type { OfficeCommand } from './office-command.js';

const DAY: OfficeCommand = {
  words: ['day'],
  shape: 'day',
  does: 'the day so far, as it is told at closing time',
  who: 'registered',
  answer: () => ({ is: 'day' }),
};

const MORNING: OfficeCommand = {
  words: ['morning'],
  shape: 'morning',
  does: 'what the morning begins with, what may not be used',
  who: 'registered',
  answer: () => ({ is: 'morning' }),
};

const DUE: OfficeCommand = {
  words: ['due'],
  shape: 'due',
  does: 'cars and gear due this month and overdue',
  who: 'registered',
  answer: () => ({ is: 'due' }),
};

/** The posts of the day, asked for. */
export const DAY_COMMANDS: readonly OfficeCommand[] = [DAY, MORNING, DUE];
