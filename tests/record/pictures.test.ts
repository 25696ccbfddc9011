import { beforeAll, describe, expect, test } from 'vitest';
import type { Flow } from '../../src/flow/flow.js';
import type { Job } from '../../src/job/job.js';
import { readJournal } from '../../src/journal/journal.js';
import { boardOf } from '../../src/record/board.js';
import type { RecordLine } from '../../src/record/line.js';
import type { Curve, Pattern, Picture } from '../../src/record/picture.js';
import { picturesOf } from '../../src/record/pictures.js';
import { lasting } from '../../src/talk/phrase.js';
import { wholeJob } from '../desk/crew.js';
import { Floor, flowTexts, provedFlows } from '../desk/floor.js';

/** The demo job, at the moment its sealant cures and at its end. */
const seen: { job: Job; flow: Flow; lines: readonly RecordLine[]; now: number }[] = [];

beforeAll(async () => {
  const floor = await Floor.open({ flows: await provedFlows(flowTexts()) });
  await wholeJob(floor, { flow: 'disconnect-fuse', car: 'DEMO-1' }, async () => {
    const [job, flow] = [floor.desk.jobOf('1'), floor.desk.flowOf('1')];
    if (job === null || flow === null) return;
    const { lines } = readJournal(Buffer.from(floor.journal()));
    seen.push({ job, flow, lines, now: floor.clock.now() });
  });
});

const at = (when: (job: Job) => boolean) => {
  const found = seen.findLast(({ job }) => when(job));
  if (found === undefined) throw new Error('the job never came there');
  return found;
};
const picturesAt = (when: (job: Job) => boolean): readonly Picture[] => {
  const { job, flow, lines, now } = at(when);
  return picturesOf(job, flow, lines, now);
};
const curve = (pictures: readonly Picture[], id: string): Curve => {
  const found = pictures.find((one) => one.id === id);
  if (found?.kind !== 'curve') throw new Error(`no curve ${id}`);
  return found;
};

describe('the pictures of a job', () => {
  test('a job that has just begun has nothing to draw', () => {
    const first = seen[0];
    if (first === undefined) throw new Error('nothing happened');
    expect(picturesOf(first.job, first.flow, first.lines, first.now)).toEqual([]);
  });

  test('every series has a value or a gap for each place on the axis, and the axis runs one way', () => {
    const curves = picturesAt(() => true).filter((one): one is Curve => one.kind === 'curve');
    expect(curves.length).toBeGreaterThan(1);
    for (const { x, series } of curves) {
      for (const { values } of series) expect(values).toHaveLength(x.values.length);
      expect(x.values).toEqual([...x.values].sort((a, b) => a - b));
    }
  });

  test('the cure is drawn from the first drop to cured through, its releases where they were told', () => {
    const { job } = at(({ waitingFor }) => waitingFor !== null);
    const cure = curve(
      picturesAt(({ waitingFor }) => waitingFor !== null),
      'cure',
    );
    expect(cure.series[0]?.values.at(-1)).toBe(6);
    expect(cure.series[0]?.values[0]).toBe(0);
    const told = ['cured-handle', 'cured-test', 'cured-drive'].map((id) => {
      const key = Object.keys(job.facts).find((fact) => fact.endsWith(id)) ?? '';
      return job.facts[key]?.at ?? 0;
    });
    const marks = ['may be handled', 'may be leak-tested', 'may be driven'].map(
      (label) => cure.marks.find((mark) => mark.label === label)?.at ?? 0,
    );
    // Told instants and marks lie equally far apart, in hours: the marks count from the first drop.
    expect((marks[2] ?? 0) - (marks[0] ?? 0)).toBeCloseTo(((told[2] ?? 0) - (told[0] ?? 0)) / 3_600_000, 2);
    for (const mark of marks) expect(cure.alt).toContain(` after ${lasting(mark * 3_600_000)}`);
    expect(cure.alt).not.toMatch(/\d\.\d+ h|1 times/);
  });

  test('the alternative text of the voltage says every reading that is drawn', () => {
    const volts = curve(
      picturesAt(() => true),
      'volts',
    );
    const read = volts.series.find(({ label }) => label === 'read')?.values ?? [];
    expect(read.length).toBeGreaterThan(0);
    const unit = volts.x.unit === 'h' ? 3_600_000 : 60_000;
    volts.x.values.forEach((passed, index) => {
      if (read[index] == null) return;
      expect(volts.alt).toContain(`${read[index]} V at ${lasting(passed * unit)}`);
    });
  });

  test('bolts have each place in the order once, and the values that were told', () => {
    const patterns = picturesAt(() => true).filter((one): one is Pattern => one.kind === 'pattern');
    expect(patterns.length).toBeGreaterThan(1);
    for (const { bolts, alt } of patterns) {
      expect(bolts.map(({ order }) => order).sort((a, b) => a - b)).toEqual(
        bolts.map((_, index) => index + 1),
      );
      for (const { x, y } of bolts) expect(Math.max(x, y, 1 - x, 1 - y)).toBeLessThanOrEqual(1);
      const order = bolts.toSorted((a, b) => a.order - b.order).map(({ n }) => n);
      expect(alt).toContain(`in the order ${order.join(', ')}`);
    }
    const joints = patterns.find(({ bolts }) => bolts.some(({ value }) => value !== null));
    expect(joints?.bolts.map(({ value }) => value)).toEqual([9, 9]);
    expect(joints?.alt).toContain('bolt 1 9 N·m');
  });
});

