import { describe, expect, test } from 'vitest';
import { nowOf } from '../../src/channel/floor/page/asked.js';
import { NOTHING, type State, withEntry, withOver } from '../../src/channel/floor/page/state.js';
import type { WirePost } from '../../src/channel/floor/wire.js';
import type { BoardRow } from '../../src/record/board.js';

const post = (place: string, more: Partial<WirePost>): WirePost => ({
  place,
  key: place,
  thread: 'bay',
  bay: '1',
  job: 'J',
  kind: 'question',
  at: Number(place),
  lines: [[place]],
  buttons: [],
  visit: null,
  again: false,
  ...more,
});
const HERE = [{ label: 'Here', says: 'here' }];

const standing = (...posts: readonly WirePost[]): State =>
  posts.reduce((state, one) => withEntry(state, { is: 'post', ...one }), NOTHING);

const row = (more: Partial<BoardRow>): BoardRow => ({
  ...{
    bay: '1',
    label: 'Bay 1',
    attention: 1,
    step: null,
    asked: null,
    holder: null,
    standby: null,
    since: 0,
  },
  ...{ proved: [], notProved: [], locks: [], waits: [], open: [], why: null },
  job: { id: 'J', number: '', car: '', flow: '', title: '' },
  ...more,
});

const places = (state: State) => {
  const { main, calls, word } = nowOf(state, '1');
  return { main: main?.place ?? null, calls: calls.map(({ place }) => place), word: word?.place ?? null };
};

describe('what a bay sheet shows as asked now', () => {
  test('the newest question, and never an older one beside it', () => {
    expect(places(standing(post('1', { visit: '1' }), post('2', { visit: '2' }))).main).toBe('2');
  });

  test('a question that is over is asked no more', () => {
    expect(places(withOver(standing(post('1', { visit: '1' })), '1')).main).toBe(null);
  });

  test('an older question does not come back when the newer one is over', () => {
    const state = standing(post('1', { visit: '1' }), post('2', { visit: '2' }));
    expect(places(withOver(withOver(state, '1'), '2')).main).toBe(null);
  });

  test('a call by name stands beside the question', () => {
    const state = standing(post('1', { visit: '1' }), post('2', { buttons: HERE }));
    expect(places(state)).toMatchObject({ main: '1', calls: ['2'] });
  });

  test('a wait takes the place of the question before it', () => {
    expect(places(standing(post('1', { visit: '1' }), post('2', {}))).main).toBe('2');
  });

  test('a wait does not come back when the question after it is over', () => {
    const state = standing(post('1', {}), post('2', { visit: '2' }));
    expect(places(withOver(state, '2')).main).toBe(null);
  });

  test('a hold ends a wait', () => {
    const state = standing(post('1', {}), post('2', { kind: 'told' }));
    expect(places({ ...state, board: { at: 2, rows: [row({ attention: 2 })] } }).main).toBe(null);
  });

  test('a pause is asked by its own key', () => {
    const state = standing(post('1', { visit: '1' }), post('2', { buttons: HERE }));
    expect(places(withOver(state, '1'))).toMatchObject({ main: '2', calls: [] });
  });

  test('a refusal stands with the question that it leaves open', () => {
    const state = standing(post('1', { visit: '1' }), post('2', { kind: 'told' }));
    expect(places(state)).toMatchObject({ main: '1', word: '2' });
  });

  test('a stop card comes before every question that was open', () => {
    expect(places(standing(post('1', { visit: '1' }), post('2', { kind: 'card' }))).main).toBe('2');
  });

  test('a question after the release comes before the card', () => {
    const state = standing(post('1', { kind: 'card' }), post('2', { visit: '2' }));
    expect(places(state).main).toBe('2');
  });

  test('a summary stands until the bay has another job', () => {
    const state = standing(post('1', { visit: '1' }), post('2', { kind: 'summary' }));
    const next = row({ job: { id: 'K', number: '', car: '', flow: '', title: '' } });
    expect(places({ ...state, board: { at: 3, rows: [row({ job: null })] } }).main).toBe('2');
    expect(places({ ...withOver(state, '1'), board: { at: 3, rows: [next] } }).main).toBe(null);
  });

  test('a newer board that knows of no question closes one whose end was missed', () => {
    const state = standing(post('1', { visit: '1' }));
    expect(places({ ...state, board: { at: 2, rows: [row({})] } }).main).toBe(null);
    expect(places({ ...state, board: { at: 1, rows: [row({})] } }).main).toBe('1');
  });
});
