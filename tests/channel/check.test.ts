import { describe, expect, test } from 'vitest';
import { failureOf, idCalled, type Seen } from '../../src/channel/script/check.js';
import { openRoom } from '../../src/channel/script/room.js';
import { emptyJob } from '../../src/job/evolve.js';
import type { Job } from '../../src/job/job.js';
import { outPost } from './post.js';

function seen(parts: Partial<Seen> = {}): Seen {
  const room = openRoom();
  for (const text of ['Cover off?', 'Dead on the\ncar side.']) {
    const lines = text.split('\n').map((line) => [line]);
    room.post(outPost({ key: text, lines, buttons: [{ label: 'OK', says: 'ok' }] }), 0);
  }
  const posts = room.posts('1');
  return {
    zone: 'Etc/UTC',
    label: 'Bay 1',
    posts,
    fresh: posts.slice(1),
    bay: '1',
    job: null,
    flow: null,
    closedBefore: new Set(),
    ...parts,
  };
}

const job = (parts: Partial<Job>): Job => ({ ...emptyJob('QM-2603-001'), mode: 'working', ...parts });

describe('what posts have', () => {
  test('> looks at the posts since the last act only', () => {
    expect(failureOf({ do: 'has', text: 'DEAD on the car  side' }, seen())).toBeNull();
    expect(failureOf({ do: 'has', text: 'cover off' }, seen())).toContain('since the last act');
    expect(failureOf({ do: 'has', text: '' }, seen({ fresh: [] }))).toContain('Nothing was posted');
  });

  test('< fails on any post since the last act that has it', () => {
    expect(failureOf({ do: 'lacks', text: 'cover off' }, seen())).toBeNull();
    expect(failureOf({ do: 'lacks', text: 'car side' }, seen())).not.toBeNull();
  });

  test('>> looks at the newest post, however old', () => {
    expect(failureOf({ do: 'newest', text: 'car side' }, seen({ fresh: [] }))).toBeNull();
    expect(failureOf({ do: 'newest', text: 'cover off' }, seen())).not.toBeNull();
    expect(failureOf({ do: 'newest', text: 'car side' }, seen({ posts: [] }))).toContain('Nothing was ever');
  });

  test('buttons can be looked for', () => {
    expect(failureOf({ do: 'newest', text: '[OK]' }, seen())).toBeNull();
  });
});

describe('how the job stands', () => {
  test('without a job every check of it fails', () => {
    for (const check of [
      { do: 'step', step: null },
      { do: 'fact', fact: 'lock-on', value: 'gone' },
      { do: 'stay' },
      { do: 'mode', mode: 'done' },
    ] as const) {
      expect(failureOf(check, seen())).toBe('There is no job in bay 1.');
    }
  });

  test('a step that only waits is the step shown', () => {
    const waits = job({ waitingFor: { step: 'make-safe/wait', facts: ['waited'], until: 1 } });
    expect(failureOf({ do: 'step', step: null }, seen({ job: waits }))).toBe('make-safe/wait is shown.');
    expect(failureOf({ do: 'step', step: null }, seen({ job: job({}) }))).toBeNull();
  });

  test('a fact that was never made is gone', () => {
    const with1 = job({ facts: { 'lock-on': { value: 'doubt', since: 0, at: null, why: null } } });
    expect(failureOf({ do: 'fact', fact: 'lock-on', value: 'doubt' }, seen({ job: with1 }))).toBeNull();
    expect(failureOf({ do: 'fact', fact: 'lock-on', value: 'stands' }, seen({ job: with1 }))).toBe(
      'lock-on is doubt.',
    );
    expect(failureOf({ do: 'fact', fact: 'lock-onn', value: 'gone' }, seen({ job: with1 }))).toContain(
      'has no',
    );
  });

  test('stay fails on a step that closed since the last act, not on one closed before', () => {
    const closed = job({ closed: { a: true, b: true } });
    expect(failureOf({ do: 'stay' }, seen({ job: closed, closedBefore: new Set(['a', 'b']) }))).toBeNull();
    expect(failureOf({ do: 'stay' }, seen({ job: closed, closedBefore: new Set(['a']) }))).toBe('b closed.');
  });

  test('a mode is that one and no other', () => {
    expect(failureOf({ do: 'mode', mode: 'held' }, seen({ job: job({ mode: 'held' }) }))).toBeNull();
    expect(failureOf({ do: 'mode', mode: 'held' }, seen({ job: job({ mode: 'stopped' }) }))).toContain(
      'is stopped',
    );
  });
});

describe('an id that is not written out', () => {
  const ids = ['make-safe/dead', 'make-safe/deaf', 'enter/dead-again', 'cure/wait', 'lift/wait', 'lock-on'];
  const rows = [
    ['make-safe/dead', 'make-safe/dead'],
    ['dead', 'make-safe/dead'],
    ['dead-a', 'enter/dead-again'],
    ['cure', 'cure/wait'],
    ['lock', 'lock-on'],
  ] as const;
  test.each(rows)('%s is %s', (said, id) => {
    expect(idCalled(said, ids)).toEqual({ ok: true, id });
  });

  test('it is never guessed', () => {
    expect(idCalled('wait', ids)).toMatchObject({
      ok: false,
      problem: '"wait" may be cure/wait or lift/wait.',
    });
    expect(idCalled('dea', ids)).toMatchObject({ ok: false });
    expect(idCalled('eaf', ids)).toMatchObject({ ok: false });
  });
});
