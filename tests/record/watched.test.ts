import { createHash } from 'node:crypto';
import { readdirSync, readFileSync } from 'node:fs';
import { describe, expect, test } from 'vitest';
import { type FlowText, loadFlows } from '../../src/flow/load.js';
import { ranOut } from '../../src/job/watch.js';
import { fullForm } from '../../src/record/full.js';
import { summaryOf } from '../../src/record/summary.js';
import { Bench } from '../talk/say-bench.js';

const at = (ms: number) => new Date(ms).toISOString().slice(11, 16);
const textsOf = (folder: string): FlowText[] => {
  const url = new URL(folder, import.meta.url);
  return readdirSync(url)
    .filter((name) => name.endsWith('.yaml'))
    .map((name) => ({ name, text: readFileSync(new URL(name, url), 'utf8') }));
};
const { flows } = loadFlows([...textsOf('../../flows/'), ...textsOf('../property/trials/')], (text) =>
  createHash('sha256').update(text).digest('hex'),
);
const flow = flows.get('trial-spill');
if (flow === undefined) throw new Error('there is no trial of a spill');

/** What is said at the tray, minute by minute. */
function spill(...said: readonly (readonly [minute: number, words: string])[]): Bench {
  const b = new Bench(flow as NonNullable<typeof flow>, 'mara', {
    'shop.vacuum-minutes': {
      quantity: { value: 5, unit: 'min' },
      text: null,
      reference: 'x',
      enteredBy: 'x',
    },
    'shop.vacuum-rise': { quantity: { value: 20, unit: 'mbar' }, text: null, reference: 'x', enteredBy: 'x' },
  });
  b.says('mara', 'done');
  const start = b.now;
  for (const [minute, words] of said) {
    b.later((start + minute * 60_000 - b.now) / 60_000);
    b.says('mara', words);
  }
  return b;
}

const summary = (b: Bench) => summaryOf(b.job, b.flow, b.lines);

describe('the record of what was watched', () => {
  const b = spill([0, '100'], [1, '150 ml'], [2, 'no, 160'], [3, 'emptied at 190'], [8, 'dry']);

  test('has every reading with its time, its words, what it came to, and what was taken back', () => {
    const [thing] = summary(b).watched;
    expect(thing?.sightings.map((row) => [row.words, row.outcome.total.quantity.value])).toEqual([
      ['100', 100],
      ['150 ml', 150],
      ['no, 160', 160],
      ['emptied at 190', 190],
      ['dry', 190],
    ]);
    expect(thing?.sightings.map((row) => row.takenBackAt !== null)).toEqual([
      false,
      true,
      false,
      false,
      false,
    ]);
    // Read when the wrong one was said, and only said wrong.
    expect(thing?.sightings[2]?.at).toBe(thing?.sightings[1]?.at);
    expect(thing?.total?.quantity).toEqual({ value: 190, unit: 'ml' });
  });

  test('prints the total, the tail and each reading', () => {
    const full = fullForm(summary(b), at);
    expect(full).toContain('WATCHED UNTIL SETTLED');
    expect(full).toContain('Trial spill (In the tray): 190 ml; tail ends near');
    expect(full).toMatch(/emptied at 190 ml, unit assumed: trial spill 190 ml, 15 ml\/min, running/);
    expect(full).toContain('taken back');
    expect(full).toContain('"no, 160"');
  });

  test('keeps the total among the readings and figures of the job, for a balance', () => {
    expect(b.job.readings['trial-spill']?.[0]?.quantity).toEqual({ value: 190, unit: 'ml' });
    expect(b.job.figures['spill-rate']).toEqual({ value: 0, unit: 'ml/min' });
    expect(ranOut(b.job, 'trial-spill')).toMatchObject({
      total: { value: 190, unit: 'ml' },
      unread: false,
    });
  });

  test('adds up what ran out before the step was opened again', () => {
    const again = spill([0, '100'], [6, '100'], [7, 'correct'], [8, '130'], [14, 'dry'], [15, '-850']);
    expect(again.job.readings['trial-spill']?.[0]?.quantity.value).toBe(130);
    expect(again.job.asked?.step).toBe('vacuum');
    expect(summary(again).watched[0]?.sightings.map((row) => row.visit)).toHaveLength(4);
    expect(new Set(summary(again).watched[0]?.sightings.map((row) => row.visit)).size).toBe(2);
  });

  test('says that a tray was emptied unread, and its total is a lower bound', () => {
    const lost = spill([0, '100'], [1, 'emptied unread'], [2, '20']);
    expect(lost.job.readings['trial-spill']?.[0]).toMatchObject({ bound: 'at-least' });
    expect(ranOut(lost.job, 'trial-spill')).toMatchObject({ unread: true });
    expect(summary(lost).absent.join()).toContain('Emptied unread');
    expect(fullForm(summary(lost), at)).toContain('at least 120 ml');
  });

  test('tells a rate that does not fall as an incident', () => {
    const runs = spill([0, '0'], [1, '100'], [2, '210']);
    expect(summary(runs).incidents.map(({ what }) => what)).toContain(
      'does not die away: trial spill 210 ml, 110 ml/min',
    );
  });

  test('keeps litres, pints and ounces as they were said, and adds them up exactly', () => {
    const mixed = spill([0, '0.1 l'], [1, '1 us pint more'], [2, '1 imp fl oz more']);
    const total = 100 + 473.176473 + 28.4130625;
    expect(mixed.job.readings['trial-spill']?.[0]?.quantity.value).toBeCloseTo(total, 9);
    expect(summary(mixed).watched[0]?.sightings[1]?.sighted).toMatchObject({
      is: 'added',
      reading: { quantity: { value: 1, unit: 'pint' }, assumedUnit: false },
    });
  });
});
