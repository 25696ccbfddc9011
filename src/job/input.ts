import type { Value } from './event.js';

/** What reached us from a person, untouched, before anybody has judged it. */
export type Input = {
  /** The same for every delivery of the same message. */
  readonly key: string;
  readonly bay: string;
  /** Register id, or the channel's own id with the prefix `guest:` for somebody who is not in the register. */
  readonly by: string;
  /** The name shown at the time. */
  readonly name: string;
  /** The channel it came through. */
  readonly via: string;
  /** Instant, ms since 1970. */
  readonly saidAt: number;
  /** The last post its sender had seen when sending; null when the channel cannot know. */
  readonly seen: Place | null;
  readonly marks: Marks;
  readonly body: Body;
};

/** A post's position in its channel's order. Places of one channel compare as text. */
export type Place = string;

export type Marks = {
  readonly edited?: true;
  readonly forwarded?: true;
  readonly quoted?: true;
  readonly bot?: true;
  readonly attachment?: true;
  /** Said in another thread than the bay's own: its sender need not be there. */
  readonly afar?: true;
};

export type Body =
  | { readonly is: 'text'; readonly text: string }
  /** A button: what it says, and the visit of the post it stood in. */
  | { readonly is: 'tap'; readonly says: string; readonly visit: string }
  | { readonly is: 'reaction'; readonly name: string; readonly on: Place }
  /** Word from another bay or from the register, brought by the desk. */
  | { readonly is: 'notice'; readonly notice: Notice }
  | { readonly is: 'photo'; readonly sha256: string; readonly name: string; readonly text: string };

export type Notice =
  | { readonly of: 'elsewhere'; readonly person: string; readonly bay: string }
  | { readonly of: 'danger'; readonly bay: string; readonly danger: string }
  | { readonly of: 'gear-out'; readonly gear: string; readonly bay: string }
  | {
      readonly of: 'value-changed';
      readonly key: string;
      readonly value: Value | null;
      readonly bay: string;
    };

/** The words of an input as its sender left them; empty where there are none. */
export function wordsOf(input: Input): string {
  switch (input.body.is) {
    case 'text':
      return input.body.text;
    case 'tap':
      return input.body.says;
    case 'photo':
      return input.body.text;
    case 'reaction':
    case 'notice':
      return '';
  }
}
