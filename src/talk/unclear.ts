import type { Unclear } from '../job/heard.js';
import { ln } from './line.js';
import type { Line } from './post.js';

/** Why a message is asked back, in one or two lines: what was heard, and what to say instead. */
export function unclearLines(why: Unclear, detail: string): readonly Line[] {
  const [first = '', second = ''] = detail.split(', ');
  switch (why) {
    case 'two-numbers':
      return [
        ln`I heard two numbers${detail === '' ? '' : `, ${detail}`}.`,
        ln`Which one? Only that one, please.`,
      ];
    case 'letter-o':
      return [ln`A letter O, or a zero?`, ln`The number again, in digits.`];
    case 'leading-zero':
      return [ln`Zero in front: is a point missing?`, ln`The number again, such as 0.3 or 3.`];
    case 'wrong-unit':
      return second === ''
        ? [ln`That unit does not measure this.`, ln`Number and unit again.`]
        : [ln`I heard ${first}; ${second} is asked.`, ln`Number and unit again.`];
    case 'ambiguous-unit':
      return [ln`Which unit${detail === '' ? '' : `: ${detail}`}?`, ln`Number and unit again.`];
    case 'not-a-number':
      return [
        ln`No number heard${detail === '' ? '' : ` in ${quoted(detail)}`}.`,
        ln`OL and dashes are not zero. The number again.`,
      ];
    case 'back-which':
      return [ln`Back: to correct something, or here again?`, ln`Say CORRECT, or HERE.`];
    case 'empty':
      return [ln`Nothing was in it.`, ln`Once more, please.`];
    case 'which-option':
      return [ln`Which one?`, ln`Its word or its number from the question.`];
    case 'which-word':
      return detail === ''
        ? [ln`Not understood here.`]
        : [ln`Not understood here.`, ln`Answer ${detail}, or say what is wrong.`];
    case 'yes-or-no':
      return [ln`YES or NO?`];
    case 'old-post':
      return [ln`That post is done.`];
    case 'kilo-or-not':
      return [
        second === '' ? ln`Thousands, or decimals?` : ln`${first} or ${second}?`,
        ln`The number again with its unit, without a sign for thousands.`,
      ];
    case 'how-many':
      return second === ''
        ? [ln`Not the right count of numbers.`, ln`All again in one message.`]
        : [ln`I heard ${first} numbers, ${second} are asked.`, ln`All ${second} again in one message.`];
    case 'no-unit':
      return [
        ln`The unit is missing.`,
        ln`All again, with ${detail === '' ? 'the unit' : detail} said once.`,
      ];
    case 'correct-which':
      return [ln`Correct what? Say CORRECT and the step, or CORRECT LAST.`];
    case 'not-yet-or-problem':
      return [ln`Not yet, or a problem?`, ln`Not yet: just go on, answer later. Else say PROBLEM and what.`];
    case 'out-of-order':
      return [ln`Named in another order than they are asked.`, ln`Five in one message, in the order asked.`];
    case 'undone-or-not':
      return [ln`Was it undone, or not?`, ln`If it was, say only that. In danger: STOP.`];
    case 'not-a-date':
      return [
        ln`No date heard${detail === '' ? '' : ` in ${quoted(detail)}`}.`,
        ln`Such as 2026-03-14, or 2026-03.`,
      ];
  }
}

/** What somebody said, shortened, in quotation marks. */
export function quoted(said: string): string {
  const text = said.trim().replace(/\s+/g, ' ');
  return `"${text.length > 40 ? `${text.slice(0, 39)}…` : text}"`;
}
