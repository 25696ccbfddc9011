import { afterEach, beforeAll, beforeEach, describe, expect, test } from 'vitest';
import type { Desk } from '../../src/desk/desk.js';
import type { FlowSource } from '../../src/desk/flow-source.js';
import type { Flow } from '../../src/flow/flow.js';
import type { Job } from '../../src/job/job.js';
import { valueIn } from '../../src/units/quantity.js';
import { nextInput } from '../desk/crew.js';
import { Floor, flowTexts, MINUTE, provedFlows } from '../desk/floor.js';
import { Shop } from './floor/shop.js';
import { SlackShop } from './slack/shop.js';

type Until = (job: Job, flow: Flow) => boolean;

/** A workshop that talks by one channel, whatever that is. Everybody sees what stands there when they speak. */
type Talk = {
  readonly desk: Desk;
  say(who: string, words: string): Promise<void>;
  /** The same message once more, as channels deliver things twice. */
  again(): Promise<void>;
  /** A good crew goes on until it comes to that, or the job ends. */
  until(there: Until): Promise<void>;
  /** Posts in the bay's thread so far. */
  posts(): Promise<number>;
  close(): Promise<void>;
};

let flows: FlowSource;
beforeAll(async () => {
  flows = await provedFlows(flowTexts());
});

async function byScript(): Promise<Talk> {
  const floor = await Floor.open({ flows });
  let last = floor.input('mara', 'start disconnect-fuse DEMO-1');
  return {
    desk: floor.desk,
    say: async (who, words) => {
      last = floor.input(who, words);
      await floor.send(last);
    },
    again: () => floor.send(last),
    until: async (there) => {
      for (let turn = 0; turn < 400; turn++) {
        const [job, flow] = [floor.desk.jobOf('1'), floor.desk.flowOf('1')];
        if (job === null || flow === null || there(job, flow)) return;
        const next = nextInput(floor, '1');
        const wake = floor.desk.nextWake();
        if (next !== null) await floor.send(next);
        const minutes = next === null && wake !== null ? (wake - floor.clock.now()) / MINUTE : 1;
        await floor.later(minutes);
      }
      throw new Error(`it is at ${floor.desk.jobOf('1')?.asked?.step}`);
    },
    posts: async () => floor.room.posts('1').length,
    close: () => floor.desk.close(),
  };
}

async function byFloor(): Promise<Talk> {
  const shop = await Shop.start(flows);
  let last = { who: '', words: '', key: '' };
  let count = 0;
  const send = async () => {
    const phone = await shop.phone(last.who);
    const seen = await phone.newestPlace();
    await phone.say(last.words, { bay: '1', seen, key: last.key });
    await shop.later(0);
  };
  return {
    desk: shop.desk,
    say: async (who, words) => {
      last = { who, words, key: `contract-${String(++count).padStart(12, '0')}` };
      await send();
    },
    again: send,
    until: async (there) => void (await shop.until(there)),
    posts: async () => {
      const live = await (await shop.phone('mara')).listen();
      await live.caughtUp();
      const found = live.of<{ thread: string; bay: string }>('post').filter(({ thread }) => thread === 'bay');
      live.close();
      return found.length;
    },
    close: () => shop.end(),
  };
}

async function bySlack(): Promise<Talk> {
  const shop = await SlackShop.open('process');
  let last = shop.people.opensHome('UMARA');
  return {
    desk: shop.desk,
    say: async (who, words) => {
      last = shop.said(who, words);
      await shop.push(last);
    },
    again: async () => void (await shop.push(last)),
    until: async (there) => {
      await shop.goOn((job) => {
        const flow = shop.desk.flowOf('1');
        return flow !== null && there(job, flow);
      });
    },
    posts: async () => shop.posts().length,
    close: () => shop.close(),
  };
}

/** What a job comes to: nothing in it is a time or a channel's own. */
function cameTo({ desk }: Talk) {
  const job = desk.lastJobOf('1');
  if (job === null) throw new Error('there was no job');
  const { mode, closed, fields, due, gear, choices, holder, standby } = job;
  const readings = Object.entries(job.readings).map(([name, all]) => {
    const last = all.at(-1)?.quantity;
    return [name, last === undefined ? null : valueIn(last, last.unit)];
  });
  const gone = Object.entries(job.facts).flatMap(([fact, { value }]) => (value === 'gone' ? [fact] : []));
  return {
    ...{ mode, closed, fields, choices, holder, standby, gone: gone.sort() },
    due: due.map(({ what, atKm, rule }) => ({ what, atKm, rule })),
    gear: Object.keys(gear).sort(),
    readings: Object.fromEntries(readings),
  };
}

const wordNext: Until = ({ asked }, flow) => {
  const step = flow.steps.find(({ id }) => id === asked?.step);
  return asked?.what === 'step' && step?.asks[asked.answers.length]?.ask === 'word';
};

let calm: ReturnType<typeof cameTo>;
beforeAll(async () => {
  const talk = await byScript();
  await talk.say('mara', 'start disconnect-fuse DEMO-1');
  await talk.until(() => false);
  calm = cameTo(talk);
  await talk.close();
});

describe.each([
  ['script', byScript],
  ['the floor page', byFloor],
  ['Slack', bySlack],
] as const)('a conversation by %s', (_, open) => {
  let talk: Talk;
  beforeEach(async () => {
    talk = await open();
    await talk.say('mara', 'start disconnect-fuse DEMO-1');
  });
  afterEach(() => talk.close());

  const job = (): Job => {
    const of = talk.desk.jobOf('1');
    if (of === null) throw new Error('no job is under way');
    return of;
  };
  const word = () => {
    const step = talk.desk.flowOf('1')?.steps.find(({ id }) => id === job().asked?.step);
    const ask = step?.asks.at(-1);
    if (ask?.ask !== 'word') throw new Error('no gate is shown');
    return { step: step?.id ?? '', words: ask.words };
  };

  test('carries the whole job, and it comes to the same as by any other', async () => {
    await talk.until(() => false);
    expect(calm.mode).toBe('done');
    expect(cameTo(talk)).toEqual(calm);
  });

  test('answers every message with one post, and the same message again with none', async () => {
    const before = await talk.posts();
    await talk.say('mara', 'note the sill is bent');
    expect(await talk.posts()).toBe(before + 1);
    await talk.again();
    await talk.again();
    expect(await talk.posts()).toBe(before + 1);
  });

  test('passes a gate by its own word and by nothing else', async () => {
    await talk.until(wordNext);
    const { step, words } = word();
    for (const other of ['ok', 'done', `> ${words[0]}`, `"${words[0]}"`, `say ${words[0]}`, `${words[0]}?`]) {
      await talk.say('mara', other);
      expect(job().closed[step], other).toBeUndefined();
    }
    await talk.say('jory', words[0] ?? '');
    expect(job().closed[step]).toBeUndefined();
    await talk.until(({ closed }) => closed[step] === true);
    expect(job().closed[step]).toBe(true);
  });

  test('freezes at STOP whoever says it, and only the foreman lets it go on', async () => {
    await talk.until(({ closed }) => Object.keys(closed).length > 3);
    await talk.say('wilf', 'stop');
    expect(job().mode).toBe('stopped');
    await talk.say('mara', 'release looked at it');
    expect(job().mode).toBe('stopped');
    await talk.say('orla', 'release looked at it, all well');
    expect(job().mode).not.toBe('stopped');
    await talk.until(() => false);
    expect(cameTo(talk)).toEqual(calm);
  });
});
