import { inflateSync } from 'node:zlib';
import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import { printChart } from '../../../src/channel/slack/chart.js';
import type { Picture } from '../../../src/record/picture.js';
import { SlackShop } from './shop.js';

/** Width, height and the bytes of all rows of a PNG. */
function readPng(bytes: Buffer): { width: number; height: number; rows: Buffer } {
  expect(bytes.subarray(1, 4).toString()).toBe('PNG');
  const data: Buffer[] = [];
  for (let at = 8; at < bytes.length; at += 12 + bytes.readUInt32BE(at))
    if (bytes.subarray(at + 4, at + 8).toString() === 'IDAT')
      data.push(bytes.subarray(at + 8, at + 8 + bytes.readUInt32BE(at)));
  return {
    width: bytes.readUInt32BE(16),
    height: bytes.readUInt32BE(20),
    rows: inflateSync(Buffer.concat(data)),
  };
}

const CURVE: Picture = {
  id: 'c',
  title: 'Voltage plus to minus',
  alt: 'x',
  kind: 'curve',
  x: { label: 'since', unit: 'min', values: [0, 5, 10] },
  series: [{ label: 'read', unit: 'V', values: [40, 12, null] }],
  marks: [{ at: 5, label: 'wait over' }],
};

describe('a chart', () => {
  test('is a whole picture file, and dark where something is drawn', async () => {
    const { width, height, rows } = readPng(await printChart(CURVE));
    expect(rows).toHaveLength(height * (1 + width * 3));
    const ink = rows.filter((byte) => byte < 100).length;
    expect(ink).toBeGreaterThan(3000);
    expect(ink).toBeLessThan(rows.length / 10);
  });

  test.each([
    [
      'one reading',
      { ...CURVE, x: { ...CURVE.x, values: [3] }, series: [{ label: 'a', unit: 'V', values: [0] }] },
    ],
    ['no reading', { ...CURVE, x: { ...CURVE.x, values: [] }, series: [] }],
    ['no bolt', { id: 'b', title: 'Bolts', alt: '', kind: 'pattern', bolts: [], unit: 'N·m' }],
  ] as const)('is drawn of %s too', async (_, picture) => {
    const { rows, height, width } = readPng(await printChart(picture));
    expect(rows).toHaveLength(height * (1 + width * 3));
  });
});

describe('charts in the thread', () => {
  let shop: SlackShop;
  beforeEach(async () => {
    shop = await SlackShop.open('process');
    await shop.say('mara', 'start disconnect-fuse DEMO-1');
  });
  afterEach(() => shop.close());

  const pictures = () => [...shop.standIn.web.files.values()].filter(({ name }) => name.endsWith('.png'));
  const drawn = async (least: number) => {
    await expect
      .poll(() => pictures().filter(({ shown }) => shown !== null).length)
      .toBeGreaterThanOrEqual(least);
  };

  test('are shown when they are asked for, and say in words what they show', async () => {
    const before = shop.journal();
    await shop.say('mara', 'charts');
    await expect.poll(() => shop.standIn.web.whispers.at(-1)?.text).toContain('nothing to draw yet');
    expect(shop.journal(), 'asking changes nothing').toBe(before);
    await shop.goOn(({ closed }) => closed['make-safe/cap'] === true);
    await shop.say('mara', 'Charts');
    await drawn(1);
    await expect
      .poll(() => pictures().find(({ name, shown }) => name.includes('volts') && shown !== null))
      .toBeDefined();
    const one = pictures().find(({ name }) => name.includes('volts'));
    expect(one?.shown).toBe(shop.headOf('1')?.ts);
    expect(one?.alt).toContain('Plus to minus');
    expect(one?.comment).toContain(one?.alt);
    readPng(one?.bytes ?? Buffer.alloc(0));
  });

  test('are shown at the end of the job behind the record, tried again until they are up', async () => {
    await shop.goOn(({ closed }) => closed['make-safe/lv-off'] === true);
    shop.standIn.web.faults.add({ method: 'files.completeUploadExternal', does: 'cut', times: 2 });
    await shop.goOn(() => false);
    for (let minute = 0; minute < 3; minute++) {
      await shop.later(1);
      await shop.slack.tick();
    }
    await expect
      .poll(async () => {
        await shop.later(1);
        return pictures().filter(({ shown }) => shown !== null).length;
      })
      .toBeGreaterThanOrEqual(3);
    const names = pictures().flatMap(({ name, shown }) => (shown === null ? [] : [name]));
    expect(names.some((name) => name.includes('volts'))).toBe(true);
    expect(names.some((name) => name.includes('cure'))).toBe(true);
    expect(names.some((name) => name.includes('bolts'))).toBe(true);
  });

  test('where files may not be shown are told in words, and the job goes on', async () => {
    shop.standIn.web.level = { unknown: ['files.getUploadURLExternal'] };
    await shop.goOn(({ closed }) => closed['make-safe/cap'] === true);
    await shop.say('mara', 'charts');
    await expect.poll(() => shop.reports.join()).toContain('takes no files');
    await shop.say('mara', 'charts');
    await expect
      .poll(() => shop.standIn.web.whispers.map(({ text }) => text).join())
      .toContain('Plus to minus');
    const told = shop.thread().filter(({ text }) => text.includes('may not upload files'));
    expect(told).toHaveLength(1);
  });
});
