import { describe, expect, test } from 'vitest';
import { changesOfDoubt, changesOfLook, changesOfLoss } from '../../src/rule/change.js';
import {
  applyChanges,
  type Course,
  completeStep,
  detourTo,
  factValue,
  newCourse,
  settleNext,
  setValue,
  showStep,
  viewOf,
} from '../../src/rule/course.js';
import { lackingAtAnswer, next } from '../../src/rule/next.js';
import { type Rules, rulesOf, stepAt } from '../../src/rule/rules.js';
import { fact, smallMakeSafe, step } from './bench-job.js';

/** Goes on, all answers good, until the step with this id is shown. */
function walkTo(rules: Rules, course: Course, id: string): void {
  for (let turn = 0; turn < 100; turn++) {
    const what = next(rules, viewOf(rules, course));
    if (what.do === 'show') {
      showStep(rules, course, what.index);
      if (stepAt(rules, what.index).id === id) return;
      completeStep(rules, course, what.index);
    } else if (!settleNext(rules, course, what)) throw new Error(`came to ${what.do} before ${id}`);
  }
  throw new Error(`never came to ${id}`);
}

function ids(rules: Rules, what: ReturnType<typeof next>): unknown {
  if (what.do === 'reopen') return { reopen: what.steps.map((i) => stepAt(rules, i).id), for: what.fact };
  if (what.do === 'look') return { look: what.facts };
  if (what.do === 'show') return { show: stepAt(rules, what.index).id };
  if (what.do === 'wait') return { wait: what.facts };
  return what;
}

const values = (rules: Rules, course: Course) => (id: string) => factValue(rules, course, id);

function doubt(rules: Rules, course: Course, ...facts: string[]): void {
  applyChanges(rules, course, changesOfDoubt(rules, facts, values(rules, course)));
}

