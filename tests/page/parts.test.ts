import { beforeAll, describe, expect, test } from 'vitest';
import { type Parts, partsOf } from '../../src/channel/floor/page/parts.js';
import { wrap } from '../../src/talk/line.js';
import { titleOf } from '../../src/talk/phrase.js';
import type { Line } from '../../src/talk/post.js';
import { questionOf } from '../../src/talk/question.js';
import { wholeJob } from '../desk/crew.js';
import { Floor, flowTexts, provedFlows } from '../desk/floor.js';

const printed = (line: Line) => line.map((part) => (typeof part === 'string' ? part : '10:14')).join('');

type Case = { readonly lines: readonly string[]; readonly step: string; readonly asks: number };

const JOBS = [
  { car: 'DEMO-1', most: 80 },
  { car: 'DEMO-3', most: 120 },
] as const;

describe.each(JOBS)('a question of the main job on $car, taken apart for the eye', ({ car, most }) => {
  const cases: Case[] = [];
  let people: readonly string[] = [];

  beforeAll(async () => {
    const floor = await Floor.open({ flows: await provedFlows(flowTexts()) });
    people = [...floor.register.people.values()].map(({ name }) => name);
    let known = 0;
    await wholeJob(floor, { flow: 'disconnect-fuse', car, hold: 15 }, async () => {
      const posts = floor.room.posts('1');
      const fresh = posts.slice(known).at(-1);
      known = posts.length;
      const [job, flow] = [floor.desk.jobOf('1'), floor.desk.flowOf('1')];
      if (fresh === undefined || fresh.post.visit === null || job?.asked == null || flow === null) return;
      const question = questionOf(job, flow, false);
      if (question === null) return;
      cases.push({
        lines: fresh.post.lines.map(printed),
        step: titleOf(job, flow, job.asked.step),
        asks: question.lines.flatMap((line) => wrap(line)).length,
      });
    });
  });

  /** Everything that is drawn of a post, in one string. */
  const drawn = ({ heard, tags, tool, head, small, ask, word, options }: Parts) =>
    [...heard, ...tags, tool ?? '', head, ...small, ...ask, word ?? '', ...options].join(' ').toLowerCase();

  test('every question of the main job has been looked at', () => {
    expect(cases.length).toBeGreaterThan(most);
  });

  test.each(['known', 'not known yet'])('no word of a question is left out when its step is %s', (is) => {
    const lost = cases.flatMap(({ lines, step }) => {
      const parts = partsOf(lines, is === 'known' ? step : null, people);
      const all = drawn(parts);
      const words =
        lines
          .join(' ')
          .toLowerCase()
          .match(/[a-z0-9.]{2,}/g) ?? [];
      // Said by the frame of the word or of the options.
      const frame = /^(?:type|or|say|it|alone|\d)/;
      return words.filter((word) => !all.includes(word.replace(/\.$/, '')) && !frame.test(word));
    });
    expect(lost).toEqual([]);
  });

  test.each(['known', 'not known yet'])(
    'nothing that is asked is made small as if it had been heard when its step is %s',
    (is) => {
      const small = cases.filter(({ lines, step, asks }) => {
        const { heard } = partsOf(lines, is === 'known' ? step : null, people);
        return heard.length > lines.length - asks;
      });
      expect(small).toEqual([]);
    },
  );

  test('what was kept and judged before is not taken for the question', () => {
    const loud = cases.filter(({ lines, step }) => {
      const { head } = partsOf(lines, step, people);
      return /^(?:Kept:|Photo kept|Own look:|Standby:|Seen:|\d[\d.]* \S+\.)/.test(head);
    });
    expect(loud).toEqual([]);
  });

  test('a gate gives its word, and no other question does', () => {
    for (const { lines, step } of cases) {
      const { word } = partsOf(lines, step, people);
      expect(word !== null, lines.join(' / ')).toBe(/^Type or say/.test(lines.at(-1) ?? ''));
    }
  });

  test('a line that begins with its tool is split there, and one to a person is not', () => {
    const of = (text: string) => partsOf([text], null, ['Tamsin Roake']);
    expect(of('Two-pole tester: volts across the gap, end to end.')).toMatchObject({
      tool: 'Two-pole tester',
      head: 'Volts across the gap, end to end.',
    });
    expect(of('Tamsin Roake: your own look. Saw all five? Answer SEEN.')).toMatchObject({
      tool: null,
      tags: ['Tamsin Roake'],
      head: 'your own look. Saw all five? Answer SEEN.',
    });
  });
});
