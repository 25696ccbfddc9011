import { describe, expect, test } from 'vitest';
import { CAUTIONS } from '../../src/record/cautions.js';
import { fullForm } from '../../src/record/full.js';
import { shortForm } from '../../src/record/short.js';
import { type Summary, summaryOf } from '../../src/record/summary.js';
import { Bench, printLine } from '../talk/say-bench.js';
import { benchFlow } from '../talk/say-flow.js';

const flow = benchFlow();
const at = (ms: number) => new Date(ms).toISOString().slice(11, 16);

/** A day with a long pause, a test taken again, a hold, a handover, a park, and then the end. */
function longDay(): Bench {
  const b = new Bench(flow);
  b.untilStep('loop');
  b.says('mara', 'pause');
  b.later(20);
  b.says('mara', 'resume');
  b.untilStep('dead');
  b.says('mara', '400 22 0 0 400 V');
  b.says('mara', 'ok');
  b.untilStep('gap');
  b.says('mara', '0.3');
  b.says('wilf', 'hold odd noise');
  b.untilStep('bolts');
  b.says('mara', 'hand over Jory');
  b.untilStep('part');
  b.says('jory', 'park');
  b.until(({ mode }) => mode === 'parked');
  b.later(60);
  b.until(({ waitingFor }) => waitingFor?.step === 'cure');
  b.says('jory', 'air 12 40');
  b.says('jory', 'note scratch on the sill');
  b.until(() => false);
  return b;
}

const day = longDay();
const summary: Summary = summaryOf(day.job, flow, day.lines);
const full = fullForm(summary, at);

describe('the record of a job', () => {
  test('says that a cure was stopped, and by what air', () => {
    const now = day.job.now;
    const stopped = { because: 'too-cold', since: now };
    const event = {
      type: 'clock-moved',
      because: 'air',
      at: now,
      changes: [{ fact: 'cured', to: 'running', stopped }],
    } as const;
    const line = {
      seq: 999,
      at: now,
      by: 'jory',
      name: 'Jory Pask',
      words: '',
      via: 'bench',
      events: [event],
    };
    const told = summaryOf(day.job, flow, [...day.lines, line]).incidents.map(({ what }) => what);
    expect(told).toContain('cure stopped, too cold for the formula, the time does not count: sealant cured');
  });

  test('says who was in charge at every instant, without a gap', () => {
    expect(summary.holders.map(({ name }) => name)).toEqual(['Mara Tillet', 'Jory Pask']);
    expect(summary.holders[0]?.from).toBe(day.job.startedAt);
    expect(summary.holders[0]?.to).toBe(summary.holders[1]?.from);
    expect(summary.holders[1]?.to).toBe(day.job.endedAt);
  });

  test('has every passing of a gate with the words typed, people, gear in date and all five readings', () => {
    const dead = summary.gates.filter((gate) => gate.step === 'dead');
    expect(dead).toHaveLength(3);
    const last = dead.at(-1);
    expect(last).toMatchObject({
      by: 'Jory Pask',
      word: 'LANTERN',
      words: 'LANTERN',
      competence: { name: 'Jory Pask', level: '3S' },
      second: { name: 'Tamsin Roake', level: '2S' },
      seen: { by: 'Tamsin Roake' },
      reopenedAt: null,
    });
    expect(last?.gear.map((gear) => gear.id)).toEqual(['G1', 'T1', 'PS1']);
    expect(last?.readings.map(({ quantity }) => quantity.value)).toEqual([400, 0, 0, 0, 400]);
    expect(last?.readings[1]?.max).toEqual({ value: 5, unit: 'V' });
    expect(last?.shownAt).toBeLessThan(last?.passedAt ?? 0);
  });

  test('names the gear of a gate that only takes it', () => {
    const gear = summary.gates.find((gate) => gate.step === 'gear')?.gear.map((piece) => piece.id);
    expect(gear).toEqual(['G1', 'T1', 'PS1', 'W1', 'W2', 'W3']);
  });

  test('says how long a proof stood: to its first doubt, not to when it was made again', () => {
    const first = summary.gates.find((gate) => gate.step === 'dead');
    const hold = summary.incidents.find(({ kind }) => kind === 'hold');
    expect(first?.proved).toEqual([
      { fact: 'bus-dead', label: 'dead on the car side', until: hold?.at, to: 'doubt' },
    ]);
    expect(first?.reopenedAt).toBeGreaterThan(hold?.at ?? Number.POSITIVE_INFINITY);
  });

  test('keeps readings that never counted, and marks those whose step was opened again', () => {
    const failed = summary.readings.filter((row) => row.quantity.value === 22);
    expect(failed).toMatchObject([{ verdict: 'again', counted: false, label: '+ to -' }]);
    const gap = summary.readings.filter((row) => row.name === 'gap');
    expect(gap).toMatchObject([{ assumedUnit: true, counted: true, untilAt: null, verdict: 'passed' }]);
    const older = summary.readings.filter((row) => row.counted && row.untilAt !== null);
    expect(older).toHaveLength(10);
  });

  test.each([
    ['hold', 'Wilf Harrow', 'hold odd noise'],
    ['release', 'Orla Fenwick', 'release looked at, go on'],
    ['refusal', 'Mara Tillet', 'ok'],
    ['note', 'Jory Pask', 'note scratch on the sill'],
    ['leaving', 'Jory Pask', 'park'],
    ['handover', 'Mara Tillet', 'hand over Jory'],
  ] as const)('tells of a %s with who said it and the words as typed', (kind, by, words) => {
    expect(summary.incidents).toContainEqual(expect.objectContaining({ kind, by, words }));
  });

  test('has a timer that was started afresh as two runs, and the air that was logged', () => {
    const runs = summary.cure.clocks.filter((clock) => clock.label === 'capacitors drained');
    expect(runs).toHaveLength(2);
    expect(runs[0]?.afreshAt).toBe(runs[1]?.startedAt);
    expect(runs[1]?.endedAt).toBe(runs[1]?.told[0]?.instant);
    expect(summary.cure.air).toMatchObject([{ celsius: 12, percentRh: 40, by: 'Jory Pask' }]);
  });

  test('counts time as worked, waited or stood still, and leaves no minute out', () => {
    const total = summary.stages.reduce(
      (sum, { workedMs, waitedMs, stoodMs }) => sum + workedMs + waitedMs + stoodMs,
      0,
    );
    expect(total).toBe((day.job.endedAt ?? 0) - day.job.startedAt);
    const stood = summary.stages.reduce((sum, stage) => sum + stage.stoodMs, 0);
    expect(stood).toBeGreaterThanOrEqual(80 * 60_000);
  });

  test('has wrench, dial and order of what was tightened', () => {
    expect(summary.steps.filter(({ plan }) => plan !== null)).toMatchObject([
      {
        text: 'Wrench: box bolts, all passes.',
        plan: { wrench: { id: 'W1' }, bolts: 10 },
        gear: [{ id: 'G1' }, { id: 'T1' }, { id: 'PS1' }, { id: 'W1' }],
      },
    ]);
    expect(full).toContain('Wrench W1, dial 6.4 N·m, then 8 N·m');
  });

  test('names steps that a catch-up passed over as not witnessed by the bot', () => {
    const b = new Bench(flow);
    b.untilStep('lead');
    b.says('mara', 'catch up box-off');
    b.says('orla', 'agree');
    const { absent, gates } = summaryOf(b.job, flow, b.lines);
    expect(absent.filter((text) => text.startsWith('Not witnessed by the bot (catch-up)'))).toHaveLength(4);
    expect(gates.map((gate) => gate.step)).toEqual(['gear']);
    expect(shortForm(summaryOf(b.job, flow, b.lines)).map(printLine)).toContain(
      '4 steps not witnessed by the bot: see the record.',
    );
  });

  test('of a job called off says what is left open and what was not done', () => {
    const b = new Bench(flow);
    b.untilStep('box-off');
    b.says('orla', 'call off car sold');
    b.until(() => false);
    const off = summaryOf(b.job, flow, b.lines);
    expect(off.outcome).toBe('called-off');
    expect(off.open).toEqual(expect.arrayContaining(['battery lead off', 'own lock on', 'box open']));
    expect(off.absent).toContain('Not done: Wrench: box bolts, all passes.');
    expect(fullForm(off, at)).toMatch(/LEFT OPEN\n {2}(?!Nothing)/);
  });
});

