import { describe, expect, test } from 'vitest';
import { type Event, type Sighted, WATCH_VERDICTS } from '../../src/job/event.js';
import { UNCLEAR } from '../../src/job/heard.js';
import type { Refusal } from '../../src/job/refusal.js';
import type { Post } from '../../src/talk/post.js';
import { say, sayQuestion } from '../../src/talk/say.js';
import { Bench, MORNING, printed, printLine, realFlows } from './say-bench.js';
import { benchFlow } from './say-flow.js';

const flow = benchFlow();
const at = MORNING + 60 * 60_000;
const who = { by: 'mara', name: 'Mara Tillet', at };
const volts = { value: 0.3, unit: 'V' } as const;
const reading = { quantity: volts, assumedUnit: true, bound: null, at };

const ml = { quantity: { value: 120, unit: 'ml' }, assumedUnit: true, bound: null, at } as const;
const SIGHTED: readonly Sighted[] = [
  { is: 'stands', reading: ml, bubbles: null },
  { is: 'stands', reading: ml, bubbles: true },
  { is: 'added', reading: ml },
  { is: 'emptied', reading: ml },
  { is: 'emptied', reading: null },
  { is: 'nothing-more' },
  { is: 'bubbles', seen: true },
];

/** One of every type; a type that is added without one does not compile. */
const EVENTS: { readonly [T in Event['type']]: readonly (Event & { readonly type: T })[] } = {
  'job-started': [
    {
      type: 'job-started',
      job: 'DEMO-2603-002',
      number: '2603-002',
      flow: 'bench-job',
      bundle: 'b',
      bay: '2',
      car: { registration: 'DEMO-1', model: 'teasel', odometerKm: null, kmPerYear: null },
      zone: 'UTC',
      holder: 'mara',
      name: 'Mara Tillet',
      at,
      values: {},
      choices: {},
      given: [],
      emergency: [],
    },
  ],
  'step-shown': (['next', 'detour', 'afresh'] as const).map((why) => ({
    type: 'step-shown',
    step: 'gap',
    front: 'gap',
    visit: 9,
    at,
    word: null,
    why,
    plan: null,
    changes: [{ fact: 'cured', to: 'running', at: at + 7_200_000, starts: true }],
  })),
  watched: SIGHTED.flatMap((sighted) =>
    WATCH_VERDICTS.map((verdict) => ({
      type: 'watched' as const,
      step: 'gap',
      visit: 9,
      of: 'spill',
      sighted,
      words: '120',
      saidAt: at,
      outcome: {
        verdict,
        total: { ...reading, quantity: { value: 20_120.5, unit: 'ml' } },
        rate: { value: 1234.5, unit: 'ml/min' },
        tail: {
          end: { value: 20_200, unit: 'ml' },
          from: { value: 20_150, unit: 'ml' },
          to: { value: 20_300, unit: 'ml' },
        },
      },
      saidFor: 'mara',
      ...who,
    })),
  ),
  'watched-taken-back': [{ type: 'watched-taken-back', step: 'gap', of: 'spill', ...who }],
  'watch-asked': [1, 2, 3].map((times) => ({
    type: 'watch-asked',
    step: 'gap',
    of: 'spill',
    visit: 9,
    times,
    at,
  })),
  answered: [
    {
      type: 'answered',
      step: 'gap',
      visit: 9,
      ask: 0,
      answer: { ask: 'confirm', photo: null },
      saidFor: null,
      ...who,
    },
    {
      type: 'answered',
      step: 'gap',
      visit: 9,
      ask: 0,
      answer: { ask: 'reading', name: 'gap', reading },
      saidFor: 'mara',
      ...who,
    },
    {
      type: 'answered',
      step: 'dead',
      visit: 9,
      ask: 0,
      answer: { ask: 'dead-test', name: 'dead', readings: [reading] },
      saidFor: null,
      ...who,
    },
  ],
  judged: (['passed', 'again', 'hold', 'stop'] as const).map((verdict) => ({
    type: 'judged',
    step: 'gap',
    verdict,
    because: verdict === 'passed' ? 'in-limits' : 'a-code-of-its-own',
    figures: [{ name: 'gap', quantity: volts, min: volts, max: { value: 5, unit: 'V' } }],
    at,
  })),
  'step-completed': [
    {
      type: 'step-completed',
      step: 'dead',
      visit: 8,
      shownAt: at,
      gate: {
        word: 'LANTERN',
        words: 'lantern',
        competence: null,
        second: null,
        gear: [],
        visit: 8,
        shownAt: at,
      },
      gear: [],
      choice: null,
      changes: [{ fact: 'bus-dead', to: 'stands' }],
      ...who,
    },
  ],
  'step-closed': [{ type: 'step-closed', step: 'dead', front: 'dead', facts: ['bus-dead', 'lock-on'], at }],
  'steps-reopened': [
    {
      type: 'steps-reopened',
      steps: ['dead'],
      fact: 'bus-dead',
      because: 'away',
      forStep: 'gap',
      detour: 3,
      at,
    },
    {
      type: 'steps-reopened',
      steps: ['gap'],
      fact: null,
      because: 'value',
      forStep: 'gap',
      detour: null,
      at,
    },
  ],
  'visit-ended': (['silence', 'lapse', 'correction'] as const).map((because) => ({
    type: 'visit-ended',
    step: 'dead',
    because,
    at,
  })),
  'look-asked': [
    { type: 'look-asked', facts: ['lead-off'], forStep: 'gap', visit: 9, which: false, at },
    { type: 'look-asked', facts: ['lead-off', 'lock-on'], forStep: 'gap', visit: 9, which: true, at },
  ],
  looked: [
    { type: 'looked', facts: ['lead-off'], found: true, changes: [], ...who },
    {
      type: 'looked',
      facts: ['lead-off'],
      found: false,
      changes: [{ fact: 'lead-off', to: 'gone' }],
      ...who,
    },
  ],
  waiting: [{ type: 'waiting', step: 'cure', facts: ['cured'], until: at + 7_200_000, at }],
  doubted: (
    ['away', 'pause', 'unattended', 'hold', 'stop', 'silence', 'tester-failed', 'shift-end'] as const
  ).map((cause) => ({ type: 'doubted', cause, at, changes: [{ fact: 'bus-dead', to: 'doubt' }] })),
  alarmed: [
    {
      type: 'alarmed',
      step: 'gap',
      because: 'may-be-in-the-pack',
      facts: ['lead-off'],
      at,
      changes: [{ fact: 'lead-off', to: 'gone' }],
    },
  ],
  'balance-left': [
    { type: 'balance-left', step: 'gap', reason: 'tray emptied by the night shift', inMl: 520, ...who },
    { type: 'balance-left', step: 'gap', reason: 'jug not read', inMl: null, ...who },
  ],
  undone: [
    { type: 'undone', facts: [], changes: [], ...who },
    { type: 'undone', facts: ['lead-off'], changes: [{ fact: 'bus-dead', to: 'gone' }], ...who },
  ],
  'deadline-passed': [
    { type: 'deadline-passed', fact: 'cured', at, changes: [{ fact: 'box-shut', to: 'gone' }] },
  ],
  'clock-due': [{ type: 'clock-due', fact: 'cured', at, changes: [{ fact: 'cured', to: 'stands' }] }],
  'clock-moved': [
    {
      type: 'clock-moved',
      because: 'air',
      at,
      changes: [{ fact: 'cured', to: 'running', at: at + 90_000_000 }],
    },
  ],
  refused: [{ type: 'refused', refusal: { why: 'tap' }, step: 'dead', counts: true, ...who }],
  'standby-named': [{ type: 'standby-named', person: 'tamsin', by: 'mara', name: 'Tamsin Roake', at }],
  'check-in-asked': [{ type: 'check-in-asked', person: 'tamsin', at }],
  'checked-in': [{ type: 'checked-in', person: 'tamsin', at }],
  'still-there-asked': [{ type: 'still-there-asked', fact: 'bus-dead', lapsesAt: at + 300_000, at }],
  'heard-from': [{ type: 'heard-from', person: 'mara', at }],
  'shift-noted': [{ type: 'shift-noted', endsAt: null, at }],
  'mode-changed': (
    [
      ['paused', 'working', ''],
      ['working', 'paused', ''],
      ['held', 'working', 'dead: a-code'],
      ['held', 'working', 'cannot compute cured'],
      ['held', 'working', 'nothing brings back bus-dead'],
      ['working', 'held', 'looked at'],
      ['stopped', 'working', 'smoke'],
      ['working', 'stopped', 'false alarm'],
      ['handing-over', 'working', ''],
      ['working', 'handing-over', ''],
      ['parking', 'working', ''],
      ['parking', 'held', ''],
      ['parked', 'parking', ''],
      ['working', 'parked', ''],
      ['catching-up', 'working', ''],
      ['done', 'working', ''],
    ] as const
  ).map(([to, from, reason]) => ({ type: 'mode-changed', to, from, reason, ...who })),
  'stop-called': (['fire', 'smoke', 'shock', 'hurt', 'man-down', 'gas', null] as const).map((danger) => ({
    type: 'stop-called',
    danger,
    step: danger === null ? null : 'dead',
    ...who,
  })),
  'park-asked': [
    // biome-ignore lint/suspicious/noThenProperty: the journal's own word
    { type: 'park-asked', then: 'parked', landing: true, ...who },
    // biome-ignore lint/suspicious/noThenProperty: the journal's own word
    { type: 'park-asked', then: 'called-off', landing: false, ...who },
  ],
  'parking-begun': [{ type: 'parking-begun', choices: {}, shelved: [], parkSteps: [], at }],
  'parking-ended': [
    { type: 'parking-ended', done: true, open: ['box-open'], at },
    { type: 'parking-ended', done: false, open: [], at },
  ],
  'hand-over-offered': [{ type: 'hand-over-offered', to: 'jory', toName: 'Jory Pask', ...who }],
  'holder-changed': [
    {
      type: 'holder-changed',
      from: 'mara',
      to: 'jory',
      locked: true,
      competence: [],
      at,
      name: 'Jory Pask',
      changes: [],
    },
  ],
  'old-lock-off': [
    { type: 'old-lock-off', owner: 'mara', removed: null, ...who },
    { type: 'old-lock-off', owner: 'jory', removed: 'in hospital', ...who },
  ],
  'catch-up-offered': [
    { type: 'catch-up-offered', to: 'bolts', foreman: false, ...who },
    { type: 'catch-up-offered', to: 'bolts', foreman: true, ...who },
  ],
  'caught-up': [
    {
      type: 'caught-up',
      to: 'bolts',
      front: 'gap',
      closed: ['dead', 'gap'],
      agreed: ['mara', 'orla'],
      changes: [],
      ...who,
    },
  ],
  noted: [
    { type: 'noted', text: 'a note', photo: null, step: null, ...who },
    { type: 'noted', text: '', photo: 'abc', step: 'gap', ...who },
  ],
  'air-logged': [{ type: 'air-logged', celsius: 12.5, percentRh: 40, ...who }],
  'figures-kept': [{ type: 'figures-kept', figures: [], at }],
  'value-missing': [{ type: 'value-missing', key: 'vehicle.cover-torque', step: 'bolts', at }],
  'value-set': [false, true].map((adopted) => ({
    type: 'value-set',
    key: 'vehicle.new-one',
    value: { quantity: volts, text: null, reference: 'manual 1', enteredBy: 'Orla' },
    adopted,
    ...who,
  })),
  'values-loaded': [{ type: 'values-loaded', values: {}, at }],
  'told-about': (['where', 'why', 'list', 'help', 'numbers'] as const).map((what) => ({
    type: 'told-about',
    what,
    ...who,
  })),
  'told-danger': [
    { type: 'told-danger', danger: 'smoke', bay: '1', at },
    { type: 'told-danger', danger: 'tank leaks', bay: 'Bay 3', at },
  ],
  'gear-taken': [
    {
      type: 'gear-taken',
      gear: [
        {
          id: 'W2',
          kind: 'wrench',
          label: 'Wrench',
          serial: 'Q-2',
          tested: '2025-10-13',
          months: 12,
          gloveClass: null,
          until: '2026-10-13',
        },
      ],
      by: 'mara',
      name: 'Mara Tillet',
      at,
    },
  ],
  'answer-taken-back': [
    { type: 'answer-taken-back', step: 'gap', ask: 0, by: 'mara', name: 'Mara Tillet', at },
  ],
  'told-gear': [{ type: 'told-gear', gear: 'T1', bay: '1', at }],
  'told-value': [{ type: 'told-value', key: 'vehicle.nothing-here', value: null, bay: '1', at }],
  summoned: (
    [
      ['stop', ''],
      ['danger-elsewhere', ''],
      ['hold', 'gap: too-high'],
      ['gate-refused', 'dead'],
      ['out-of-limits', 'gap: too-high'],
      ['deadline', 'cured'],
      ['check-in', 'tamsin'],
      ['exposed', 'standby-here'],
      ['stranger', 'Kim'],
      ['value-missing', 'vehicle.cover-torque'],
      ['value-changed', 'vehicle.nothing-here'],
      ['tester-out', ''],
      ['level', 'Pip Lorne 1S'],
      ['lock', 'Mara Tillet'],
    ] as const
  ).flatMap(([what, detail]) =>
    (['foreman', 'shop'] as const).map((to) => ({ type: 'summoned', what, to, detail, at })),
  ),
  'step-left-out': [{ type: 'step-left-out', step: 'gap', reason: 'camera broken', ...who }],
  'job-ended': (['done', 'called-off'] as const).map((how) => ({
    type: 'job-ended',
    how,
    open: how === 'done' ? [] : ['box-open'],
    due: [
      { what: 'fuse', on: '2034-03-01', atKm: null, rule: 'own-cell-from-manufacture' },
      { what: 'seal-look', on: '2028-03-01', atKm: 60_000, rule: 'months' },
      { what: 'fuse', on: null, atKm: null, rule: 'loop-fed-no-interval' },
    ],
    ...who,
  })),
};