describe('which step is shown', () => {
  const rules = smallMakeSafe();

  test('the route is walked in its order, and a running wait is waited for, not opened again', () => {
    const course = newCourse(rules, {}, []);
    walkTo(rules, course, 'lock');
    completeStep(rules, course, 2);
    expect(ids(rules, next(rules, viewOf(rules, course)))).toEqual({ wait: ['waited'] });
    setValue(rules, course, 'waited', 'stands');
    expect(ids(rules, next(rules, viewOf(rules, course)))).toEqual({ show: 'point' });
  });

  test('a dead test that lapsed is made again by its own gate, test point opened and capped around it', () => {
    const course = newCourse(rules, {}, []);
    walkTo(rules, course, 'work');
    doubt(rules, course, 'bus-dead');
    expect(ids(rules, next(rules, viewOf(rules, course)))).toEqual({ reopen: ['dead'], for: 'bus-dead' });
    settleNext(rules, course, next(rules, viewOf(rules, course)));
    expect(ids(rules, next(rules, viewOf(rules, course)))).toEqual({
      reopen: ['point', 'cap'],
      for: 'test-open',
    });
    expect(detourTo(rules, course, 6)).toBe(3);
  });

  test('states in doubt are looked at before anything is proved again, all due in one look, grounds first', () => {
    const course = newCourse(rules, {}, []);
    walkTo(rules, course, 'work');
    doubt(rules, course, 'lv-off', 'loop-open', 'lock-on', 'bus-dead');
    expect(ids(rules, next(rules, viewOf(rules, course)))).toEqual({
      look: ['lv-off', 'loop-open', 'lock-on'],
    });
    applyChanges(
      rules,
      course,
      changesOfLook(rules, ['lv-off', 'loop-open', 'lock-on'], values(rules, course)),
    );
    expect(ids(rules, next(rules, viewOf(rules, course)))).toEqual({ reopen: ['dead'], for: 'bus-dead' });
  });

  test('a battery reported back on sends the job back to the battery, and the wait starts afresh', () => {
    const course = newCourse(rules, {}, []);
    walkTo(rules, course, 'work');
    applyChanges(rules, course, changesOfLoss(rules, ['lv-off'], values(rules, course)));
    expect(factValue(rules, course, 'waited')).toBe('gone');
    expect(factValue(rules, course, 'lock-on')).toBe('doubt');
    expect(factValue(rules, course, 'bus-dead')).toBe('doubt');
    expect(ids(rules, next(rules, viewOf(rules, course)))).toEqual({ reopen: ['battery'], for: 'lv-off' });
    settleNext(rules, course, next(rules, viewOf(rules, course)));
    walkTo(rules, course, 'battery');
    completeStep(rules, course, 0);
    expect(factValue(rules, course, 'waited')).toBe('running');
    expect(ids(rules, next(rules, viewOf(rules, course)))).toEqual({ look: ['lock-on'] });
  });

  test('a wait in doubt with its ground revives with its instant when a look finds the ground unchanged', () => {
    const course = newCourse(rules, {}, []);
    walkTo(rules, course, 'point');
    doubt(rules, course, 'lv-off');
    expect(factValue(rules, course, 'waited')).toBe('stands');
    applyChanges(rules, course, changesOfLook(rules, ['lv-off', 'lock-on'], values(rules, course)));
    expect(ids(rules, next(rules, viewOf(rules, course)))).toEqual({ show: 'point' });
  });

  test('what a step ends itself is asked for when it is shown and not when it is answered', () => {
    const course = newCourse(rules, {}, []);
    walkTo(rules, course, 'cap');
    expect(factValue(rules, course, 'test-open')).toBe('doubt');
    expect(lackingAtAnswer(rules, viewOf(rules, course), 5)).toBeNull();
    expect(ids(rules, next(rules, viewOf(rules, course)))).toEqual({ look: ['test-open'] });
  });

  test('what a step displaces by standing instead of it is asked for when shown and not when answered', () => {
    const swap = rulesOf(
      [
        fact('off', 'state', { insteadOf: ['on'] }),
        fact('on', 'state', { insteadOf: ['off'] }),
        fact('tag', 'proof', { restOn: ['off'] }),
      ],
      [
        step('take-off', { makes: ['off'] }),
        step('tagged', { need: ['off'], makes: ['tag'] }),
        step('put-on', { need: ['off', 'tag'], makes: ['on'] }),
      ],
    );
    const course = newCourse(swap, {}, []);
    walkTo(swap, course, 'put-on');
    expect(factValue(swap, course, 'off')).toBe('doubt');
    expect(lackingAtAnswer(swap, viewOf(swap, course), 2)).toBeNull();
    expect(ids(swap, next(swap, viewOf(swap, course)))).toEqual({ look: ['off'] });
    completeStep(swap, course, 2);
    expect(factValue(swap, course, 'off')).toBe('gone');
  });

  test('a step reached for the first time whose facts all stand is closed unshown, a physical act is not', () => {
    const once = rulesOf(
      [fact('a', 'state')],
      [step('first', { makes: ['a'] }), step('second', { makes: ['a'] })],
    );
    const course = newCourse(once, {}, []);
    walkTo(once, course, 'first');
    completeStep(once, course, 0);
    expect(next(once, viewOf(once, course)).do).toBe('close');
    const twice = rulesOf(
      [fact('a', 'state')],
      [step('first', { makes: ['a'] }), step('second', { makes: ['a'], again: true })],
    );
    const other = newCourse(twice, {}, []);
    walkTo(twice, other, 'first');
    completeStep(twice, other, 0);
    expect(ids(twice, next(twice, viewOf(twice, other)))).toEqual({ show: 'second' });
  });

  test('a need with two ways is met by a gap where the proof is gone', () => {
    const gap = rulesOf(
      [fact('bus-dead', 'proof'), fact('plugs-apart', 'state'), fact('sockets-nil', 'proof')],
      [
        step('dead', { makes: ['bus-dead'] }),
        step('plugs', { need: ['bus-dead'], makes: ['plugs-apart'] }),
        step('sockets', { need: ['plugs-apart'], makes: ['sockets-nil'] }),
        step('open', { needs: [[['bus-dead'], ['plugs-apart', 'sockets-nil']]] }),
      ],
    );
    const course = newCourse(gap, {}, []);
    walkTo(gap, course, 'open');
    doubt(gap, course, 'bus-dead');
    expect(ids(gap, next(gap, viewOf(gap, course)))).toEqual({ show: 'open' });
    doubt(gap, course, 'sockets-nil');
    expect(ids(gap, next(gap, viewOf(gap, course)))).toEqual({ reopen: ['sockets'], for: 'sockets-nil' });
  });

  test('nothing that can bring a fact back is a dead end, not a guess', () => {
    const lost = rulesOf([fact('a', 'proof')], [step('only', { need: ['a'] })]);
    expect(next(lost, viewOf(lost, newCourse(lost, {}, [])))).toEqual({ do: 'stuck', fact: 'a', index: 0 });
  });
});

describe('an answer to a step that ends what it needs', () => {
  const rules = rulesOf(
    [fact('lock', 'state', { canLook: true }), fact('clear', 'proof', { restOn: ['lock'] })],
    [
      step('lock', { makes: ['lock'] }),
      step('gate', { needs: [[['lock']]], makes: ['clear'] }),
      step('measure', { needs: [[['clear']]], ends: ['clear'] }),
    ],
  );

  test('is taken though showing the step put that in doubt', () => {
    const course = newCourse(rules, {}, []);
    walkTo(rules, course, 'measure');
    expect(lackingAtAnswer(rules, viewOf(rules, course), 2)).toBeNull();
  });

  test('is not taken when the lock that it rests on came off meanwhile', () => {
    const course = newCourse(rules, {}, []);
    walkTo(rules, course, 'measure');
    applyChanges(rules, course, changesOfLoss(rules, ['lock'], values(rules, course)));
    expect(lackingAtAnswer(rules, viewOf(rules, course), 2)).not.toBeNull();
  });
});
