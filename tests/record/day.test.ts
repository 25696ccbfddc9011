import { describe, expect, test } from 'vitest';
import { dayPost } from '../../src/record/day.js';
import { type DueItem, dueListPost, monthEnd } from '../../src/record/due.js';
import { fewListed } from '../../src/record/few.js';
import { gearDue, gearDueText, unfitPeople, unusableGear } from '../../src/record/gear-due.js';
import { morningPost } from '../../src/record/morning.js';
import { againstUsual, usualOf } from '../../src/record/usual.js';
import type { Line, Post } from '../../src/talk/post.js';
import { wholeJob } from '../desk/crew.js';
import { Floor, flowTexts, provedFlows } from '../desk/floor.js';
import { demoRegister } from '../shop/folders.js';

const MINUTE = 60_000;
const textOf = (line: Line) => line.map((part) => (typeof part === 'string' ? part : '@')).join('');
const linesOf = (post: Post) => post.lines.map(textOf);

/** Everything that the journals of a data folder hold, read as plain text: nothing of the record's code. */
function rawEvents(floor: Floor): { readonly job: string; readonly at: number; readonly event: Raw }[] {
  return [...floor.disk.files]
    .filter(([path]) => /^(open|done)\/.*\.jsonl$/.test(path))
    .flatMap(([path, { bytes }]) =>
      bytes
        .toString()
        .split('\n')
        .filter((line) => line !== '')
        .flatMap((line) => {
          const { at, events = [] } = JSON.parse(line) as { at: number; events?: Raw[] };
          const job = path.replace(/^.*\//, '').replace('.jsonl', '');
          return events.map((event) => ({ job, at, event }));
        }),
    );
}
type Raw = Readonly<Record<string, unknown>> & { readonly type: string };

/** The day as somebody would count it from the journals by hand. */
function handCount(floor: Floor, after = 0) {
  const events = rawEvents(floor).filter(({ at }) => at > after);
  const of = (type: string) => events.filter(({ event }) => event.type === type).map(({ event }) => event);
  const answers = of('answered').map(
    ({ answer }) => answer as Raw & { name: string; text: string; ask: string },
  );
  const taken = answers.filter(
    (answer) => ['serial', 'batch'].includes(String(answer.type)) && !/^old-|-again$/.test(answer.name),
  );
  return {
    done: of('job-ended').filter(({ how }) => how === 'done').length,
    holds: of('mode-changed').filter(({ to, from }) => to === 'held' && from !== 'held').length,
    refused: of('refused').filter(({ counts }) => counts === true).length,
    notes: of('noted').length,
    used: [...new Set(taken.map(({ text }) => text))],
  };
}

/** A day in three bays: one job done, one held at a gate, one parked, and one that came in too late. */
async function dayOfThree(): Promise<Floor> {
  const floor = await Floor.open({ flows: await provedFlows(flowTexts()) });
  await wholeJob(floor, { flow: 'lv-battery', car: 'DEMO-1' });
  const bay2 = (who: string, words: string) => floor.say(who, words, { bay: '2' });
  for (const words of ['start disconnect-fuse DEMO-4', 'own cell', 'QF-7731', '2025-11'])
    await bay2('jory', words);
  await bay2('jory', 'note box was open');
  await bay2('wilf', 'hold the label is torn');
  await floor.later(3);
  await bay2('orla', 'release label read with me');
  await floor.later(2);
  await bay2('tamsin', 'hold seal of the box broken');
  return floor;
}

describe('the end of the day', () => {
  test('counts what the journals count, bay by bay', async () => {
    const floor = await dayOfThree();
    const count = handCount(floor);
    expect(count).toMatchObject({ done: 1, holds: 2, notes: 1 });
    await floor.later(16 * 60);
    const post = floor.posts('foreman').find((one) => one.startsWith('End of day')) ?? '';
    const lines = post.split('\n');
    expect(lines[0]).toBe(`End of day, @: ${count.done} done, 0 parked, 1 still open.`);
    expect(lines).toContain('Bay 1, DEMO-1, lv-battery: done @.');
    expect(post).toContain(
      'Bay 2, DEMO-4, disconnect-fuse: ON HOLD since @, Tamsin Roake: seal of the box broken.',
    );
    expect(lines).toContain('Free: Bay 3, no lift.');
    expect(lines).toContain(`Holds ${count.holds}:`);
    expect(lines).toContain('- Bay 2 @, Wilf Harrow: the label is torn, released @.');
    expect(lines).toContain('- Bay 2 @, Tamsin Roake: seal of the box broken. NOT RELEASED.');
    expect(post).toContain('Jory Pask: box was open.');
    for (const serial of count.used) expect(post).toContain(serial);
    expect(count.used.length).toBeGreaterThan(1);
    if (count.refused > 0) expect(post).toContain(`Refused at gates ${count.refused}:`);
    expect(lines.at(-1)).toContain("Bay 2: the foreman's release");
    // Fits a phone: no line is longer than a line of a post, and each bay has at most three.
    expect(lines.filter((line) => line.length > 110)).toEqual([]);
    expect(lines.length).toBeLessThan(20);
  });

  test('of the next day tells nothing of this one anew', async () => {
    const floor = await dayOfThree();
    await floor.later(40 * 60);
    const posts = floor.posts('foreman').filter((one) => one.startsWith('End of day'));
    expect(posts).toHaveLength(2);
    expect(posts[1]).toMatch(/^End of day, @: 0 done, 0 parked, 1 still open\./);
    expect(posts[1]).not.toContain('Holds');
    expect(posts[1]).not.toContain('DEMO-1');
  });

  test('is the same after a restart: read from the journals, kept nowhere else', async () => {
    const floor = await dayOfThree();
    await floor.say('orla', 'day', { bay: 'foreman' });
    const before = floor.lastPost('foreman');
    await floor.restart();
    await floor.say('orla', 'day', { bay: 'foreman' });
    expect(floor.lastPost('foreman')).toBe(before);
  });
});

describe('after three jobs of a flow', () => {
  test('the fourth is held against them, the first days had nothing to compare with', async () => {
    const floor = await Floor.open({ flows: await provedFlows(flowTexts()) });
    for (let job = 0; job < 4; job++) {
      await wholeJob(floor, { flow: 'lv-battery', car: 'DEMO-1' });
      await floor.later(24 * 60);
    }
    const lines = floor
      .posts('foreman')
      .filter((post) => post.startsWith('End of day') && post.includes('1 done'))
      .map((post) => post.split('\n').find((line) => line.startsWith('- DEMO-1, lv-battery')));
    expect(lines).toHaveLength(4);
    for (const line of lines.slice(0, 3)) expect(line).toContain('nothing to compare it with yet');
    // The same crew takes the same time every day.
    expect(lines[3]).toMatch(/^- DEMO-1, lv-battery: worked .*, each stage as usual\.$/);
    const worked = rawEvents(floor).filter(({ event }) => event.type === 'step-shown');
    expect(new Set(worked.map(({ job }) => job)).size).toBe(4);
  });
});

describe('a bay whose record cannot be read', () => {
  test('stands in both posts as not free, and with a look in the morning', () => {
    const bay = {
      ...{ bay: '2', label: 'Bay 2', job: null, flow: null, tally: null, ended: [] },
      shut: 'damaged at line 1',
    };
    const common = { now: 0, at: null, late: false, bays: [bay] };
    const day = linesOf(dayPost({ ...common, missed: [], usual: new Map(), gear: [], opensAt: null }));
    const morning = linesOf(morningPost({ ...common, today: '2026-03-02', gear: [], people: [] }));
    for (const lines of [day, morning]) {
      expect(lines.join(' ')).toContain(
        'Bay 2: NOT FREE, the record of its job cannot be read: damaged at line 1',
      );
      expect(lines.join(' ')).not.toContain('Free:');
    }
    expect(day.at(-1)).toContain('Bay 2: look first, its record is shut');
  });
});

describe('the time against the usual', () => {
  const stage = (name: string, minutes: number) => ({
    stage: name,
    workedMs: minutes * MINUTE,
    waitedMs: 99 * MINUTE,
    stoodMs: 0,
  });
  const jobs = [30, 40, 90, 50].map((minutes) => ({
    stages: [stage('make-safe', minutes), stage('pack-down', 60)],
  }));

  test('is the median of the last jobs, worked and not waited', () => {
    expect([...usualOf(jobs)]).toEqual([
      ['make-safe', 45 * MINUTE],
      ['pack-down', 60 * MINUTE],
    ]);
    expect([...usualOf([...jobs, { stages: [stage('make-safe', 5)] }])][0]).toEqual([
      'make-safe',
      40 * MINUTE,
    ]);
  });

  test('says nothing of a stage that fewer than three jobs had', () => {
    expect(usualOf(jobs.slice(0, 2)).size).toBe(0);
    const line = againstUsual([stage('make-safe', 30)], usualOf(jobs.slice(0, 2)));
    expect(textOf(line ?? [])).toBe('worked 30 min; nothing to compare it with yet');
  });

  test('names the stages that are off by a quarter and ten minutes, furthest first', () => {
    const usual = usualOf(jobs);
    const line = (...stages: ReturnType<typeof stage>[]) => textOf(againstUsual(stages, usual) ?? []);
    expect(line(stage('make-safe', 54), stage('pack-down', 74))).toBe(
      'worked 2 h 8 min, each stage as usual',
    );
    expect(line(stage('make-safe', 70), stage('pack-down', 20))).toBe(
      'worked 90 min; pack down 20 min (usual 60 min), make safe 70 min (usual 45 min)'.replace(
        '90 min',
        '1 h 30 min',
      ),
    );
    expect(line(stage('make-safe', 57))).toContain('make safe 57 min (usual 45 min)');
  });
});

describe('gear and people', () => {
  const { gear, people } = demoRegister();

  test('gear is due by its last good day: gloves the day before their date, the rest on it', () => {
    const due = gearDue(gear.values(), '2026-06-01', 14).map(({ id, daysLeft }) => `${id} ${daysLeft}`);
    // G1: 2025-12-08 and six months, a day less; O1: 2025-06-30 and twelve months is 29 days off.
    expect(due.filter((one) => !one.includes('-'))).toEqual(['G1 6']);
    expect(due.map((one) => one.split(' ')[0])).toEqual(['G3', 'W4', 'G1']);
    expect(textOf(gearDueText(gearDue(gear.values(), '2026-06-01', 14)[2] as never))).toBe(
      'gloves G1 2026-06-07 (in 6 days)',
    );
  });

  test('what no gate takes is told with its reason; on its last day a piece is still good', () => {
    const bad = (today: string) => unusableGear(gear.values(), today).map(textOf);
    expect(bad('2026-03-02')).toEqual([
      'gloves G3 (out of date, last day 2026-02-10)',
      'gloves G5 (leather torn, on order)',
      'wrench W4 (out of date, last day 2026-02-17)',
    ]);
    expect(bad('2026-06-07').some((one) => one.includes('G1'))).toBe(false);
    expect(bad('2026-06-08').some((one) => one.includes('G1'))).toBe(true);
    const worn = [...gear.values()].map((piece) =>
      piece.id === 'W1' ? { ...piece, cycles: { done: 5000, most: 5000 } } : piece,
    );
    expect(unusableGear(worn, '2026-03-02').map(textOf)).toContain('wrench W1 (5000 of 5000 cycles used)');
  });

  test('people without a level in date are named, the front desk is not', () => {
    expect(unfitPeople(people.values(), '2026-03-02').none.map(textOf)).toEqual([
      'Pip Lorne (level ended 2026-01-31)',
    ]);
    expect(unfitPeople(people.values(), '2026-09-30').lastDay.map(textOf)).toEqual(['Jory Pask']);
    expect(unfitPeople(people.values(), '2026-10-01').none.map(textOf)).toContain(
      'Jory Pask (level ended 2026-09-30)',
    );
  });
});

describe('the due list', () => {
  const item = (registration: string, on: string | null, atKm: number | null = null): DueItem => ({
    job: 'QM-2503-001',
    registration,
    what: 'coolant',
    on,
    atKm,
    rule: 'months',
  });
  const list = (items: readonly DueItem[], undated: readonly DueItem[] = []) =>
    linesOf(
      dueListPost({
        today: '2026-03-10',
        items,
        undated,
        odometerOf: (car) => (car === 'DEMO-1' ? 81_200 : null),
        gear: [],
      }),
    );

  test('puts what is overdue before what is due this month, and leaves next month out', () => {
    expect(
      list([
        item('A', '2026-02-28'),
        item('B', '2026-03-10'),
        item('C', '2026-03-31'),
        item('D', '2026-04-01'),
      ]),
    ).toEqual([
      'Due, as of 2026-03-10: 1 overdue, 2 due this month.',
      'Cars overdue:',
      '- A: coolant, renew 2026-02-28 (by the calendar).',
      'Cars this month:',
      '- B: coolant, renew 2026-03-10 (by the calendar).',
      '- C: coolant, renew 2026-03-31 (by the calendar).',
    ]);
  });

  test('names a car that has come to its distance, by the kilometres in the register', () => {
    const lines = list(
      [],
      [item('DEMO-1', null, 81_200), item('DEMO-2', null, 10), item('DEMO-1', null, 81_201)],
    );
    expect(lines[0]).toBe('Due, as of 2026-03-10: 1 overdue, 0 due this month.');
    expect(lines[2]).toBe('- DEMO-1: coolant, renew at 81200 km (by the calendar). It stands at 81200 km.');
  });

  test('folds a long list with its count', () => {
    const lines = list(Array.from({ length: 30 }, (_, at) => item(`CAR-${at}`, '2026-02-01')));
    expect(lines).toHaveLength(1 + 1 + 8 + 1);
    expect(lines.at(-1)).toBe('and 22 more.');
    expect(textOf(fewListed(['a', 'b', 'c', 'd'], 2))).toBe('a, b and 2 more');
    expect(textOf(fewListed(['a', 'b', 'c'], 2))).toBe('a, b, c');
  });

  test.each(['2026-02', '2024-02', '2026-12', '2026-04', '2000-02', '2100-02'])(
    'ends %s on its last day',
    (month) => {
      const [year = 0, number = 0] = month.split('-').map(Number);
      const last = new Date(Date.UTC(year, number, 0)).getUTCDate();
      for (const day of ['01', '15', String(last)])
        expect(monthEnd(`${month}-${day}`)).toBe(`${month}-${last}`);
    },
  );

  test('says so when nothing is due', () => {
    expect(list([])).toEqual(['Due, as of 2026-03-10: nothing overdue, nothing due this month.']);
  });
});