/** Every reason for not taking an answer. */
const REFUSALS: { readonly [W in Refusal['why']]: Refusal & { readonly why: W } } = {
  'not-holder': { why: 'not-holder', holder: 'Mara Tillet' },
  'not-registered': { why: 'not-registered' },
  'not-foreman': { why: 'not-foreman' },
  stale: { why: 'stale' },
  'not-delivered': { why: 'not-delivered' },
  'wrong-word': { why: 'wrong-word', near: true },
  'habit-word': { why: 'habit-word' },
  tap: { why: 'tap' },
  'left-out': { why: 'left-out' },
  marked: { why: 'marked', mark: 'forwarded' },
  'readings-first': { why: 'readings-first' },
  'second-first': { why: 'second-first' },
  'own-witness': { why: 'own-witness' },
  'not-second': { why: 'not-second', second: null },
  level: { why: 'level', person: 'Pip Lorne', level: '2S', until: null },
  gear: { why: 'gear', kind: 'wrench', id: 'W3', because: 'below-range', instead: [] },
  'shift-end': { why: 'shift-end', needMinutes: 30, leftMinutes: 12 },
  'no-stop': { why: 'no-stop' },
  waiting: { why: 'waiting', until: at },
  'nothing-asked': { why: 'nothing-asked' },
  'value-missing': { why: 'value-missing', key: 'vehicle.cover-torque' },
  held: { why: 'held', mode: 'held' },
  mode: { why: 'mode', mode: 'paused' },
  'photo-first': { why: 'photo-first' },
  'unknown-person': { why: 'unknown-person', said: 'Bob the '.repeat(40) },
  'unknown-gear': { why: 'unknown-gear', said: '', kinds: ['gloves', 'tester'] },
  'unknown-value': { why: 'unknown-value', said: 'x' },
  'out-of-date': { why: 'out-of-date', what: 'MS4-1', on: '2026-01-01' },
  'standby-elsewhere': { why: 'standby-elsewhere', bay: '1' },
  'reason-needed': { why: 'reason-needed' },
  'source-needed': { why: 'source-needed' },
  'asked-afresh': { why: 'asked-afresh' },
  'own-hold': { why: 'own-hold' },
  window: { why: 'window', minutes: 10 },
  implausible: { why: 'implausible', value: 900, unit: '°C', from: -20, to: 50 },
  unclear: { why: 'unclear', because: 'two-numbers', detail: '118, 12' },
  'stop-maybe': { why: 'stop-maybe', danger: null },
  'not-settled': { why: 'not-settled', until: 'spill-still' },
  'went-down': { why: 'went-down', stood: { value: 200, unit: 'ml' } },
  'emptied-at': { why: 'emptied-at' },
  'said-before': { why: 'said-before', last: at },
  'edit-kept': { why: 'edit-kept', kept: '0.3 V' },
  'old-lock': { why: 'old-lock', owner: 'Mara Tillet' },
  differs: { why: 'differs', said: 'X-2', before: 'X-1' },
  'wrong-kind': { why: 'wrong-kind', key: 'vehicle.tight-start', said: '10 min' },
  'word-elsewhere': { why: 'word-elsewhere', bay: '1' },
};

