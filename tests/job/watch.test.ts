import { createHash } from 'node:crypto';
import { readdirSync, readFileSync } from 'node:fs';
import { describe, expect, test } from 'vitest';
import { type FlowText, loadFlows } from '../../src/flow/load.js';
import { decide } from '../../src/job/decide.js';
import { foldAll } from '../../src/job/fold.js';
import { nextWake } from '../../src/job/time.js';
import { hear } from '../../src/talk/hear.js';
import { Bench, to } from '../talk/say-bench.js';
import { input } from '../talk/setting.js';

const MINUTE = 60_000;
const textsOf = (folder: string): FlowText[] => {
  const url = new URL(folder, import.meta.url);
  return readdirSync(url)
    .filter((name) => name.endsWith('.yaml'))
    .map((name) => ({ name, text: readFileSync(new URL(name, url), 'utf8') }));
};
const { flows } = loadFlows([...textsOf('../../flows/'), ...textsOf('../property/trials/')], (text) =>
  createHash('sha256').update(text).digest('hex'),
);

/** A bench whose couplings are apart, and which has said these things at these minutes. */
function atTray(...said: readonly (readonly [minute: number, words: string])[]) {
  const flow = flows.get('trial-spill');
  if (flow === undefined) throw new Error('there is no trial of a spill');
  const b = new Bench(flow, 'mara', {});
  b.says('mara', 'done');
  const start = b.now;
  const say = (minute: number, words: string) => {
    b.later((start + minute * MINUTE - b.now) / MINUTE);
    return b.says('mara', words);
  };
  for (const [minute, words] of said) say(minute, words);
  const wake = () => ((nextWake(b.job, b.flow, b.world()) ?? Number.NaN) - start) / MINUTE;
  return { b, say, wake, start };
}

describe('a tray is asked for', () => {
  test('at 1, 2, 3, 5, 8 and 10 minutes and then every 10 while it runs', () => {
    const { say, wake } = atTray([0, '0']);
    const asked: number[] = [];
    let [minute, ml, rate] = [0, 0, 400];
    for (let turn = 0; turn < 9; turn++) {
      const next = wake();
      asked.push(next);
      rate *= 0.7;
      ml += rate * (next - minute);
      minute = next;
      say(next, `${Math.round(ml)} ml`);
    }
    expect(asked).toEqual([1, 2, 3, 5, 8, 10, 20, 30, 40]);
  });

  test('a minute later where the rate does not fall', () => {
    const { wake } = atTray([0, '0'], [1, '100'], [2, '200'], [5, '600']);
    expect(wake()).toBe(6);
  });

  test('not at once after somebody has just read it', () => {
    expect(atTray([0, '0'], [1.8, '100']).wake()).toBe(3);
    expect(atTray([0, '0'], [1.2, '100']).wake()).toBe(2);
  });

  test('once more when nobody answers, then the foreman hears of it, then nothing', () => {
    const { b, wake } = atTray([0, '50']);
    expect([1, 4, 7].map((minute) => [wake(), to(b.later(minute === 1 ? 1 : 3), 'foreman') !== ''])).toEqual([
      [1, false],
      [4, false],
      [7, true],
    ]);
    expect(b.later(600)).toEqual([]);
  });

  test('at the same times after a restart: they follow from the journal', () => {
    const { b } = atTray([0, '50'], [1, '120'], [2, '180']);
    const places = b.lines.map((line) => ({ seq: line.seq, at: line.at, events: line.events }));
    const again = foldAll(b.job.id, places);
    expect(nextWake(again, b.flow, b.world())).toBe(nextWake(b.job, b.flow, b.world()));
    expect(again.watched).toEqual(b.job.watched);
  });
});

describe('a reading of a tray', () => {
  test('said before the last one and come late is not taken', () => {
    const { b, start } = atTray([0, '50'], [3, '120']);
    const late = {
      ...input({ is: 'text', text: '90' }),
      saidAt: start + 2 * MINUTE,
      seen: String(b.seq).padStart(6, '0'),
    };
    const events = decide(b.job, b.flow, { input: late, heard: hear(b.job, b.flow, late) }, b.world());
    expect(events.at(-1)).toMatchObject({
      type: 'refused',
      refusal: { why: 'said-before', last: start + 3 * MINUTE },
    });
  });

  test('is taken back by CORRECT and asked again', () => {
    const { b, say } = atTray([0, '50'], [1, '120']);
    expect(to(say(1, 'correct'), 'bay')).toMatch(/Taken back[\s\S]*now\?/);
    expect(b.job.readings['trial-spill']?.[0]?.quantity.value).toBe(50);
  });

  test('by the standby counts, marked as said for the one at work; by anybody else it does not', () => {
    const { b } = atTray([0, '50']);
    b.says('mara', 'standby Tamsin');
    const before = b.events.length;
    b.says('jory', '70');
    expect(b.events.slice(before).some((event) => event.type === 'watched')).toBe(false);
  });
});
