import { describe, expect, test } from 'vitest';
import { inOne } from '../../src/talk/late.js';
import type { Post } from '../../src/talk/post.js';
import { post } from '../channel/post.js';

const told = (words: string) => post({ lines: [[words]] });
const asked = (words: string, question: string, visit: string) =>
  post({
    kind: 'question',
    lines: [[words], [question]],
    asking: 1,
    buttons: [{ label: 'OK', says: 'ok' }],
    visit,
  });
const lines = (of: Post | null) => of?.lines.map((line) => line.join(''));

describe('what could not be delivered and what came after it', () => {
  test('are told in order, and only the newer question is asked', () => {
    const one = inOne(asked('0.3 V.', 'Cap on?', '3'), asked('Capped.', 'Lock on?', '4'));
    expect(lines(one)).toEqual(['0.3 V.', 'Capped.', 'Lock on?']);
    expect(one).toMatchObject({ kind: 'question', visit: '4', asking: 1, buttons: [{ label: 'OK' }] });
  });

  test('keep the older question while nothing newer is asked, and it stays last', () => {
    const one = inOne(asked('0.3 V.', 'Cap on?', '3'), told('Noted.'));
    expect(lines(one)).toEqual(['0.3 V.', 'Noted.', 'Cap on?']);
    expect(one).toMatchObject({ kind: 'question', visit: '3', asking: 1 });
  });

  test('a prompt of buttons alone ends the question before it', () => {
    const paused = post({ lines: [['Paused.']], buttons: [{ label: 'Resume', says: 'resume' }] });
    const one = inOne(asked('0.3 V.', 'Cap on?', '3'), { ...paused, kind: 'question' });
    expect(lines(one)).toEqual(['0.3 V.', 'Paused.']);
    expect(one).toMatchObject({ visit: null, buttons: [{ label: 'Resume' }] });
  });

  test.each([
    ['a card', post({ kind: 'card' }), told('Noted.')],
    ['an alert', told('Noted.'), post({ kind: 'alert' })],
    ['the summary', told('Noted.'), post({ kind: 'summary' })],
    ['a post of another thread', told('Noted.'), post({ to: 'foreman' })],
    ['more lines than a phone shows', post({ lines: Array.from({ length: 24 }, () => ['x']) }), told('y')],
  ])('stand apart: %s', (_, older, newer) => {
    expect(inOne(older, newer)).toBeNull();
  });
});
