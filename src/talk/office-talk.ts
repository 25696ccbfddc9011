import type { EmergencyNumber } from '../job/world.js';
import { ln } from './line.js';
import { bayOf } from './phrase.js';
import type { Line, Post, PostKind } from './post.js';

/** What is answered in the foreman's own thread. */

/** A post of the foreman's thread. */
export function officePost(kind: PostKind, lines: readonly Line[]): Post {
  return { to: 'foreman', kind, lines, buttons: [], visit: null };
}

const told = (...lines: readonly string[]): Post =>
  officePost(
    'told',
    lines.map((line) => ln`${line}`),
  );

/** What can be said here, a line each. */
export function sayOfficeHelp(commands: readonly { readonly shape: string; readonly does: string }[]): Post {
  return told(
    'Hurt or smoke? Say STOP: every bay with a job stops.',
    ...commands.map(({ shape, does }) => `${shape}: ${does}`),
  );
}

/** Somebody who may not asked for what is the foreman's. */
export function sayForemanDoes(foremen: readonly string[]): Post {
  return told(`The foreman does this: ${foremen.join(', ')}.`, 'Nothing was changed.');
}

/** Who speaks is not in the register. */
export function sayNotRegistered(): Post {
  return told('You are not in the register. The foreman adds people.');
}

/** The post of a working day could not be put together. */
export function sayNoDayPost(date: string, why: string): Post {
  return told(`The post of ${date} could not be put together: ${why}`, 'BOARD shows how every bay stands.');
}

/** Words that are none of the office's; with the nearest that is. */
export function sayNotUnderstood(said: string, nearest: string | null): Post {
  const meant = nearest === null ? '' : ` Did you mean ${nearest}?`;
  return told(`Not understood: "${said}".${meant}`, 'Nothing was changed. HELP lists what can be said.');
}

/** An edit, a forward or a quotation of what may have been said at another time. */
export function sayWriteAnew(): Post {
  return told('Edits, forwards and quotes change nothing here. Write it anew.');
}

/** Words handed on to a bay. What they came to stands there. */
export function sayPassedOn(bay: string, words: string): Post {
  return told(`${cut(words)} was said in ${bayOf(bay)}. What it came to stands there.`);
}

/** A gate is passed, and a job started, only by who stands there. */
export function sayNotFromHere(bay: string, what: 'gate' | 'start'): Post {
  return what === 'gate'
    ? told(
        `That word passes a gate, and was not passed on to ${bayOf(bay)}.`,
        'It is said in the bay, by who holds the job, with the gate before the eyes.',
      )
    : told(`Not passed on: a job is started in ${bayOf(bay)} itself, by who will hold it.`);
}

/** Stop said where no bay is: the card, and which bays it stopped. */
export function sayOfficeStop(bays: readonly string[], numbers: readonly EmergencyNumber[]): Post {
  const what = bays.length === 0 ? 'No bay has a job under way.' : `Stopped: ${bays.map(bayOf).join(', ')}.`;
  return officePost('card', [
    ln`STOP. Shout and alarm first. Everybody clear of the cars.`,
    ln`Do not touch a casualty who is in contact with one.`,
    ...numbers.map(({ label, number }) => ln`${label}: ${number}`),
    ln`${what}`,
  ]);
}

const MOST_QUOTED = 80;

function cut(words: string): string {
  return `"${words.length > MOST_QUOTED ? `${words.slice(0, MOST_QUOTED)}…` : words}"`;
}
