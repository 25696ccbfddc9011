import { describe, expect, test } from 'vitest';
import { photoInput, reactionInput, seenIn, tapInput, textInput } from '../../src/channel/script/inputs.js';
import { openRoom, type Room } from '../../src/channel/script/room.js';
import { scriptChannel } from '../../src/channel/script/script-channel.js';
import { Undelivered } from '../../src/desk/port.js';
import { outPost } from './post.js';

const NOW = Date.UTC(2026, 2, 2, 9);
const ask = (text: string, visit: string, label = 'OK') =>
  outPost({
    key: `job:${visit}:bay`,
    lines: [[text]],
    visit,
    buttons: [{ label, says: label.toLowerCase() }],
  });

function askedTwice(): Room {
  const room = openRoom();
  room.post(ask('Dry or wet?', '1', 'Dry'), NOW);
  room.post(ask('Cover off?', '2'), NOW);
  room.post(outPost({ key: 'f', to: 'foreman', lines: [['Bay 1: hold.']] }), NOW);
  return room;
}

describe('places', () => {
  test('they grow as text through all threads of a room, past a change in their length', () => {
    const room = openRoom();
    const places = Array.from({ length: 1200 }, (_, n) =>
      room.post(outPost({ bay: String(n % 3), key: `k${n}` }), NOW),
    );
    expect(places).toEqual([...new Set(places)].sort());
    expect(places.every((place) => place > room.start)).toBe(true);
  });

  test('a room opened later on the same data has later places', () => {
    const before = openRoom('01772442000000.');
    const after = openRoom('01772442000001.');
    const last =
      Array.from({ length: 30 }, (_, n) => before.post(outPost({ key: `k${n}` }), NOW)).at(-1) ?? '';
    expect(after.start > last).toBe(true);
  });

  test('posts go to the thread of their bay, of the foreman or of the shop', () => {
    const room = askedTwice();
    room.post(outPost({ bay: '2', key: 'b', lines: [['Hello.']] }), NOW);
    const texts = (thread: string) => room.posts(thread).map(({ post }) => post.lines[0]?.[0]);
    expect(texts('1')).toEqual(['Dry or wet?', 'Cover off?']);
    expect(texts('2')).toEqual(['Hello.']);
    expect(texts('foreman')).toEqual(['Bay 1: hold.']);
    expect(texts('shop')).toEqual([]);
  });
});

describe('what a sender had seen', () => {
  test('somebody who writes has seen the newest post of that thread, whatever was posted elsewhere', () => {
    const room = askedTwice();
    expect(textInput(room, '1', 'ok', null).seen).toBe(room.posts('1')[1]?.place);
  });

  test('somebody early has seen the post before, and nothing where there was one only', () => {
    const room = askedTwice();
    expect(textInput(room, '1', 'ok', 'early').seen).toBe(room.posts('1')[0]?.place);
    expect(textInput(room, 'foreman', 'ok', 'early').seen).toBe(room.start);
    expect(seenIn(room, '2')).toBe(room.start);
  });

  test('early is no mark of the message itself', () => {
    expect(textInput(askedTwice(), '1', 'ok', 'early').marks).toEqual({});
  });
});

describe('what is made of a line', () => {
  const marks = [
    ['edits', { edited: true }],
    ['forwards', { forwarded: true }],
    ['quotes', { quoted: true }],
    ['bot', { bot: true }],
  ] as const;
  test.each(marks)('%s marks the message and leaves its words', (mark, expected) => {
    const made = textInput(askedTwice(), '1', 'LANTERN ', mark);
    expect(made).toMatchObject({ marks: expected, body: { is: 'text', text: 'LANTERN ' } });
  });

  test('a tap says what its button says, for the visit of the post that it stands in', () => {
    const room = askedTwice();
    const tap = (label: string, on: string | null = null) =>
      tapInput(room, '1', 'Etc/UTC', { label, on })?.body;
    expect(tap('ok')).toEqual({ is: 'tap', says: 'ok', visit: '2' });
    expect(tap('Dry')).toEqual({ is: 'tap', says: 'dry', visit: '1' });
    expect(tap('OK', 'dry or WET')).toBeUndefined();
    expect(tap('Problem')).toBeUndefined();
  });

  test('of two posts with the same button the newest is tapped, unless words say which', () => {
    const room = openRoom();
    for (const visit of ['1', '2', '3']) room.post(ask(`Question ${visit}`, visit), NOW);
    const tap = (on: string | null) => tapInput(room, '1', 'Etc/UTC', { label: 'OK', on })?.body;
    expect(tap(null)).toMatchObject({ visit: '3' });
    expect(tap('question 2')).toMatchObject({ visit: '2' });
  });

  test('a reaction hangs on the newest post, or on the one with such words', () => {
    const room = askedTwice();
    const on = (words: string | null) =>
      reactionInput(room, '1', 'Etc/UTC', { name: 'thumbsup', on: words })?.body;
    expect(on(null)).toEqual({ is: 'reaction', name: 'thumbsup', on: room.posts('1')[1]?.place });
    expect(on('wet')).toMatchObject({ on: room.posts('1')[0]?.place });
    expect(on('nothing like it')).toBeUndefined();
  });

  test('a photo is an attachment, the same for the same name', () => {
    const room = askedTwice();
    const photo = (name: string) => photoInput(room, '1', name);
    expect(photo('lock.jpg')).toEqual(photo('lock.jpg'));
    expect(photo('lock.jpg').body).not.toEqual(photo('key.jpg').body);
    expect(photo('lock.jpg').marks).toEqual({ attachment: true });
  });
});

describe('the channel of scripts', () => {
  const open = (forgets = false) => {
    const room = openRoom();
    return { room, channel: scriptChannel({ name: 'script', room, now: () => NOW, forgets }) };
  };
  const codeOf = (error: unknown) => (error instanceof Undelivered ? error.code : error);

  test('up: a post stands where the channel says', async () => {
    const { room, channel } = open();
    const place = await channel.deliver(outPost({ key: 'a' }));
    expect(room.find('a')).toBe(place);
    expect(await channel.find(outPost({ key: 'a' }))).toBe(place);
    expect(await channel.find(outPost({ key: 'b' }))).toBeNull();
  });

  test('down: a post is surely not there, and nobody can be asked', async () => {
    const { room, channel } = open();
    channel.state = 'down';
    expect(await channel.deliver(outPost({ key: 'a' })).catch(codeOf)).toBe('not-sent');
    expect(await channel.find(outPost({ key: 'a' })).catch(codeOf)).toBe('unknown');
    expect(room.entries).toEqual([]);
  });

  test('lost: a post arrives, nobody hears of it, and asking finds it', async () => {
    const { room, channel } = open();
    channel.state = 'lost';
    expect(await channel.deliver(outPost({ key: 'a' })).catch(codeOf)).toBe('unknown');
    expect(room.posts('1')).toHaveLength(1);
    expect(await channel.find(outPost({ key: 'a' }))).toBe(room.posts('1')[0]?.place);
  });

  test('a terminal that was started anew cannot say what the one before has shown', async () => {
    const { channel } = open(true);
    expect(await channel.find(outPost({ key: 'before' }))).toBe('cannot-ask');
    const place = await channel.deliver(outPost({ key: 'now' }));
    expect(await channel.find(outPost({ key: 'now' }))).toBe(place);
  });
});
