import type { FactValue } from '../../rule/rules.js';
import type { MarkWord } from './words.js';

/** A line of a script that says something. */
export type ScriptLine = {
  readonly file: string;
  /** From 1. */
  readonly line: number;
  /** As written, without its comment. */
  readonly written: string;
  /** The clock is moved on to the next such time first, `HH:MM`. */
  readonly clock: string | null;
  /** Null where the line only moves the clock. */
  readonly does: Doing | null;
};

export type Doing = Setup | Act | Check;

/** What makes the ground of a script or turns the eye; nothing that happens. */
export type Setup =
  | { readonly do: 'shop'; readonly name: string }
  | { readonly do: 'at'; readonly local: string }
  | { readonly do: 'like'; readonly file: string }
  | { readonly do: 'bay'; readonly thread: string }
  /** A heading in the printed thread: nobody in the shop sees it. */
  | { readonly do: 'chapter'; readonly text: string };

export type Act =
  | { readonly do: 'pass'; readonly ms: number }
  | {
      readonly do: 'say';
      readonly who: string;
      readonly text: string;
      readonly mark: MarkWord | 'bot' | null;
    }
  | { readonly do: 'tap'; readonly who: string; readonly label: string; readonly on: string | null }
  | { readonly do: 'react'; readonly who: string; readonly name: string; readonly on: string | null }
  | { readonly do: 'photo'; readonly who: string; readonly name: string }
  | { readonly do: 'again'; readonly back: number }
  | { readonly do: 'channel'; readonly to: ChannelState }
  | { readonly do: 'disk'; readonly to: 'full' | 'ok' }
  | { readonly do: 'restart' };

export type Check =
  | { readonly do: 'has' | 'lacks' | 'newest'; readonly text: string }
  | { readonly do: 'step'; readonly step: string | null }
  | { readonly do: 'fact'; readonly fact: string; readonly value: FactValue }
  | { readonly do: 'stay' }
  | { readonly do: 'mode'; readonly mode: EndMode };

export const CHANNEL_STATES = ['down', 'lost', 'up'] as const;
export type ChannelState = (typeof CHANNEL_STATES)[number];

export const END_MODES = ['done', 'parked', 'held', 'stopped', 'called-off'] as const;
export type EndMode = (typeof END_MODES)[number];

/** A line that is not understood, and what to write instead. */
export type ScriptFault = {
  readonly file: string;
  readonly line: number;
  readonly problem: string;
  readonly remedy: string;
};

/** Whether something happens in a line: what the checks look back to. */
export function isAct({ clock, does }: Pick<ScriptLine, 'clock' | 'does'>): boolean {
  return clock !== null || (does !== null && ACTS.has(does.do));
}

/** Whether a line checks something. */
export function isCheck(does: Doing | null): does is Check {
  return does !== null && CHECKS.has(does.do);
}

const ACTS: ReadonlySet<Doing['do']> = new Set([
  'pass',
  'say',
  'tap',
  'react',
  'photo',
  'again',
  'channel',
  'disk',
  'restart',
]);
const CHECKS: ReadonlySet<Doing['do']> = new Set(['has', 'lacks', 'newest', 'step', 'fact', 'stay', 'mode']);
