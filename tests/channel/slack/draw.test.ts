import { describe, expect, test } from 'vitest';
import { drawPost, recordText, withoutButtons } from '../../../src/channel/slack/blocks.js';
import { readButton } from '../../../src/channel/slack/button.js';
import { LIMITS } from '../../../src/channel/slack/limits.js';
import { instantOf, placeOf, stampAt, stampOf } from '../../../src/channel/slack/place.js';
import { unescaped } from '../../../src/channel/slack/text.js';
import { bayNamed, wantedBy } from '../../../src/channel/slack/where.js';
import type { Post } from '../../../src/talk/post.js';
import { sayQuestion } from '../../../src/talk/say.js';
import { wholeJob } from '../../desk/crew.js';
import { Floor, flowTexts, provedFlows } from '../../desk/floor.js';
import { Bench, realFlows } from '../../talk/say-bench.js';
import { benchFlow } from '../../talk/say-flow.js';
import { post } from '../post.js';
import { tooMuch } from './standin/too-much.js';

const LOOK = { zone: 'Etc/UTC', again: false, job: 'QM-2603-001', person: 'mara' };
const draw = (parts: Partial<Post>) => drawPost(post(parts), LOOK);
const texts = (drawn: ReturnType<typeof draw>) =>
  drawn.blocks.flatMap((block) => (block.type === 'section' ? [block.text.text] : []));

/** Everything that a job of this flow posts when all goes well. */
async function postsOf(flow: string, car: string): Promise<readonly Post[]> {
  const floor = await Floor.open({ flows: await provedFlows(flowTexts()) });
  await wholeJob(floor, { flow, car });
  return floor.room.entries.flatMap((entry) => (entry.is === 'post' ? [entry.post] : []));
}

function withinLimits(one: Post): void {
  const { text, blocks } = drawPost(one, LOOK);
  expect(tooMuch(blocks)).toEqual([]);
  expect(text.length).toBeGreaterThan(0);
  expect(text.length).toBeLessThanOrEqual(LIMITS.text);
  // Nothing of what is asked is cut off for whoever only hears the text.
  expect(text.endsWith('…')).toBe(false);
  const labels = blocks.flatMap((block) => (block.type === 'actions' ? block.elements : []));
  expect(labels.length).toBe(one.buttons.length);
  expect(labels.length).toBeLessThanOrEqual(LIMITS.buttons);
  for (const { text: label } of labels) {
    expect(label.text.length).toBeLessThanOrEqual(LIMITS.buttonText);
    expect(label.text).not.toContain('…');
  }
}

