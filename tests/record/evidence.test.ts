import { beforeAll, describe, expect, test } from 'vitest';
import type { Event } from '../../src/job/event.js';
import { fullForm } from '../../src/record/full.js';
import { shortForm } from '../../src/record/short.js';
import type { StepDone } from '../../src/record/steps.js';
import { type Summary, summaryOf } from '../../src/record/summary.js';
import { labelOf } from '../../src/talk/phrase.js';
import { Bench, printLine } from '../talk/say-bench.js';
import { benchFlow } from '../talk/say-flow.js';
import { at, type Journalled, packOut } from './packout.js';

let found: Journalled;
let summary: Summary;
let full: string;
let events: readonly Event[];
beforeAll(async () => {
  found = await packOut();
  summary = summaryOf(found.job, found.flow, found.lines);
  full = fullForm(summary, at);
  events = found.lines.flatMap((line) => line.events);
});

const visits = (step: string): readonly StepDone[] => summary.steps.filter((done) => done.step === step);
const last = (step: string): StepDone => {
  const done = visits(step).at(-1);
  if (done === undefined) throw new Error(`the record has nothing of ${step}`);
  return done;
};
/** The lines of a section, and of one step in it. */
const section = (title: string) => full.split(`\n${title}\n`)[1]?.split('\n\n')[0] ?? '';
const onPaper = (step: string) => {
  const parts = section('STEP BY STEP').split(/\n(?= {2}\S)/);
  const own = parts.filter((part) => (part.split('\n')[0] ?? '').endsWith(` (${step.replaceAll('-', ' ')})`));
  return own.join('\n');
};