describe('coolant that runs out', () => {
  const first = () => {
    const found = seen[0];
    if (found === undefined) throw new Error('nothing happened');
    return found;
  };
  const ml = (value: number) => ({ value, unit: 'ml' }) as const;
  /** A tray read at these minutes. */
  const spilled = (readings: readonly (readonly [minute: number, ml: number])[]): readonly Picture[] => {
    const { job, flow, lines, now } = first();
    const sightings = readings.map(([minute, amount]) => {
      const at = job.now + minute * 60_000;
      const reading = { quantity: ml(amount), assumedUnit: false, bound: null, at };
      const outcome = { verdict: 'running', total: reading, rate: null, tail: null } as const;
      const sighted = { is: 'stands', reading, bubbles: null } as const;
      return { sighted, saidAt: at, at, visit: 1, from: 0, outcome };
    });
    const ask = {
      ask: 'watch',
      name: 'tray',
      text: 'Tray',
      unit: 'ml',
      until: 'spill-still',
      plausible: null,
    };
    const steps = flow.steps.map((step, index) => (index === 0 ? { ...step, asks: [ask] } : step));
    const watched = { tray: { sightings, from: 0, prompt: null } };
    return picturesOf({ ...job, watched }, { ...flow, steps } as unknown as Flow, lines, now);
  };

  test('a tray read three times has a tail that goes on from the last reading to its end', () => {
    // 200 ml in all, half of what is left every 2 minutes.
    const tray = curve(
      spilled([
        [0, 0],
        [2, 100],
        [4, 150],
        [6, 175],
      ]),
      'coolant-tray',
    );
    expect(tray.series[0]?.values.slice(0, 4)).toEqual([0, 100, 150, 175]);
    const tail = tray.series[1]?.values ?? [];
    expect(tail[3]).toBe(175);
    expect(tail.at(-1)).toBeCloseTo(200 - 25 / 16, 0);
    expect(tray.alt).toContain('175 ml in all after 6 min, 4 readings');
    expect(tray.alt).toContain('ends at about 200 ml');
  });

  test('two readings are drawn without a tail', () => {
    const tray = curve(
      spilled([
        [0, 0],
        [2, 100],
      ]),
      'coolant-tray',
    );
    expect(tray.series.map(({ label }) => label)).toEqual(['read at the tray']);
    expect(tray.alt).not.toContain('tail');
  });
});

