import { beforeAll, describe, expect, test } from 'vitest';
import { demoRegister, flowTexts, provedFlows } from '../desk/floor.js';
import { Fortnight, type Urgent } from './fortnight.js';
import { fortnightRegister } from './workshop.js';

// The seed can be set: FORTNIGHT_SEED=7 npx vitest run --config tests/vitest.config.ts fortnight
const SEED = Number(process.env.FORTNIGHT_SEED ?? 20260323);
const MINUTE = 60_000;

let fortnight: Fortnight;
let tookMs: number;

beforeAll(async () => {
  const flows = await provedFlows(flowTexts());
  fortnight = new Fortnight(fortnightRegister(await demoRegister()), flows, SEED);
  const from = process.cpuUsage();
  await fortnight.run();
  const { user, system } = process.cpuUsage(from);
  tookMs = (user + system) / 1000;
  const sum = (
    key: 'started' | 'done' | 'parked' | 'holds' | 'stops' | 'gates' | 'limits' | 'handovers' | 'pauses',
  ) => [...fortnight.days.values()].reduce((all, day) => all + day[key], 0);
  console.log(
    `fortnight, seed ${SEED}: ${fortnight.inputs} inputs, ${sum('started')} jobs begun, ${sum('done')} done, ${sum('parked')} parks, ` +
      `${sum('handovers')} handovers, ${sum('pauses')} breaks, ${sum('holds')} holds, ${sum('stops')} stops, ${sum('gates')} gates refused, ` +
      `${sum('limits')} out of limits, ${fortnight.looks} looks at the board, ${fortnight.cuts} power cuts, ${Math.round(tookMs / 100) / 10} s of processor`,
  );
});

const posts = () => fortnight.threads.get('foreman') ?? [];
/** What the foreman did not ask for: not the answer to words of his own. */
const unasked = () =>
  posts().filter(({ at, text }) => !(fortnight.said.includes(at) && /Released at/.test(text)));
const most = (at: readonly number[], window: number) =>
  Math.max(0, ...at.map((first) => at.filter((one) => one >= first && one < first + window).length));

describe(`a fortnight of twelve bays, seed ${SEED}`, () => {
  test('a bay is never shown as what it is not, and the posts of the day say what was done, parked and left open', () => {
    expect(fortnight.wrong, `seed ${SEED}`).toEqual([]);
  });

  test('it was a fortnight: about twenty jobs a day, breaks, handovers, holds, faults, two power cuts', () => {
    const days = [...fortnight.days.values()].filter(({ done }) => done > 0);
    const done = days.reduce((sum, day) => sum + day.done, 0);
    expect(done / 10).toBeGreaterThan(16);
    expect(done / 10).toBeLessThan(30);
    expect(fortnight.cuts).toBe(2);
    // One at each closing of ten working days; what it says is checked as it comes.
    expect(fortnight.closings).toBe(10);
    for (const kind of ['stop', 'hold', 'gate', 'limits'] as const)
      expect(fortnight.urgent.filter((one) => one.kind === kind).length, kind).toBeGreaterThan(2);
  });

  test('every stop, hold, third refusal and reading out of limits is alerted once, at once, and no other is', () => {
    const told = posts().flatMap(({ at, text }): Urgent[] => {
      const kind = kindOf(text);
      const bay = /^Bay (\d+)/.exec(text)?.[1];
      return kind === null || bay === undefined ? [] : [{ at, bay, kind }];
    });
    const shown = (of: readonly Urgent[]) =>
      of.map(({ at, bay, kind }) => `${new Date(at).toISOString()} bay ${bay} ${kind}`);
    expect(shown(told), `seed ${SEED}`).toEqual(shown(fortnight.urgent));
  });

  test('in no hour of a normal day more than six posts come unasked (HUM-025, HSE CHIS6 citing EEMUA 191: one in ten minutes)', () => {
    const normal = unasked().filter(({ at }) => new Date(at).getUTCDate() !== 31);
    const at = normal.map((post) => post.at);
    const rate = most(at, 60 * MINUTE);
    const first =
      at.find((one) => at.filter((other) => other >= one && other < one + 60 * MINUTE).length === rate) ?? 0;
    const hour = normal.filter((post) => post.at >= first && post.at < first + 60 * MINUTE);
    expect(
      rate,
      `seed ${SEED}\n${hour.map(({ at, text }) => `${new Date(at).toISOString()} ${text}`).join('\n\n')}`,
    ).toBeLessThanOrEqual(6);
  });

  test('in ten bad minutes not more than ten come (HUM-026, HSE CHIS6 citing EEMUA 191)', () => {
    expect(
      most(
        unasked().map(({ at }) => at),
        10 * MINUTE,
      ),
      `seed ${SEED}`,
    ).toBeLessThanOrEqual(10);
  });

  test('nobody is woken: outside the hours only what cannot wait comes', () => {
    const night = posts().filter(({ at, text }) => {
      const hour = new Date(at + 60 * MINUTE).getUTCHours();
      return (hour < 6 || hour >= 24) && /Still so/.test(text);
    });
    expect(night).toEqual([]);
  });
});

function kindOf(text: string): Urgent['kind'] | null {
  if (/Still so/.test(text)) return null;
  if (/STOP at/.test(text)) return 'stop';
  if (/Out of limits|Hold at @:/.test(text)) return 'limits';
  if (/Hold at @, by/.test(text)) return 'hold';
  return /Three refusals/.test(text) ? 'gate' : null;
}