describe('the record of the pack-out job, step by step', () => {
  test('has every step that was closed, in order, with who, when and the words typed', () => {
    const closed = events.filter((event) => event.type === 'step-completed');
    const done = summary.steps.filter(({ end }) => end === 'done');
    expect(closed.length).toBeGreaterThan(130);
    expect(done.map(({ step, at: when, by }) => [step, when, by])).toEqual(
      closed.map(({ step, at: when, name }) => [step, when, name]),
    );
    for (const { step, by, at: when, text, shownAt } of done) {
      expect(onPaper(step), step).toContain(`${at(when)}  ${text}`);
      expect(onPaper(step), step).toContain(by);
      expect(shownAt, step).not.toBeNull();
    }
    expect(onPaper('pack-up/table-away')).toMatch(/Mara Tillet \(script\) "done", shown Fri \d\d:\d\d\./);
  });

  test.each([
    ['make-safe/lv-off', []],
    ['make-safe/plug-after', ['gloves G1 (QG-0101, in date to 2026-06-07)']],
    [
      'pack-down/prove-sockets/both-sides',
      ['tester T1 (QT-3311, in date to 2026-09-15)', 'proving source PS1'],
    ],
    ['pack-down/table', ['lift L1 (QL-0001, in date to 2026-09-08)']],
    ['contactors', ['tester T1 (QT-3311, in date to 2026-09-15)']],
    ['joints', ['wrench W1 (QW-1001, in date to 2026-10-13)']],
    ['cover-reseal/first-pass', ['wrench W1 (QW-1001, in date to 2026-10-13)']],
    ['cover-cure/tight', ['gauge P1 (QD-0031, in date to 2026-12-01)']],
    ['pack-up/bolts', ['wrench W3 (QW-1003, in date to 2026-11-24)']],
    ['pack-up/strap', ['ohmmeter O1 (QO-0012, in date to 2026-06-30)']],
    ['insulate-apart/insulation-car', ['insulation tester I2 (QI-0078, in date to 2026-07-21)']],
    ['insulate-apart/insulation-pack', ['insulation tester I2 (QI-0078, in date to 2026-07-21)']],
  ] as const)('names the gear of %s with its serial and its last good day', (step, gear) => {
    for (const piece of gear) expect(onPaper(step)).toContain(piece);
    expect(last(step).gear.every(({ tested, until }) => tested < until)).toBe(true);
    expect(last(step).gear.length > 0).toBe(gear.length > 0);
  });

  test('says so where a measuring step names no gear of the register', () => {
    expect(onPaper('dew')).toContain('Gear: the step names none from the register.');
  });

  test.each([
    ['make-safe/awake', '28 % [at most 30 %] (Mara Tillet; in limits)'],
    ['raise-car/masses-out', 'margin with the pack out 494 mm, at least 100 mm'],
    ['raise-car/masses-out', '(rule: statics)'],
    ['pack-down/prove-sockets/both-sides', 'Pack side, - to body: 0 V [at most 5 V]'],
    ['pack-down/prove-sockets/both-sides', 'rule: dead band; in limits'],
    ['pack-down/spill', 'Judged passed. Died away: spill rate 0.2 ml/min, at most 2 ml/min'],
    ['pack-down/bolts', '22 [at least 22, at most 22]'],
    ['dew', 'dew margin 12.4 K, at least 3 K (rule: dew point, common practice)'],
    ['joints', '14 N·m [at least 12.88 N·m, at most 15.12 N·m]'],
    ['cover-reseal/plan', 'cured for handling in 29.9 h'],
    ['cover-cure/tight', 'compensated drop'],
    ['pack-up/strap', '[at most 0.05 Ω] (Mara Tillet; unit assumed; rule: maker; in limits)'],
    ['insulate-apart/insulation-car', '55 MΩ [at least 2 MΩ] (Mara Tillet; rule: maker; in limits)'],
    ['coolant-bleed/added', 'went in 440 ml; came out 436 ml; difference 4 ml, -150 to 150 ml'],
    ['park-safe/cool', 'pack above air'],
  ])('judges %s by its limits: %s', (step, words) => {
    expect(onPaper(step)).toContain(words);
  });

  test('has every reading once, in its step or under its gate', () => {
    const told = [...summary.steps.filter(({ gate }) => !gate), ...summary.gates].flatMap(
      (part) => part.readings,
    );
    expect(told).toHaveLength(summary.readings.length);
    expect(new Set(told).size).toBe(summary.readings.length);
  });

  test('keeps a corrected reading and says that it does not count', () => {
    const [first, second] = last('raise-car/masses-out').readings;
    expect(first).toMatchObject({ quantity: { value: 250 }, counted: false });
    expect(first?.takenBackAt).not.toBeNull();
    expect(second).toMatchObject({ quantity: { value: 520 }, counted: true, takenBackAt: null });
    expect(onPaper('raise-car/masses-out')).toContain(
      '250 mm (Mara Tillet; unit assumed; corrected, does not count)',
    );
  });

  test('says which values the standby read out for the one at work', () => {
    const said = summary.readings.filter(({ saidFor }) => saidFor !== null);
    expect(said.map(({ step, by, saidFor }) => [step, by, saidFor])).toEqual([
      ['contactors', 'Tamsin Roake', found.job.holder],
      ['contactors', 'Tamsin Roake', found.job.holder],
      ['gap', 'Tamsin Roake', found.job.holder],
    ]);
    expect(onPaper('gap')).toContain('(Tamsin Roake; said by the standby;');
  });

  test('has every photo of the journal by its SHA-256, and names the one that was not taken', () => {
    const photos = events.flatMap((event) =>
      event.type === 'answered' && 'photo' in event.answer && event.answer.photo !== null
        ? [event.answer.photo]
        : [],
    );
    expect(photos.length).toBeGreaterThan(15);
    for (const photo of photos) {
      expect(photo).toMatch(/^[0-9a-f]{64}$/);
      expect(full).toContain(`[photo ${photo}]`);
    }
    expect(onPaper('pack-down/landed')).toContain('"no photo, phone is on the cart"');
    expect(section('NOT PROVED, NOT WITNESSED, NOT DONE')).toContain('No photo of: Pack rolled out');
  });

  test.each([
    ['fuse serial: 7K-20418', 'part'],
    ['sealant batch: MS4-2511', 'part'],
    ['old serial: 3C-00917', 'boxed'],
    ['fuse serial again: 7K-20418', 'new-out'],
    ['store log: 26-014', 'store'],
    ['type read back: own cell', 're-energise/write'],
  ])('has %s where it was read', (words, step) => {
    expect(onPaper(step)).toContain(words);
  });

  test('has every step that stood already as not asked, and every one opened again as such', () => {
    expect(summary.steps.filter(({ end }) => end === 'stood').map(({ step }) => step)).toEqual(
      events.flatMap((event) => (event.type === 'step-closed' ? [event.step] : [])),
    );
    expect(visits('raise-car/steady').map(({ reopenedAt }) => reopenedAt !== null)).toEqual([true, false]);
    expect(onPaper('raise-car/steady')).toContain('Opened again Mon');
  });

  test('has the second person by name at every gate that asks for one, with what was looked at', () => {
    const second = summary.gates.filter(({ second: who }) => who !== null);
    expect(second.length).toBeGreaterThan(8);
    for (const gate of second) expect(gate.seen?.by, gate.declaration).toBe('Tamsin Roake');
    const dead = summary.gates.findLast(({ step }) => step.endsWith('/dead'));
    expect(dead?.readings.at(-1)).toMatchObject({ by: 'Tamsin Roake', quantity: { value: 0, unit: 'V' } });
  });

  test('has nobody standing by in the nights', () => {
    expect(summary.standbys.map(({ from, to }) => [at(from), at(to ?? 0)])).toEqual([
      ['Mon 08:23', 'Mon 09:30'],
      ['Mon 10:06', expect.stringMatching(/^Mon 13:/)],
      [expect.stringMatching(/^Fri 07:/), expect.stringMatching(/^Fri \d\d:/)],
      ['Mon 07:38', 'Mon 07:54'],
    ]);
  });

  test('lists all that was not looked at again, and nothing of it is left open', () => {
    const doubt = found.flow.rules.facts.filter(({ id }) => found.job.facts[id]?.value === 'doubt');
    const told = section('NOT PROVED, NOT WITNESSED, NOT DONE');
    for (const { id, opening } of doubt) {
      expect(opening, id).not.toBe(true);
      expect(told).toContain(labelOf(found.flow, id));
    }
    expect(told).not.toContain(' more.');
  });
});

