import type { FlowSource } from '../../src/desk/flow-source.js';
import type { Register } from '../../src/shop/register.js';
import { type Figure, median, quantile } from './figure.js';
import { ratio } from './message.js';
import { busyRegister } from './shop.js';
import { type Mode, SlackBench } from './slack.js';
import { memoryOf } from './slack-memory.js';

export type On = {
  readonly folder: (name: string) => string;
  readonly demo: Register;
  readonly flows: FlowSource;
  readonly runs: number;
  readonly pairs: number;
  readonly say: (words: string) => void;
  /** Files a ratio, with what is accepted and what is aimed at. */
  readonly ratioFigure: (
    judged: Pick<Figure, 'name' | 'goal' | 'aim' | 'remark'>,
    ratios: readonly number[],
  ) => void;
  readonly figure: (figure: Figure) => void;
};

const MODES = { socket: 'Socket Mode', http: 'HTTP' } as const;
const MANY = 16;
const BURST = 200;
const BURST_BAYS = 8;
const BUSY = 12;
/** Longer, and the platform sends it again. */
const ACK_LIMIT_MS = 3000;
const ms = (value: number) => `${value.toFixed(2)} ms`;

/** What the messaging channel costs over a handler of the same library that keeps and posts and does nothing else. */
export async function slackFigures(on: On): Promise<void> {
  for (const mode of ['socket', 'http'] as const) {
    await compare(on, mode, {
      ...{ name: 'message in to post out / bare handler', goal: 1.15, aim: 1.05, bays: 1, rounds: on.pairs },
      round: (bench, ownFirst) => bench.pair('1', ownFirst),
    });
    await compare(on, mode, {
      ...{ name: `${MANY} bays at once / bare handler`, goal: 1.1, aim: 1, bays: MANY },
      rounds: Math.ceil(on.pairs / 8),
      round: (bench, ownFirst) => bench.round(ownFirst),
    });
    await burst(on, mode);
  }
  await memory(on);
}

type Compared = {
  readonly name: string;
  readonly goal: number;
  readonly aim: number;
  readonly bays: number;
  readonly rounds: number;
  readonly round: (bench: SlackBench, ownFirst: boolean) => Promise<{ own: number; bare: number }>;
};

/** Both arms in turn, in the same process and run. */
async function compare({ folder, demo, flows, runs, say, ratioFigure }: On, mode: Mode, of: Compared) {
  const name = `${MODES[mode]}: ${of.name}`;
  say(name);
  const ratios: number[] = [];
  const all = { own: [] as number[], bare: [] as number[] };
  for (let run = 0; run < runs; run++) {
    const bench = await SlackBench.open(busyRegister(demo, of.bays), flows, folder('slack'), mode);
    const took = { own: [] as number[], bare: [] as number[] };
    for (let at = -Math.ceil(of.rounds / 4); at < of.rounds; at++) {
      const { own, bare } = await of.round(bench, at % 2 === 0);
      // The first ones warm up.
      if (at < 0) continue;
      took.own.push(own);
      took.bare.push(bare);
    }
    await bench.close();
    ratios.push(ratio(took.own, took.bare));
    all.own.push(...took.own);
    all.bare.push(...took.bare);
  }
  const spread = (of: readonly number[]) => `p50 ${ms(median(of))} p99 ${ms(quantile(of, 0.99))}`;
  const remark = `${spread(all.own)}, bare ${spread(all.bare)}`;
  ratioFigure({ name, goal: of.goal, aim: of.aim, remark }, ratios);
}

async function burst({ folder, demo, flows, say, figure }: On, mode: Mode) {
  const name = `${MODES[mode]}: ${BURST} messages over ${BURST_BAYS} bays, last acknowledged after`;
  say(name);
  const bench = await SlackBench.open(busyRegister(demo, BURST_BAYS), flows, folder('slack'), mode);
  // The first ones warm up.
  await bench.burst(BURST);
  const took = await bench.burst(BURST);
  await bench.close();
  const remark = `p50 ${ms(median(took))}; the platform waits ${ACK_LIMIT_MS} ms`;
  const measured = Math.max(...took);
  figure({ name, measured, unit: 'ms', goal: ACK_LIMIT_MS, aim: 500, unjudged: null, remark });
}

async function memory({ folder, runs, say, figure }: On) {
  const name = `memory with ${BUSY} busy bays / empty app of the library`;
  say(name);
  const own: number[] = [];
  const bare: number[] = [];
  for (let run = 0; run < Math.min(3, runs); run++) {
    own.push(await memoryOf('own', folder('memory'), BUSY));
    bare.push(await memoryOf('bare', folder('memory'), BUSY));
  }
  const mb = (value: number) => `${(value / 1024).toFixed(0)} MB`;
  const remark = `${mb(median(own))}, bare ${mb(median(bare))}`;
  const measured = ratio(own, bare);
  figure({ name, measured, unit: 'x', goal: 1.3, aim: 1.15, unjudged: null, remark });
}
