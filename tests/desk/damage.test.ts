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
