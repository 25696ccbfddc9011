import { describe, expect, test } from 'vitest';
import type { Heard } from '../../src/job/heard.js';
import { hear } from '../../src/talk/hear.js';
import { stopWord } from '../../src/talk/stop.js';
import { FLOW, heardAt, input, jobAt } from './setting.js';

/** Stop words and dangers that are part of an answer, a reason or a note, and those that are not. */
const said = (heard: Heard) => (heard.heard === 'text' ? heard.text : heard.heard);

describe('an identifier with a danger word in it', () => {
  test.each(['FIRE-2231', 'SHOCK77', 'STOP-12', 'HALT-7', 'Smoke-4-b', 'FIRE-EX', 'gas2', 'STOP12'])(
    '%s is the serial where a serial is asked',
    (text) => {
      expect(said(heardAt('serial', text))).toBe(text);
      expect(said(heardAt('text', text))).toBe(text);
    },
  );

  test.each([
    'stop',
    'STOP!',
    'stopp',
    'fire',
    'smoke!',
    'stop now',
    'stop-now',
    'stop1',
    'stop!!11',
    's-t-o-p',
  ])('%s freezes at a serial too', (text) => {
    expect(heardAt('serial', text).heard).toBe('stop');
  });

  test('away from a question for one, STOP-12 is obeyed', () => {
    expect(heardAt('confirm', 'STOP-12').heard).toBe('stop');
    expect(heardAt('volts', 'STOP-12').heard).toBe('stop');
    expect(stopWord('STOP-12')).not.toBeNull();
  });
});

describe('the reason of a release', () => {
  const reasons = [
    'coolant did stop by itself',
    'no smoke seen',
    'smoke gone',
    'the stop was a slip',
    'stop',
  ];

  test.each(reasons)('release %s: free text once the job is stopped', (reason) => {
    const heard = heardAt({ at: 'nothing', mode: 'stopped' }, `release ${reason}`);
    expect(heard).toEqual({ heard: 'word', word: 'release', rest: reason });
  });

  test('a danger that is reported in it is heard all the same', () => {
    const heard = heardAt({ at: 'nothing', mode: 'stopped' }, 'release there is smoke again');
    expect(heard).toEqual({ heard: 'stop', danger: 'smoke' });
  });

  test('while nothing is stopped it is asked back like any sentence', () => {
    expect(heardAt('confirm', 'release the stop button').heard).toBe('stop-maybe');
  });
});

describe('a note', () => {
  test.each(['coolant does not stop', 'full stop on the lift jams', 'bump stop worn'])(
    'note %s: kept',
    (text) => {
      expect(heardAt('confirm', `note ${text}`)).toEqual({ heard: 'word', word: 'note', rest: text });
    },
  );

  test.each([
    ['note stop the lift', 'stop-maybe'],
    ['note smoke from under the pack again', 'stop-maybe'],
    ['note the pack is smoking a bit now', 'stop-maybe'],
    ['note there is smoke', 'stop'],
  ])('%s: a danger is not put away as a note', (text, heard) => {
    expect(heardAt('confirm', text).heard).toBe(heard);
  });
});

describe('a danger denied', () => {
  const look = (text: string, ...facts: readonly string[]) =>
    hear(jobAt({ at: 'confirm', what: 'look', facts }), FLOW, input({ is: 'text', text }));

  test.each(['no smoke', 'no smoke, no hiss', 'yes, no smoke', 'there is no smoke'])(
    '%s is a yes to the look that names smoke',
    (text) => {
      expect(look(text, 'calm')).toEqual({ heard: 'yes' });
    },
  );

  test.each<[string, readonly string[]]>([
    ['no smoke', ['car-up']],
    ['no smoke', ['calm', 'car-up']],
    ['no smoke but hot', ['calm']],
    ['no fire', ['calm']],
  ])('%s at a look at %s is neither yes nor no', (text, facts) => {
    expect(look(text, ...facts)).toEqual({ heard: 'unclear', because: 'yes-or-no', detail: '' });
  });

  test('smoke itself freezes at a look, a question about it is asked back', () => {
    expect(look('smoke', 'calm').heard).toBe('stop');
    expect(look('is there no smoke?', 'calm').heard).toBe('stop-maybe');
    expect(look('if no smoke', 'calm').heard).not.toBe('yes');
  });

  test('at a choice it is asked which option, never chosen by the word it denies', () => {
    expect(heardAt('inside', 'no smoke')).toEqual({ heard: 'unclear', because: 'which-option', detail: '' });
    expect(heardAt('confirm', 'no smoke').heard).toBe('stop-maybe');
  });
});

describe('a thumb', () => {
  const thumb = (on: string, at: 'confirm' | 'volts' = 'confirm') =>
    hear(jobAt({ at }), FLOW, input({ is: 'reaction', name: '+1', on }));

  test('on the post that asks is a yes, on an older one it is told that this is done', () => {
    expect(thumb('0700')).toEqual({ heard: 'yes' });
    expect(thumb('0600')).toEqual({ heard: 'unclear', because: 'old-post', detail: '' });
    expect(thumb('0700', 'volts')).toEqual({ heard: 'unclear', because: 'which-word', detail: '' });
  });
});
