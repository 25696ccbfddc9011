import type { Browser } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import type { Picture } from '../../src/record/picture.js';
import { newPhone, SCREEN_NAMES, startBrowser } from './browser.js';
import { seriousFaults, tooWide } from './eyes.js';
import { Hand } from './hand.js';
import { Workshop } from './workshop.js';

const CURVE: Picture = {
  ...{
    id: 'coolant',
    title: 'Coolant lost',
    kind: 'curve',
    alt: 'It runs: 40 ml at 1 min, 62 at 2, then slower.',
  },
  x: { label: 'Time', unit: 'min', values: [0, 1, 2, 3] },
  series: [
    { label: 'Lost', unit: 'ml', values: [0, 40, 62, null] },
    { label: 'Fitted tail', unit: 'ml', values: [null, 40, 61, 70], dashed: true },
  ],
  marks: [{ at: 2, label: 'last reading' }],
};
const PATTERN: Picture = {
  ...{ id: 'cover', title: 'Cover bolts', kind: 'pattern', unit: 'N·m', alt: 'Four bolts, order 1 3 2 4.' },
  bolts: [
    { n: 1, x: 0, y: 0, order: 1, value: 8 },
    { n: 2, x: 1, y: 0, order: 3, value: null },
    { n: 3, x: 1, y: 1, order: 2, value: 8.1 },
    { n: 4, x: 0, y: 1, order: 4, value: null },
  ],
};

describe('pictures of a job', () => {
  let browser: Browser;
  beforeAll(async () => {
    browser = await startBrowser();
  });
  afterAll(async () => {
    await browser?.close();
  });

  test.each(SCREEN_NAMES)(
    'are fetched and drawn only when opened, and say the same in words, at %s',
    async (screen) => {
      const shop = await Workshop.open();
      await shop.said('mara', 'start disconnect-fuse DEMO-1');
      const hand = await Hand.open(await newPhone(browser, { screen }), shop.url, '#/bay/1');
      const { page } = hand;
      const asked: string[] = [];
      page.on('request', (request) => asked.push(new URL(request.url()).pathname));
      await page.route('**/pictures/1', (route) => route.fulfill({ json: { pictures: [CURVE, PATTERN] } }));
      await page.reload();
      await page.locator('.now').waitFor();
      expect(asked.filter((path) => /chart|picture/.test(path))).toEqual([]);
      await hand.goTo('#/pictures/1');
      await page.locator('.curve canvas').waitFor();
      expect(asked).toContain('/charts.js');
      expect(await page.locator('.curve').getAttribute('aria-label')).toBe(CURVE.alt);
      expect(await page.locator('figcaption').allTextContents()).toEqual([CURVE.alt, PATTERN.alt]);
      expect(await page.locator('.pattern .bolt').count()).toBe(4);
      expect(await page.locator('.pattern .told').count()).toBe(2);
      const order = await page.locator('.order tbody tr td:nth-child(2)').allTextContents();
      expect(order).toEqual(['1', '3', '2', '4']);
      expect(await seriousFaults(page)).toEqual([]);
      expect(await tooWide(page)).toBeLessThanOrEqual(0);
      expect(hand.tab.faults).toEqual([]);
      await shop.close();
    },
  );
});