describe('a post as the platform gets it', () => {
  test.each([
    ['disconnect-fuse', 'DEMO-1'],
    ['disconnect-fuse', 'DEMO-2'],
  ])('every post of %s on %s keeps within the table of limits', async (flow, car) => {
    const posts = await postsOf(flow, car);
    expect(posts.length).toBeGreaterThan(100);
    posts.forEach(withinLimits);
  });

  test('every question of every flow keeps within the table of limits', () => {
    const bench = new Bench(benchFlow());
    bench.untilStep('gap');
    const open = {
      what: 'step',
      facts: [],
      visit: 3,
      shownAt: bench.job.now,
      lastAt: bench.job.now,
    } as const;
    let count = 0;
    for (const flow of realFlows) {
      for (const step of flow.steps) {
        step.asks.forEach((ask, index) => {
          const confirmed = {
            answer: { ask: 'confirm', photo: null },
            by: 'mara',
            at: bench.job.now,
          } as const;
          const answers = Array.from({ length: index }, () => confirmed);
          const word = ask.ask === 'word' ? (ask.words[0] ?? null) : null;
          const asked = {
            ...open,
            step: step.id,
            answers,
            seq: 9,
            word,
            plan: null,
            ended: false,
            silent: false,
          };
          const question = sayQuestion({ ...bench.job, asked }, flow);
          if (question === null) throw new Error(`${flow.id}: ${step.id} asks nothing`);
          withinLimits(question);
          count++;
        });
      }
    }
    expect(count).toBeGreaterThan(200);
  });

  test('says the same in its text as in its blocks', () => {
    const drawn = draw({
      lines: [['Battery off.'], ['Ready at ', { instant: 1_772_438_400_000, as: 'time' }, '.']],
    });
    expect(drawn.text).toBe('Battery off.\nReady at 08:00.');
    expect(texts(drawn)).toEqual(['Battery off.\nReady at <!date^1772438400^{time}|08:00>.']);
  });

  test('words of a person become no mention, no link and no channel', () => {
    const drawn = draw({ lines: [['Note: <!channel> <@U1> & <http://x|y>']] });
    expect(texts(drawn)).toEqual(['Note: &lt;!channel&gt; &lt;@U1&gt; &amp; &lt;http://x|y&gt;']);
    expect(drawn.text).not.toMatch(/[<>]/);
  });

  test('what the platform would take for formatting is shown as it stands', () => {
    const drawn = draw({
      lines: [['Bolts *1* and _2_, ~3~'], ['at ', { instant: 1_772_438_400_000, as: 'time' }]],
    });
    expect(drawn.blocks).toEqual([
      {
        type: 'section',
        text: { type: 'plain_text', text: 'Bolts *1* and _2_, ~3~\nat 08:00', emoji: false },
      },
    ]);
  });

  test('a long post is broken at line ends, and all of it is there', () => {
    const lines = Array.from({ length: 120 }, (_, at) => [`line ${at} ${'x'.repeat(60)}`]);
    const drawn = draw({ lines });
    expect(tooMuch(drawn.blocks)).toEqual([]);
    expect(texts(drawn).join('\n').split('\n')).toEqual(lines.flat());
  });

  test('of a summary the short form is said and the whole record goes along as a file', () => {
    const summary = post({ kind: 'summary', lines: [['Done.'], ['Two due.'], [''], ['RECORD'], ['line']] });
    expect(drawPost(summary, LOOK).text).toBe('Done.\nTwo due.');
    expect(recordText(summary, 'Etc/UTC')).toBe('RECORD\nline\n');
  });

  test('a post that may stand there already says so', () => {
    expect(drawPost(post({ lines: [['Dry?']] }), { ...LOOK, again: true }).text).toBe('Dry? (again)');
  });

  test('a button carries job, visit and person, and what a tap says', () => {
    const drawn = draw({ buttons: [{ label: 'Pack is out of the car', says: 'pack-out' }], visit: '7' });
    const [actions] = drawn.blocks.filter((block) => block.type === 'actions');
    const [button] = actions?.elements ?? [];
    expect(button?.text.text).toBe('Pack is out of…');
    expect(button?.accessibility_label).toBe('Pack is out of the car');
    expect(readButton(button?.value ?? '')).toEqual({
      job: 'QM-2603-001',
      visit: '7',
      person: 'mara',
      says: 'pack-out',
    });
    expect(withoutButtons(drawn).blocks.some(({ type }) => type === 'actions')).toBe(false);
  });

  test.each(['', 'x', '[1,2,3,4]', '["a","b","c"]', '{}'])(
    'a button that carries %j is none of ours',
    (value) => {
      expect(readButton(value)).toBeNull();
    },
  );
});

describe('places', () => {
  test.each([
    ['999999999.999999', '1000000000.000001'],
    ['1772438400.000009', '1772438400.000010'],
    ['9999999999.000000', '10000000000.000000'],
  ])('%s stands before %s as text too', (a, b) => {
    expect(placeOf(a) < placeOf(b)).toBe(true);
    expect(stampOf(placeOf(a))).toBe(a);
  });

  test('a stamp and its instant agree', () => {
    expect(instantOf('1772438400.123456')).toBe(1_772_438_400_123);
    expect(instantOf(stampAt(1_772_438_400_123))).toBe(1_772_438_400_123);
  });
});

describe('words at channel level', () => {
  test.each([
    ['2: start disconnect-fuse DEMO-1', '2', 'start disconnect-fuse DEMO-1'],
    ['bay 2 where', '2', 'where'],
    ['Bay2, stop', '2', 'stop'],
    ['start disconnect-fuse DEMO-2', null, 'start disconnect-fuse DEMO-2'],
    ['2', null, '2'],
    ['20 mm spanner?', null, '20 mm spanner?'],
  ])('%j is for bay %s', (words, bay, rest) => {
    expect(bayNamed(words, ['1', '2'])).toEqual({ bay, words: rest });
  });

  test.each([
    ['STOP', 'stop'],
    ['fire!', 'stop'],
    ['start disconnect-fuse DEMO-1', 'start'],
    ['where', 'read'],
    ['anybody for tea', 'talk'],
  ])('%j wants to %s', (words, wanted) => {
    expect(wantedBy(words)).toBe(wanted);
  });

  test('what was typed is read as it was typed', () => {
    expect(unescaped('&lt;5 V &amp; dry &amp;lt;')).toBe('<5 V & dry &lt;');
  });
});
