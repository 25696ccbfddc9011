import type { Next } from '../rule/next.js';
import { type Choices, type Rules, stepAt } from '../rule/rules.js';
import type { Lapse } from './life.js';

/** A turn of the rules in words, for the path that leads to a break. */
export function wordsOf(rules: Rules, what: Next): string {
  switch (what.do) {
    case 'close':
      return `${stepAt(rules, what.index).id} closed unshown`;
    case 'look':
      return `look at ${what.facts.join(', ')}: yes`;
    case 'reopen':
      return `${what.steps.map((index) => stepAt(rules, index).id).join(', ')} opened again for ${what.fact}`;
    case 'wait':
      return `wait for ${what.facts.join(', ')}`;
    default:
      return what.do;
  }
}

/** Two turns with the same words do the same. */
export function wayWords(what: Next): string {
  switch (what.do) {
    case 'end':
      return 'end';
    case 'look':
    case 'wait':
      return `${what.do} ${what.index} ${what.facts.join(' ')}`;
    case 'reopen':
      return `reopen ${what.index} ${what.steps.join(' ')}`;
    case 'stuck':
      return `stuck ${what.index} ${what.fact}`;
    default:
      return `${what.do} ${what.index}`;
  }
}

export function stuckWords(rules: Rules, what: Next & { readonly do: 'stuck' }): string {
  return `nothing brings back ${what.fact}, which ${stepAt(rules, what.index).id} needs`;
}

export function lapseWords(lapses: readonly Lapse[]): string[] {
  const words = { stands: 'stands', running: 'still runs', doubt: 'is in doubt', gone: 'is gone' };
  return lapses.map(({ fact, to }) => `${fact} ${words[to]}`);
}

export function startWords(choices: Choices): string {
  const words = Object.entries(choices).map(([name, option]) => `${name} ${option}`);
  return words.length === 0 ? 'start' : `start with ${words.join(', ')}`;
}
