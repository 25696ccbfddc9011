import { describe, expect, test } from 'vitest';
import type { Heard } from '../../src/job/heard.js';
import { Bench, to } from './say-bench.js';
import { benchFlow } from './say-flow.js';

const flow = benchFlow();

/** The bench job at this step. */
function at(step: string): Bench {
  const bench = new Bench(flow);
  bench.untilStep(step);
  return bench;
}

/** A look at everything, after a long pause. */
function atLook(): Bench {
  const bench = at('box-off');
  bench.says('mara', 'pause');
  bench.later(20);
  bench.says('mara', 'resume');
  return bench;
}

const unclear = (because: Extract<Heard, { heard: 'unclear' }>['because'], detail = ''): Heard => ({
  heard: 'unclear',
  because,
  detail,
});

describe('what is asked back says what to do', () => {
  test('done at a reading: the number is asked by its name and unit', () => {
    expect(to(at('gap').says('mara', 'done'), 'bay')).toBe('A number is asked: volts across the gap, in V.');
  });

  test('done at a dead test: five numbers are asked', () => {
    expect(to(at('dead').says('mara', 'done'), 'bay')).toBe('Five numbers are asked, in V, in one message.');
  });

  test('OL at a reading is said back, since a meter showed it', () => {
    const post = to(at('gap').says('mara', 'OL', { heard: 'no-number', word: 'OL' }), 'bay');
    expect(post).toBe('No number heard in "OL".\nOL and dashes are not zero. The number again.');
  });

  test('a look that something else answers is asked again as a yes or a no', () => {
    const post = to(atLook().says('mara', 'hmm', unclear('yes-or-no')), 'bay');
    expect(post.startsWith('YES or NO?\nLook at all of these:')).toBe(true);
    expect(post.endsWith('All so? Yes or no.')).toBe(true);
  });

  test('both ways to read one point or comma are said', () => {
    const post = to(at('gap').says('mara', '1,200', unclear('kilo-or-not', '1.2, 1200')), 'bay');
    expect(post).toBe('1.2 or 1200?\nThe number again with its unit, without a sign for thousands.');
  });

  test('a thumb on a post that is done says what is asked now', () => {
    const post = to(at('box-off').says('mara', 'x', unclear('old-post')), 'bay');
    expect(post).toBe('That post is done. Now: Insulated socket: box open.');
  });

  test('a value without its source is asked for page or plate', () => {
    const bench = new Bench(flow, 'mara', {}, ['vehicle.battery-place']);
    bench.until((job) => job.missing !== null);
    const post = to(bench.says('orla', 'value battery-place boot'), 'bay');
    expect(post).toBe('The source is missing: page or plate.\nThe same again, with the source after it.');
  });
});

describe('what the foreman reads', () => {
  test('a value out of limits is said once, with the tester that read it', () => {
    const bench = at('gap');
    bench.says('mara', '12 V');
    bench.later(1);
    const post = to(bench.says('mara', '12 V'), 'foreman');
    expect(post.match(/Out of limits/g)).toHaveLength(1);
    expect(post).toMatch(
      /^Out of limits at \d\d:\d\d: not dead yet\..*Gap 12 V, at most 5 V\. With tester T1\.$/m,
    );
  });

  test('what only a shown step would have opened is perhaps open, once answered it is open', () => {
    const shown = at('box-off');
    expect(to(shown.says('mara', 'hold why'), 'foreman')).toContain('own lock on. Perhaps open: box open.');
    const answered = at('gap');
    expect(to(answered.says('mara', 'hold why'), 'foreman')).toContain('own lock on, box open.');
  });
});

describe('signs at the end of a sentence', () => {
  test('a step whose text is a question ends with its own sign', () => {
    const bench = new Bench(flow);
    expect(to(bench.says('mara', 'where'), 'bay')).toContain(': Inside: dry or wet?\n');
    expect(bench.said.flatMap(({ post }) => post.lines.flat()).join(' ')).not.toContain('?.');
  });
});