describe('the board', () => {
  const row = (job: Job | null, more: Partial<Job> = {}) => {
    const flow = seen[0]?.flow ?? null;
    const whole = job === null ? null : { ...job, ...more };
    return boardOf([{ bay: '1', label: 'Bay 1', job: whole, flow }], job?.now ?? 0).rows[0];
  };

  test('a bay without a job is calm', () => {
    expect(row(null)).toMatchObject({ attention: 0, job: null, holder: null, proved: [], open: [] });
  });

  test('a stop comes before all, then what is held, then what waits for a person', () => {
    const { job, flow } = at(({ asked }) => asked !== null);
    const bays = (['working', 'held', 'stopped', 'parked'] as const).map((mode) => ({
      bay: mode,
      label: mode,
      flow,
      job: { ...job, mode, modeReason: '' },
    }));
    const { rows } = boardOf(bays, job.now);
    expect(rows.map(({ bay, attention }) => [bay, attention])).toEqual([
      ['stopped', 3],
      ['held', 2],
      ['working', 1],
      ['parked', 0],
    ]);
  });

  test('what was proved stands with its warning, and what has lapsed stands under what is not proved', () => {
    const proved = (job: Job) => job.facts['bus-dead']?.value === 'stands';
    const { job } = at(proved);
    const words = (lines: readonly (readonly unknown[])[] = []) => lines.flat().join(' ');
    expect(words(row(job)?.proved)).toContain('car side proved dead');
    expect(words(row(job)?.proved)).toContain('PACK INSIDE STILL LIVE');
    const doubt = { value: 'doubt', since: job.now, at: null, why: 'hold' } as const;
    const after = row(job, { facts: { ...job.facts, 'bus-dead': doubt } });
    expect(words(after?.notProved)).toContain('car side proved dead: in doubt, hold');
    expect(words(after?.proved)).not.toContain('car side proved dead');
  });

  test('live parts open with nobody beside them call for somebody', () => {
    const exposed = (job: Job) => job.facts['live-exposed']?.value === 'stands';
    const { job } = at(exposed);
    expect(row(job)?.attention).toBeLessThan(2);
    const away = { value: 'gone', since: job.now, at: null, why: null } as const;
    const alone = row(job, { facts: { ...job.facts, 'standby-here': away } });
    expect(alone?.attention).toBe(2);
    expect(alone?.why?.join('')).toContain('Nobody is there');
  });

  test('a lock says whose it is; a cure says until when, and that it may become later', () => {
    const { job } = at(({ waitingFor }) => waitingFor !== null);
    const waits = row(job)?.waits ?? [];
    expect(waits.find(({ label }) => label === 'sealant cured for driving')).toMatchObject({
      firm: false,
      deadline: false,
    });
    const locked = at((one) => one.facts['lock-on']?.value === 'stands').job;
    expect(row(locked)?.locks.flat()[0]).toContain('own lock on: Mara Tillet');
  });

  test('an open bead is a deadline, which worse air brings nearer, and never a wait that becomes later', () => {
    const { job } = at((one) => one.facts['bead-open']?.value === 'stands');
    const bead = row(job)?.waits.find(({ label }) => label === 'sealant still open');
    expect(bead).toMatchObject({ firm: false, deadline: true });
  });

  test('a record that takes no more lines calls for somebody, and says why', () => {
    const { job, flow } = at(({ asked }) => asked !== null);
    const shut = 'The record is damaged at line 4. Work on with the paper list and call the foreman.';
    const board = (known: typeof flow | null) =>
      boardOf([{ bay: '1', label: 'Bay 1', job, flow: known, shut }], job.now).rows[0];
    for (const shown of [board(flow), board(null)]) {
      expect(shown).toMatchObject({ attention: 2, holder: 'Mara Tillet', job: { id: job.id } });
      expect(shown?.why).toEqual([shut]);
    }
  });

  test('a bay whose job cannot be read at all is never shown free', () => {
    const shut = 'open/QM-2603-001.jsonl is damaged at line 1';
    const bay = { bay: '1', label: 'Bay 1', job: null, flow: null };
    const [unread] = boardOf([{ ...bay, shut }], 0).rows;
    expect(unread).toMatchObject({ attention: 2, job: null });
    expect(unread?.why?.join('')).toBe(`NOT FREE, the record of its job cannot be read: ${shut}`);
    expect(boardOf([bay], 0).rows[0]).toMatchObject({ attention: 0, why: null });
  });

  test('nothing on it says that a car is safe', () => {
    for (const { job } of seen) expect(JSON.stringify(row(job))).not.toMatch(/\bsafe\b(?!")/i);
  });
});