const midway = () => {
  const b = new Bench(flow);
  b.untilStep('gap');
  return b.job;
};
const job = midway();

/** What no post may have, whatever it tells. */
function checkPost(post: Post): void {
  const text = printed(post);
  expect(text).not.toMatch(/undefined|\bnull\b|\[object|NaN/);
  // Proved, when, by whom, with what: never a judgement that nothing can happen.
  expect(text).not.toMatch(/\bSAFE\b/);
  expect(text, 'two signs at the end of a sentence').not.toMatch(/[?:…]\.(?:\s|$)|(?<!\.)\.\.(?:\s|$)/);
  for (const line of post.lines) expect(printLine(line).length, printLine(line)).toBeLessThanOrEqual(160);
  expect(post.lines.length).toBeGreaterThan(0);
  expect(post.buttons.length).toBeLessThanOrEqual(3);
  for (const button of post.buttons) expect(button.label.length).toBeLessThanOrEqual(15);
  if (/Type or say: [A-Z]+$/m.test(text)) expect(post.buttons).toEqual([]);
}

function checkAll(posts: readonly Post[]): void {
  for (const post of posts) checkPost(post);
  const threads = posts.map((post) => post.to);
  expect(new Set(threads).size, 'one post per thread').toBe(threads.length);
}

describe('whatever was concluded', () => {
  test.each(Object.entries(EVENTS))('%s is told in clean words, one post per thread', (_type, samples) => {
    expect(samples.length).toBeGreaterThan(0);
    for (const event of samples) checkAll(say(job, flow, [event]));
  });

  test('events that come together make one post per thread all the same', () => {
    checkAll(say(job, flow, Object.values(EVENTS).flat()));
  });

  test.each(Object.values(REFUSALS))('a refusal for $why is one or two lines', (refusal) => {
    const posts = say(job, flow, [{ type: 'refused', refusal, step: 'gap', counts: true, ...who }]);
    checkAll(posts);
    const bay = posts.find((post) => post.to === 'bay');
    const question = refusal.why === 'stale' ? 2 : 0;
    expect(bay?.lines.length).toBeGreaterThanOrEqual(1);
    expect(bay?.lines.length).toBeLessThanOrEqual(2 + question);
  });

  test.each(UNCLEAR)('a message that is unclear for %s is asked back in one or two lines', (because) => {
    for (const detail of ['', '4, 5', 'some words', 'x'.repeat(400)]) {
      const refusal: Refusal = { why: 'unclear', because, detail };
      const posts = say(job, flow, [{ type: 'refused', refusal, step: 'gap', counts: false, ...who }]);
      checkAll(posts);
      // A look is put once more; the question is not counted.
      const question = because === 'yes-or-no' ? 2 : 0;
      // What may have been undone has hands come out first.
      const still = because === 'undone-or-not' ? 1 : 0;
      if (detail.length < 20) expect(posts[0]?.lines.length).toBeLessThanOrEqual(2 + question + still);
    }
  });

  test('a stop card stands before everything else in its post', () => {
    const events = [...EVENTS.judged, ...EVENTS.answered, ...EVENTS['stop-called'].slice(1, 2)];
    const bay = say(job, flow, events).find((post) => post.to === 'bay');
    expect(bay?.kind).toBe('card');
    expect(bay?.lines[0]).toEqual(['STOP: Smoke']);
  });

  test('every post of a whole job, held, stopped, handed over and parked on the way, is clean', () => {
    const b = new Bench(flow);
    b.untilStep('loop');
    b.says('mara', 'pause');
    b.later(20);
    b.says('mara', 'resume');
    b.untilStep('dead');
    b.says('mara', '400 386 0 0 400 V');
    b.untilStep('box-off');
    b.says('wilf', 'hold odd noise');
    b.untilStep('gap');
    b.says('mara', 'hand over Jory');
    b.untilStep('gap');
    b.says('jory', 'park');
    b.until(({ mode }) => mode === 'parked');
    b.until(() => false);
    expect(b.job.mode).toBe('done');
    expect(b.said.length).toBeGreaterThan(60);
    for (const { post } of b.said) checkPost(post);
    const words = b.said.filter(({ post }) => /Type or say: [A-Z]+$/m.test(printed(post)));
    expect(words.length).toBeGreaterThan(5);
    const asked = b.said.filter(({ post }) => post.kind === 'question' && post.visit !== null);
    expect(asked.length).toBeGreaterThan(30);
  });

  test('inside a stretch without a place to stop the card says: get clear, do not lower', () => {
    const facts = flow.rules.facts.map((fact) => ({ ...fact, noStop: fact.id === 'box-open' }));
    const hanging = { ...flow, rules: { ...flow.rules, facts } };
    const stop = EVENTS['stop-called'].slice(-1);
    const text = (of: typeof flow) => printed(say(job, of, stop).find((post) => post.to === 'bay'));
    expect(text(hanging)).toContain('Get clear. Do not lower, do not lift');
    expect(text(flow)).not.toContain('Do not lower');
  });

  test('every question of every flow of this repository is clean, and short enough for one glance', () => {
    let questions = 0;
    for (const real of realFlows) {
      for (const step of real.steps) {
        step.asks.forEach((ask, index) => {
          const answers = Array.from({ length: index }, () => ({
            answer: { ask: 'confirm', photo: null } as const,
            by: 'mara',
            at,
          }));
          const word = ask.ask === 'word' ? (ask.words[0] ?? null) : null;
          const open = { what: 'step', step: step.id, facts: [], visit: 3, shownAt: at, lastAt: at } as const;
          const asked = { ...open, answers, seq: 9, word, plan: null, ended: false, silent: false };
          const post = sayQuestion({ ...job, asked }, real);
          if (post === null) throw new Error(`${real.id}: ${step.id} asks nothing`);
          checkPost(post);
          expect(post.lines.length, printed(post)).toBeLessThanOrEqual(10);
          questions++;
        });
      }
    }
    expect(questions).toBeGreaterThan(100);
  });
});