test('a step that a catch-up passed over says that nobody witnessed it, and who agreed', () => {
  const b = new Bench(benchFlow());
  b.untilStep('lead');
  b.says('mara', 'catch up box-off');
  b.says('orla', 'agree');
  const caught = fullForm(summaryOf(b.job, b.flow, b.lines), at);
  expect(caught).toContain('NOT WITNESSED BY THE BOT: catch-up agreed by Mara Tillet and Orla Fenwick.');
});

test('a visit that closed nothing keeps what was said in it', () => {
  const b = new Bench(benchFlow());
  b.untilStep('dead');
  b.says('mara', '400 22 0 0 400 V');
  b.until(() => false);
  const ended = summaryOf(b.job, b.flow, b.lines).steps.filter(({ end }) => end === 'ended');
  expect(ended).toMatchObject([{ step: 'dead', words: '400 22 0 0 400 V', by: 'Mara Tillet' }]);
});

describe('the short form of the pack-out job', () => {
  test('fits on the screen of a phone', () => {
    const lines = shortForm(summary).map(printLine);
    expect(lines.length).toBeLessThanOrEqual(12);
    for (const line of lines) expect(line.length, line).toBeLessThanOrEqual(110);
  });

  test('names the fuse once, and what is next due last', () => {
    const lines = shortForm(summary).map(printLine);
    expect(lines.join('\n').match(/7K-20418/g)).toHaveLength(1);
    expect(lines.at(-1)).toBe(
      'Next due: disconnect fuse, change 2033-11-01 (own cell, from its manufacture)',
    );
  });
});
