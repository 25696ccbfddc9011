import { beforeAll, describe, expect, test } from 'vitest';
import { printScriptFault } from '../../src/channel/script/grammar.js';
import type { Outcome } from '../../src/channel/script/run.js';
import type { FlowSource } from '../../src/desk/flow-source.js';
import { run, tryOut } from './bench.js';

let flows: FlowSource;
beforeAll(async () => {
  flows = await tryOut();
});

const START = 'mara: start try-out DEMO-1';
const play = (...lines: readonly string[]) => run(lines, flows);

/** What went wrong, as `LINE: problem`. */
const failed = ({ faults, failures }: Outcome) => [
  ...faults.map(printScriptFault),
  ...failures.map(({ line, problem }) => `${line}: ${problem}`),
];
const times = (outcome: Outcome, words: string) =>
  outcome.thread.filter((line) => line.includes(words)).length;

test('a script runs on the demo workshop, in its first bay, from a Monday morning at eight', async () => {
  const outcome = await play(
    START,
    '> Lamp on.',
    'step lamp',
    'mara: ok',
    '08:10',
    '> name it',
    'mara: Sun',
    'done',
  );
  expect(failed(outcome)).toEqual([]);
  expect(outcome.checks).toBe(4);
  expect(outcome.thread.slice(0, 2)).toEqual([
    '-- Bay 1, Mon 2 Mar 2026 --',
    `08:00 mara   ${START.slice(6)}`,
  ]);
});

test('the same script prints the same bytes every time', async () => {
  const lines = [
    START,
    'mara early: ok',
    'mara: ok',
    '+1d',
    'mara: Sun',
    'restart',
    'channel lost',
    'orla: where',
  ];
  expect((await play(...lines)).thread).toEqual((await play(...lines)).thread);
});

describe('time', () => {
  test('wake-ups are run in order on the way, each at its own time', async () => {
    const outcome = await play(START, '08:01 mara: ok', '09:30', '> Time is up');
    expect(failed(outcome)).toEqual([]);
    expect(outcome.thread.some((line) => line.startsWith('08:11 warden Time is up'))).toBe(true);
  });

  test('posts of a wake-up on the way to an act count as posted since that act', async () => {
    expect(failed(await play(START, 'mara: ok', '09:00 orla: where', '> Time is up'))).toEqual([]);
  });

  test('the script begins at the day and time it says, as the clock of the workshop shows it', async () => {
    const outcome = await play('at 2026-07-06 23:55', START, 'mara: ok', '> not before 00:05');
    expect(failed(outcome)).toEqual([]);
    expect(outcome.thread[0]).toBe('-- Bay 1, Mon 6 Jul 2026 --');
  });
});

describe('the same input once more', () => {
  test('has no second effect and no second post', async () => {
    const outcome = await play(
      START,
      'mara: ok',
      '+10m',
      'step name',
      'again',
      'stay',
      'step name',
      '< Lamp',
    );
    expect(failed(outcome)).toEqual([]);
    expect(times(outcome, '(again)')).toBe(1);
    expect(times(outcome, 'Time is up')).toBe(1);
  });

  test('counts back over the inputs, not over the lines', async () => {
    const outcome = await play(START, '+1m', '> x', 'mara: ok', '+10m', 'again 2');
    expect(outcome.thread.at(-1)).toContain('start try-out DEMO-1 (again)');
    expect(times(outcome, 'Try out. Job')).toBe(1);
  });

  test('further back than there were inputs is a failure', async () => {
    expect(failed(await play(START, 'again 2'))).toEqual(['2: There are only 1 inputs so far.']);
  });

  test('has its effect after a disk that did not take it the first time', async () => {
    const outcome = await play(
      START,
      'disk full',
      'mara: ok',
      'stay',
      '> NOT TAKEN',
      'disk ok',
      'again',
      'step warm-up',
    );
    expect(failed(outcome)).toEqual([]);
    expect(times(outcome, 'ok (not kept)')).toBe(1);
  });
});

test('somebody who writes before the newest post was seen is asked once more', async () => {
  const outcome = await play(
    START,
    'mara early: ok',
    'stay',
    'step lamp',
    '> once more',
    'mara: ok',
    'step warm-up',
  );
  expect(failed(outcome)).toEqual([]);
});

test('a tap answers for its owner; a button that is not there fails the line', async () => {
  const tapped = await play(START, 'mara taps ok on lamp', 'step warm-up', 'mara taps Go on');
  expect(failed(tapped)).toEqual(['4: No post in Bay 1 has the button "Go on".']);
});

describe('a restart', () => {
  test('keeps the job and posts nothing', async () => {
    const outcome = await play(
      START,
      'mara: ok',
      'restart',
      '< e',
      'step warm-up',
      '+10m',
      'mara: Sun',
      'done',
    );
    expect(failed(outcome)).toEqual([]);
  });

  test('after the end of a job still knows how it ended', async () => {
    expect(failed(await play(START, 'mara: ok', '+10m', 'mara: Sun', 'restart', 'done'))).toEqual([]);
  });
});

describe('the channel', () => {
  test('down: nothing arrives until it is up, then all of it once', async () => {
    const outcome = await play(
      START,
      'channel down',
      'mara: ok',
      '< Let it',
      'channel up',
      '> Let it get warm',
    );
    expect(failed(outcome)).toEqual([]);
    expect(times(outcome, 'Let it get warm')).toBe(1);
  });

  test('lost: a post that arrived unheard of is not posted twice, over a restart neither', async () => {
    const outcome = await play(
      START,
      'channel lost',
      'mara: ok',
      '> Let it',
      'restart',
      'channel up',
      '+1m',
      'stay',
    );
    expect(failed(outcome)).toEqual([]);
    expect(times(outcome, 'Let it get warm')).toBe(1);
  });
});

describe('threads', () => {
  test('acts go to the thread named last, and checks look at it; to name one is no act', async () => {
    const outcome = await play(
      START,
      'mara: hold lamp cracked',
      'held',
      'bay foreman',
      '> lamp cracked',
      'held',
      'bay 2',
      '< lamp',
    );
    expect(failed(outcome)).toEqual([]);
  });

  test('a bay without a job has none of the job of its neighbour', async () => {
    expect(failed(await play(START, 'bay 2', 'step lamp'))).toEqual(['3: There is no job in bay 2.']);
  });
});

test('a check that fails tells its file, line and words, and the thread so far; the script goes on', async () => {
  const { failures, checks } = await play(
    START,
    '> Lamp off.',
    'mara: ok',
    'step lamp',
    'held',
    'step warm-up',
  );
  expect(checks).toBe(4);
  expect(failures.map(({ file, line, written }) => `${file}:${line}: ${written}`)).toEqual([
    'a.thread:2: > Lamp off.',
    'a.thread:4: step lamp',
    'a.thread:5: held',
  ]);
  expect(failures[0]?.thread.at(-1)).toContain('[OK] [Problem]');
  expect(failures[0]?.thread.join('\n')).not.toContain('Let it get warm');
  expect(failures[1]?.problem).toBe('warm-up is shown, not lamp.');
});

test('with one line that is not understood nothing is run', async () => {
  const outcome = await play(START, 'perhaps');
  expect(outcome).toMatchObject({ checks: 0, failures: [], thread: [], faults: [{ line: 2 }] });
});

test('a workshop that is not there is a fault of its line', async () => {
  const { faults } = await play('shop no-such-folder', START);
  expect(faults[0]).toMatchObject({ file: 'a.thread', line: 1 });
  expect(faults[0]?.problem).toContain('no-such-folder');
});