describe('the record on paper', () => {
  test.each([
    'RECORD OF JOB 2603-001',
    'In charge: Mara Tillet',
    'Standby: Tamsin Roake',
    'tester T1, Two-pole tester, serial QT-3311, tested 2025-09-15, in date to 2026-09-15',
    'Word asked LANTERN, typed "LANTERN" by Jory Pask',
    'vehicle.cover-torque: 8 N·m (Teasel demo manual 4.5, entered by Orla Fenwick)',
    'PACK INSIDE STILL LIVE.',
    ...CAUTIONS,
  ])('has: %s', (text) => {
    expect(full).toContain(text);
  });

  test('prints every instant by the printer it is given', () => {
    const shouted = fullForm(summary, () => 'THEN');
    expect(shouted).toContain('In charge: Mara Tillet, THEN to THEN');
    expect(shouted).not.toMatch(/\d\d:\d\d/);
  });

  test('never says SAFE, and has no gap where a value should be', () => {
    expect(full).not.toMatch(/\bSAFE\b|undefined|\bnull\b|\[object|NaN/);
  });
});

describe('the record on the phone', () => {
  test('says next due with date and rule by the type that was fitted', () => {
    const due = [
      { what: 'fuse', on: '2034-03-01', atKm: null, rule: 'own-cell-from-manufacture' },
      { what: 'seal-look', on: '2028-03-02', atKm: 90_000, rule: 'months' },
    ];
    const lines = shortForm({ ...summary, due }).map(printLine);
    expect(lines).toContain('Next due: disconnect fuse, change 2034-03-01 (own cell, from its manufacture)');
    expect(lines).toContain(
      'Next due: cover seal, look 2028-03-02 or 90000 km, whichever first (by the calendar)',
    );
  });

  test('of a loop-fed fuse says that nothing ages, and by which rule', () => {
    const due = [{ what: 'fuse', on: null, atKm: null, rule: 'loop-fed-no-interval' }];
    expect(
      shortForm({ ...summary, due })
        .map(printLine)
        .at(-1),
    ).toBe('Next due: disconnect fuse: nothing, loop fed, no cell to age');
  });

  test('fits on a screen', () => {
    const lines = shortForm(summary).map(printLine);
    expect(lines).toEqual([
      '2603-001: Bench job, done, 11:05.',
      'Bay 2, DEMO-1 teasel. Mara Tillet, then Jory Pask.',
      'Dead on the car side: 09:01, tester T1, Jory Pask, seen by Tamsin Roake.',
      'PACK INSIDE STILL LIVE.',
      'Gates passed 10, refusals 1, holds 1, stops 0.',
      'Part serial X4471-11.',
      'Nothing is left open.',
      'Worked 38 min, waited 64 min, stood still 83 min.',
    ]);
  });
});
