import type { Flow } from '../flow/flow.js';
import type { Job } from '../job/job.js';
import { labelOf, lasting } from '../talk/phrase.js';
import { judgeDecay } from '../trade/discharge.js';
import { printNumber } from '../units/notation.js';
import { valueIn } from '../units/quantity.js';
import { cureOf } from './cure.js';
import type { RecordLine } from './line.js';
import type { Curve } from './picture.js';
import { readingsOf } from './readings.js';

const STEPS = 12;
const MINUTE = 60_000;
const HOURS_FROM = 180 * MINUTE;

/**
 * Voltage from plus to minus, as it was read at every dead test, against minutes from when the capacitors were left to
 * run down. With two readings that fall, the decay through them, dashed. Nothing before the first reading.
 */
export function voltsCurve(job: Job, flow: Flow, lines: readonly RecordLine[]): readonly Curve[] {
  const read = readingsOf(flow, lines)
    .filter(({ name, quantity }) => name === 'plus-minus' && quantity.unit.endsWith('V'))
    .map(({ at, quantity }) => ({ atMs: at, volts: Math.abs(valueIn(quantity, 'V')) }))
    .filter((one, at, all) => one.atMs !== all[at - 1]?.atMs);
  const [first, last] = [read[0], read.at(-1)];
  if (first === undefined || last === undefined) return [];
  const clock = [...flow.facts.values()].find(
    ({ time }) =>
      time !== null && 'from' in time && time.from === 'vehicle' && time.name === 'discharge-wait',
  );
  const label = clock === undefined ? null : labelOf(flow, clock.id);
  const wait = cureOf(job, flow, lines).clocks.find(
    (run) => run.label === label && run.startedAt <= first.atMs,
  );
  const zero = wait?.startedAt ?? first.atMs;
  // Read again after a night, minutes by the thousand say nothing.
  const hours = last.atMs - zero > HOURS_FROM;
  const scale = hours ? 60 * MINUTE : MINUTE;
  const passed = (instant: number) => Number(((instant - zero) / scale).toFixed(hours ? 3 : 2));
  const points = read.map(({ atMs, volts }) => ({ x: passed(atMs), y: volts }));
  const decay = judgeDecay(read);
  const falls = decay.ok && (decay.shape === 'falling' || decay.shape === 'flattening');
  const fitted = falls
    ? Array.from({ length: STEPS }, (_, at) => {
        const seconds = (2 * decay.tauSeconds * (at + 1)) / STEPS;
        return {
          x: passed(last.atMs + seconds * 1000),
          y: Number((last.volts * Math.exp(-seconds / decay.tauSeconds)).toFixed(2)),
        };
      })
    : [];
  const near = job.values['shop.dead-limit']?.quantity ?? null;
  const limit = near === null ? null : valueIn(near, 'V');
  const told = points.map(({ x, y }) => `${number(y)} V at ${lasting(x * scale)}`).join(', ');
  const values = [...points, ...fitted].map(({ x }) => x);
  return [
    {
      id: 'volts',
      title: 'Capacitors: voltage plus to minus',
      alt: `Plus to minus: ${told}.${limit === null ? '' : ` Near zero is up to ${number(limit)} V.`}${
        falls ? ` It falls to a third every ${lasting(decay.tauSeconds * 1000)}.` : ''
      }`,
      kind: 'curve',
      x: {
        label: wait === undefined ? 'since the first reading' : 'since left to run down',
        unit: hours ? 'h' : 'min',
        values,
      },
      series: [
        { label: 'read', unit: 'V', values: [...points.map(({ y }) => y), ...fitted.map(() => null)] },
        ...(fitted.length === 0
          ? []
          : [
              {
                label: 'if it falls on so',
                unit: 'V',
                values: [
                  ...points.map(({ y }, at) => (at === points.length - 1 ? y : null)),
                  ...fitted.map(({ y }) => y),
                ],
                dashed: true,
              },
            ]),
        ...(limit === null
          ? []
          : [{ label: 'near zero', unit: 'V', values: values.map(() => limit), dashed: true }]),
      ],
      marks:
        wait === undefined ? [] : [{ at: passed(wait.told.at(-1)?.instant ?? zero), label: 'wait over' }],
    },
  ];
}

function number(value: number): string {
  return printNumber(value, 3);
}
