import { type FactRule, type Rules, rulesOf, type StepRule } from '../../src/rule/rules.js';

/** A fact as tests write it: what is not said is the plain case. */
export function fact(id: string, kind: FactRule['kind'], more: Partial<FactRule> = {}): FactRule {
  return {
    id,
    kind,
    opening: false,
    restOn: [],
    insteadOf: [],
    canLook: kind === 'state',
    canBeUndone: false,
    clock: kind === 'clock' ? 'after' : null,
    noStop: false,
    ...more,
  };
}

/** A step as tests write it. */
export function step(id: string, more: Partial<StepRule> & { need?: readonly string[] } = {}): StepRule {
  const { need, ...rest } = more;
  return {
    id,
    needs: (need ?? []).map((one) => [[one]]),
    makes: [],
    ends: [],
    when: [],
    sets: null,
    again: false,
    route: 'job',
    ...rest,
  };
}

/** A small make-safe: battery off, loop open, lock, wait, test point, dead test, cap, then work on the bus. */
export function smallMakeSafe(): Rules {
  return rulesOf(
    [
      fact('lv-off', 'state', { opening: true, canBeUndone: true }),
      fact('loop-open', 'state', { opening: true }),
      fact('lock-on', 'state', { opening: true, restOn: ['lv-off', 'loop-open'] }),
      fact('waited', 'clock', { restOn: ['lv-off', 'loop-open'] }),
      fact('test-open', 'state', { opening: true }),
      fact('bus-dead', 'proof', { restOn: ['lock-on'] }),
      fact('work-done', 'state'),
    ],
    [
      step('battery', { makes: ['lv-off', 'waited'] }),
      step('loop', { makes: ['loop-open', 'waited'] }),
      step('lock', { need: ['lv-off', 'loop-open'], makes: ['lock-on'] }),
      step('point', { need: ['waited', 'lock-on'], makes: ['test-open'] }),
      step('dead', { need: ['waited', 'lock-on', 'test-open'], makes: ['bus-dead'] }),
      step('cap', { need: ['test-open'], ends: ['test-open'] }),
      step('work', { need: ['bus-dead'], makes: ['work-done'] }),
      step('back', { need: ['work-done'], ends: ['bus-dead', 'lock-on', 'loop-open', 'lv-off'] }),
    ],
  );
}
