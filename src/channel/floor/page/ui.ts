import type { Picture } from '../../../record/picture.js';
import type { Look } from './look.js';
import type { Route } from './route.js';
import type { Saying } from './send.js';
import type { State, ThreadId } from './state.js';

/** What this tab is busy with; nothing of it is the workshop's. */
export type Ui = {
  readonly route: Route;
  readonly look: Look;
  /** Threads with a send under way, with what it says. */
  readonly sending: ReadonlyMap<ThreadId, string>;
  /** Why the last send of a thread had no effect. */
  readonly refused: ReadonlyMap<ThreadId, string>;
  readonly pin: PinAsked | null;
  readonly signIn: SigningIn;
  /** The bay that the foreman's words are for. */
  readonly foremanBay: string;
  readonly start: { readonly bay: string | null; readonly flow: string | null; readonly car: string | null };
  readonly stops: readonly StopCall[];
  readonly pictures: Pictures;
  /** Threads whose older lines are shown as well. */
  readonly unfolded: ReadonlySet<ThreadId>;
  /** Keys rest for a moment after a new question: a finger in the air was meant for the old one. */
  readonly resting: boolean;
};

/** Something that needs the speaker's own PIN before it is taken. */
export type PinAsked = {
  readonly saying: Saying;
  readonly thread: ThreadId;
  readonly why: string;
  readonly digits: string;
  readonly busy: boolean;
};

export type SigningIn = {
  readonly person: string | null;
  readonly own: boolean;
  readonly digits: string;
  /** The server wants a PIN that this page did not know of: it was given since. */
  readonly pinWanted: boolean;
  readonly why: string;
  readonly busy: boolean;
};

/** A STOP that was pressed here. It is sent again until it is through or called back. */
export type StopCall = {
  readonly bay: string;
  readonly key: string;
  readonly at: number;
  readonly is: 'calling' | 'not-through' | 'through';
  readonly why: string;
};

export type Pictures =
  | { readonly is: 'none' }
  | { readonly is: 'loading'; readonly bay: string }
  | { readonly is: 'failed'; readonly bay: string }
  | { readonly is: 'there'; readonly bay: string; readonly pictures: readonly Picture[] };

export const NO_SIGN_IN: SigningIn = {
  person: null,
  own: true,
  digits: '',
  pinWanted: false,
  why: '',
  busy: false,
};

/** What the screens may do. */
export type Acts = {
  typed(thread: ThreadId, text: string): void;
  send(thread: ThreadId, bay: string): void;
  tap(bay: string, says: string, visit: string | null): void;
  fill(thread: ThreadId, text: string): void;
  photo(bay: string, file: File): void;
  stop(): void;
  stopBay(bay: string): void;
  callBackStop(key: string): void;
  press(digit: string): void;
  signInAs(person: string): void;
  own(own: boolean): void;
  finishSignIn(): void;
  signOut(): void;
  finishPin(): void;
  dropPin(): void;
  foremanBay(bay: string): void;
  start(part: Partial<Ui['start']>): void;
  begin(bay: string, number: string): void;
  nextLook(): void;
  unfold(thread: ThreadId): void;
  retry(): void;
};

/** All that a screen is drawn from. */
export type Scene = {
  readonly state: State;
  readonly ui: Ui;
  readonly acts: Acts;
  /** The workshop's now, ms since 1970. */
  readonly now: number;
  readonly zone: string;
  draft(thread: ThreadId): string;
};

/** Nothing but STOP is sent unless the page is live. */
export const canSend = ({ state }: Scene) => state.link.is === 'live';

const MOST_DIGITS = 12;

/** The digits of a PIN after one more press on its pad. */
export function withDigit(digits: string, pressed: string): string {
  if (pressed === 'clear') return '';
  return pressed === 'back' ? digits.slice(0, -1) : (digits + pressed).slice(0, MOST_DIGITS);
}
