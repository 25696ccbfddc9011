import { readdirSync, readFileSync } from 'node:fs';
import { beforeAll, describe, expect, test } from 'vitest';
import { runScript } from '../../src/channel/script/run.js';
import { type OpenedFlows, openFlows } from '../../src/desk/flows.js';

const dir = new URL('../../flows/', import.meta.url);
const demo = readFileSync(new URL('demo.thread', dir), 'utf8');

let flows: OpenedFlows;
let once: ReturnType<typeof played>;
beforeAll(async () => {
  const files = readdirSync(dir)
    .filter((name) => name.endsWith('.yaml'))
    .map((name) => ({ name, text: readFileSync(new URL(name, dir), 'utf8') }));
  // That they are proved is another test's matter.
  flows = await openFlows(files, { has: async () => true, keep: async () => {} });
  once = played(demo);
});

async function played(text: string) {
  const outcome = await runScript('demo.thread', { flows: flows.source, read: async () => text });
  return { ...outcome, said: outcome.thread.filter((line) => !/restart|^-- /i.test(line)).join('\n') };
}

describe('the demo job', () => {
  test.each([
    ['a gate that habit does not pass', 'That word passes no gate.'],
    ['an answer that was given too early', 'Said before the question below was seen.'],
    [
      'a break that takes the proof along',
      'Long pause: after RESUME states are looked at, proofs made again.',
    ],
    ['the proof made again', 'Again: Gate: Prove the car side dead.'],
    ['the second person’s own reading', 'Tamsin Roake: own tester: plus to minus, in V?'],
    ['a slip corrected', 'no, 520'],
    ['a spill whose tray was emptied in between', 'Emptied at 380 ml'],
    [
      'its end, by readings alone',
      'Died away: spill rate 0.2 ml/min, at most 2 ml/min; all in all near 428 ml.',
    ],
    ['a wait over night', 'Waiting, not before Tue 3 Mar'],
    ['the worst air of the night', 'By the air: sealant cured for driving not before Sun 8 Mar'],
    ['coolant in against out', 'went in 440 ml; came out 436 ml; difference 4 ml, -150 to 150 ml.'],
    [
      'what is next due by the type that was fitted',
      'Next due: disconnect fuse, change 2033-11-01 (own cell',
    ],
    ['the record', 'RECORD OF JOB QM-2603-001'],
  ])('shows %s', async (_, words) => {
    expect((await once).said).toContain(words);
  });

  test('passes all its own checks', async () => {
    expect((await once).failures).toEqual([]);
    expect((await once).checks).toBeGreaterThan(10);
  });

  test('tells in the order of the trade: dead, plugs, coolant, pack down, fuse, bead, pack up, power', async () => {
    const { said } = await once;
    const order = [
      'Car side proved dead: 10:16',
      'high-voltage plugs off at the two orange plugs',
      'couplings apart at the two quick couplings',
      'Pack bolts out?',
      'Fuse out onto the mat.',
      'unbroken bead of 8 mm',
      'Parked. Left open:',
      'New pack bolts in by hand?',
      'loop closed, battery on.',
      'first ready.',
      'road test',
    ].map((words) => said.indexOf(words));
    expect(order).not.toContain(-1);
    expect(order).toEqual(order.toSorted((one, other) => one - other));
  });

  test('calls the foreman for nothing but the two nights: it is a job that goes well', async () => {
    const posts = (await once).thread.join('\n').split('-- foreman --').slice(1);
    // The posts of the day, at closing and opening time, call nobody.
    const calls = posts.filter((post) => !/^\s*\S+ warden (End of day|Morning), /.test(post));
    expect(calls.length).toBeLessThan(posts.length);
    expect(calls.map((post) => /Parked at|done at/.exec(post)?.[0])).toEqual([
      'Parked at',
      'Parked at',
      'done at',
    ]);
  });

  test('is the same to the last byte every time', async () => {
    expect((await played(demo)).said).toBe((await once).said);
  });

  test('looks the same to everybody when the computer is restarted at every step', async () => {
    const acts = /^(\d\d:\d\d )?\w+( early)?(: | photo )/;
    const restarted = demo
      .split('\n')
      .flatMap((line) => (acts.test(line) && !line.includes(': start ') ? ['restart', line] : [line]))
      .join('\n');
    expect(restarted.split('\n').filter((line) => line === 'restart').length).toBeGreaterThan(150);
    const often = await played(restarted);
    expect(often.failures).toEqual([]);
    expect(often.said).toBe((await once).said);
  });
});
