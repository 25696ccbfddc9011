import { hash } from 'node:crypto';
import { describe, expect, test } from 'vitest';
import { tryOut } from '../channel/bench.js';
import { Floor, wordsIn } from './floor.js';

const flows = await tryOut();

async function twoBays(): Promise<Floor> {
  const floor = await Floor.open({ flows });
  await floor.say('mara', 'start try-out DEMO-1');
  await floor.say('jory', 'start try-out DEMO-2', { bay: '2' });
  await floor.say('mara', 'note one');
  await floor.say('mara', 'note two');
  await floor.desk.close();
  return floor;
}

const pathOf = (floor: Floor, number: number): string => {
  const found = [...floor.disk.files.keys()].find((path) => path.endsWith(`00${number}.jsonl`));
  if (found === undefined) throw new Error(`no journal ${number}`);
  return found;
};

/** Writes the text of a journal anew, as somebody with an editor would. */
async function edit(floor: Floor, path: string, change: (text: string) => string): Promise<Buffer> {
  const bytes = Buffer.from(change(floor.disk.files.get(path)?.bytes.toString() ?? ''));
  await floor.disk.write(path, bytes);
  await floor.disk.syncFolder('open');
  return bytes;
}

describe('a damaged journal', () => {
  test.each([
    ['changed words in the middle', (text: string) => text.replace('note one', 'note won')],
    ['a line taken out', (text: string) => text.split('\n').toSpliced(2, 1).join('\n')],
    ['bytes that are no text', (text: string) => text.replace('"note one"', '\u0000\u0001')],
    ['changed words in its first line', (text: string) => text.replace('"bay":"1"', '"bay":"3"')],
    ['nothing but rubbish', () => 'rubbish\n'],
  ])(
    '%s: that job takes nothing more, its file stays as it is, every other bay goes on',
    async (_, change) => {
      const floor = await twoBays();
      const path = pathOf(floor, 1);
      const bytes = await edit(floor, path, change);
      await floor.start();
      expect(floor.desk.reports.join('\n')).toMatch(/open\/\S+-001\.jsonl line \d+: .*This job is stopped/);
      await floor.say('mara', 'ok').catch(() => undefined);
      expect(floor.disk.files.get(path)?.bytes.equals(bytes)).toBe(true);
      await floor.say('jory', 'ok', { bay: '2' });
      expect(floor.desk.jobOf('2')?.closed).toEqual({ lamp: true });
    },
  );

  test('is told in the bay in words, and a stop there still shows the card and calls the foreman', async () => {
    const floor = await twoBays();
    await edit(floor, pathOf(floor, 1), (text) => text.replace('note one', 'note won'));
    await floor.start();
    await floor.say('mara', 'ok');
    expect(floor.lastPost()).toContain('NOT TAKEN');
    expect(floor.lastPost()).toContain('Put the file back from a copy');
    await floor.say('mara', 'stop');
    expect(floor.lastPost()).toContain('STOP');
    expect(floor.lastPost()).toContain('000');
    expect(floor.lastPost('foreman')).toMatch(/1/);
  });

  test('a torn last line is cut off and told, and the job goes on', async () => {
    const floor = await twoBays();
    await edit(floor, pathOf(floor, 1), (text) => `${text}{"v":1,"seq":4,"at":17`);
    await floor.start();
    expect(floor.desk.reports.join('\n')).toContain('the power went while it was written');
    await floor.say('mara', 'ok');
    await floor.crash();
    expect(wordsIn(floor.journal())).toContain('ok');
  });
});

describe('a journal of which nothing can be read', () => {
  const rubbish = () => 'rubbish\n';

  test('keeps its bay shut, says so there and to whoever asks where bays stand', async () => {
    const floor = await twoBays();
    const path = pathOf(floor, 1);
    const bytes = await edit(floor, path, rubbish);
    await floor.start();
    expect(floor.desk.reports.join('\n')).toContain('1: shut');
    await floor.say('mara', 'start try-out DEMO-1');
    expect(floor.lastPost()).toContain('NOT TAKEN');
    expect(floor.lastPost()).toMatch(/open\/\S+-001\.jsonl line 1/);
    expect(floor.desk.jobOf('1')).toBe(null);
    expect(floor.disk.files.get(path)?.bytes.equals(bytes)).toBe(true);
    await floor.say('orla', 'where', { bay: '3' });
    expect(floor.lastPost('3')).toContain('1: NOT FREE');
    await floor.say('mara', 'stop');
    expect(floor.lastPost()).toContain('STOP');
    await floor.say('jory', 'ok', { bay: '2' });
    expect(floor.desk.jobOf('2')?.closed).toEqual({ lamp: true });
  });

  test.each([
    ['was lost', null],
    ['was changed', (text: string) => text.replace('"bay":"1"', '"bay":"3"')],
    ['is rubbish too', rubbish],
  ])('and whose note of the bay %s is told at the start of a job in any bay', async (_, change) => {
    const floor = await twoBays();
    await edit(floor, pathOf(floor, 1), rubbish);
    const note =
      [...floor.disk.files.keys()].find((path) => path.startsWith('bays/') && /001/.test(path)) ?? '';
    if (change === null) await floor.disk.remove(note);
    else await edit(floor, note, change);
    await floor.start();
    expect(floor.desk.reports.join('\n')).toContain('its bay is not known');
    await floor.say('mara', 'start try-out DEMO-1', { bay: '3' });
    expect(floor.posts('3')[0]).toContain('The record of a job cannot be read');
    expect(floor.posts('3')[0]).toMatch(/open\/\S+-001\.jsonl line 1/);
    expect(floor.desk.jobOf('3')?.asked?.step).toBe('lamp');
  });

  test('is taken up again as soon as the file is put back', async () => {
    const floor = await twoBays();
    const path = pathOf(floor, 1);
    const whole = floor.disk.files.get(path)?.bytes.toString() ?? '';
    await edit(floor, path, rubbish);
    await floor.start();
    await edit(floor, path, () => whole);
    await floor.start();
    await floor.say('mara', 'ok');
    expect(floor.desk.jobOf('1')?.closed).toEqual({ lamp: true });
  });
});

test('a job that has ended leaves no note of its bay behind', async () => {
  const floor = await twoBays();
  await floor.start();
  const notes = () => [...floor.disk.files.keys()].filter((path) => path.startsWith('bays/'));
  expect(notes().length).toBe(2);
  await floor.say('jory', 'ok', { bay: '2' });
  await floor.later(11);
  await floor.say('jory', 'lamp seven', { bay: '2' });
  expect(floor.desk.jobOf('2')).toBe(null);
  expect(notes().length).toBe(1);
});

test('a journal that a later version wrote is shown and not written, and other bays go on', async () => {
  const floor = await twoBays();
  const path = pathOf(floor, 1);
  const bytes = await edit(floor, path, (text) => {
    const before = /"hash":"([0-9a-f]{64})"\}\n$/.exec(text)?.[1] ?? '';
    const body = '{"v":2,"seq":4,"something":"new"';
    return `${text}${body},"hash":"${hash('sha256', before + body)}"}\n`;
  });
  await floor.start();
  await floor.say('mara', 'ok');
  expect(floor.lastPost()).toContain('written in format 2 by a later version');
  expect(floor.desk.jobOf('1')?.asked?.step).toBe('lamp');
  expect(floor.disk.files.get(path)?.bytes.equals(bytes)).toBe(true);
  await floor.say('jory', 'ok', { bay: '2' });
  expect(floor.desk.jobOf('2')?.closed).toEqual({ lamp: true });
});
