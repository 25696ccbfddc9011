import { createHash } from 'node:crypto';
import type { Body, Input, Marks, Place } from '../../job/input.js';
import type { Register } from '../../shop/register.js';
import { foldText, renderPost } from './render.js';
import type { PostEntry, Room } from './room.js';
import { personCalled } from './script.js';
import type { MarkWord } from './words.js';

/** Who speaks: a person of the register, or a guest. */
export type Speaker = { readonly by: string; readonly name: string };

export function speakerOf(register: Register, who: string): Speaker {
  const person = personCalled(register, who);
  return person === null ? { by: `guest:${who}`, name: who } : { by: person.id, name: person.name };
}

export const MARKS: Readonly<Record<MarkWord | 'bot', Marks>> = {
  early: {},
  edits: { edited: true },
  forwards: { forwarded: true },
  quotes: { quoted: true },
  bot: { bot: true },
};

export type Made = Pick<Input, 'body' | 'marks' | 'seen'>;

/** The place of the newest post of a thread, or of the one before it for somebody who was too early. */
export function seenIn(room: Room, thread: string, early = false): Place {
  return room.posts(thread).at(early ? -2 : -1)?.place ?? room.start;
}

/** Text that somebody wrote. */
export function textInput(room: Room, thread: string, text: string, mark: MarkWord | 'bot' | null): Made {
  const marks = mark === null ? {} : MARKS[mark];
  return { body: { is: 'text', text }, marks, seen: seenIn(room, thread, mark === 'early') };
}

/** A tap on the newest post of the thread that has such a button, and such words if any are given; null for none. */
export function tapInput(
  room: Room,
  thread: string,
  zone: string,
  { label, on }: { readonly label: string; readonly on: string | null },
): Made | null {
  const wanted = foldText(label);
  for (const { post } of withWords(room, thread, zone, on)) {
    const button = post.buttons.find((one) => foldText(one.label) === wanted);
    if (button === undefined) continue;
    const body: Body = { is: 'tap', says: button.says, visit: post.visit ?? '' };
    return { body, marks: {}, seen: seenIn(room, thread) };
  }
  return null;
}

/** A reaction to the newest post of the thread, with such words if any are given; null where there is none. */
export function reactionInput(
  room: Room,
  thread: string,
  zone: string,
  { name, on }: { readonly name: string; readonly on: string | null },
): Made | null {
  const entry = withWords(room, thread, zone, on)[0];
  if (entry === undefined) return null;
  return { body: { is: 'reaction', name, on: entry.place }, marks: {}, seen: seenIn(room, thread) };
}

/** A photo. Its bytes are made up from its name, so that the same name is the same photo. */
export function photoInput(room: Room, thread: string, name: string): Made {
  const sha256 = createHash('sha256').update(name).digest('hex');
  const body: Body = { is: 'photo', sha256, name, text: '' };
  return { body, marks: { attachment: true }, seen: seenIn(room, thread) };
}

function withWords(room: Room, thread: string, zone: string, words: string | null): readonly PostEntry[] {
  const newestFirst = room.posts(thread).toReversed();
  if (words === null) return newestFirst;
  return newestFirst.filter((entry) => textOfPost(entry, zone).includes(foldText(words)));
}

/** All words of a post, folded, its buttons too. */
export function textOfPost({ post, again }: PostEntry, zone: string): string {
  return foldText(renderPost(post, zone, again).join('\n'));
}
