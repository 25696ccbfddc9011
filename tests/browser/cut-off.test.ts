import type { Browser, BrowserContext } from 'playwright-core';
import { afterAll, afterEach, beforeAll, beforeEach, describe, expect, test } from 'vitest';
import { newPhone, startBrowser } from './browser.js';
import { Hand } from './hand.js';
import { asks, Workshop } from './workshop.js';

describe('a page that is cut off', () => {
  let browser: Browser;
  let shop: Workshop;
  let phone: BrowserContext;
  let mara: Hand;
  beforeAll(async () => {
    browser = await startBrowser();
  });
  afterAll(async () => {
    await browser?.close();
  });
  beforeEach(async () => {
    shop = await Workshop.open();
    phone = await newPhone(browser, { screen: '390 x 844' });
    await shop.said('mara', 'start disconnect-fuse DEMO-1');
    await shop.workUntil(asks('confirm'));
    mara = await Hand.open(phone, shop.url, '#/bay/1');
    await mara.signIn('Mara Tillet');
    await mara.sees(await shop.placeOfQuestion('1'));
    await mara.rested();
  });
  afterEach(async () => {
    await phone.close();
    await shop.close();
  });

  test('says since when, sends nothing, keeps what was typed, and goes on where it was', async () => {
    const { page } = mara;
    await page.locator('.box-row input').fill('note half');
    const port = await shop.cut();
    await page.getByText(/Cut off since \d\d:\d\d/).waitFor();
    expect(await page.locator('.box .send').isDisabled()).toBe(true);
    expect(await page.locator('.answers .key').first().isDisabled()).toBe(true);
    await page.locator('.box-row input').press('Enter');
    await shop.mend(port);
    await page.locator('.band-cut').waitFor({ state: 'detached' });
    expect(await mara.unsent()).toBe('note half');
    expect(await page.locator('.entry-said').filter({ hasText: 'note half' }).count()).toBe(0);
    await page.locator('.box .send').click();
    await page.locator('.entry-said').filter({ hasText: 'note half' }).waitFor();
  });

  test('learns what was said meanwhile, each thing once', async () => {
    const { page } = mara;
    await phone.setOffline(true);
    await page.locator('.band-cut').waitFor();
    const before = await shop.placeOfQuestion('1');
    await shop.said('mara', 'done');
    await phone.setOffline(false);
    await mara.sees(await shop.nextQuestion('1', before));
    await page.locator('.band-cut').waitFor({ state: 'detached' });
    const places = await page
      .locator('.ledger .entry')
      .evaluateAll((entries) =>
        entries.map((entry) => (entry as unknown as { dataset: { place: string } }).dataset.place),
      );
    expect(places).toEqual([...new Set(places)].sort().reverse());
  });

  test('sends STOP until it is through, and says meanwhile that it is not', async () => {
    const { page } = mara;
    const port = await shop.cut();
    await page.locator('.band-cut').waitFor();
    await page.locator('.stop').click();
    await page.getByText('has NOT got through').waitFor();
    await shop.mend(port);
    await shop.until(() => shop.desk.jobOf('1')?.mode === 'stopped');
    await page.getByText('STOP is through').waitFor();
    await page.locator('.card').waitFor();
  });

  test('that slept for an hour catches up before anything can be sent from it', async () => {
    const { page } = mara;
    await page.clock.install();
    await page.reload();
    await page.locator('.box-row input').fill('note old');
    await page.locator('.box .send:enabled').waitFor();
    // The lid is shut; meanwhile the job goes on. The first thing heard afterwards is held back.
    let letThrough: () => void = () => undefined;
    const held = new Promise<void>((resolve) => {
      letThrough = resolve;
    });
    await page.route('**/live*', async (route) => {
      await held;
      await route.continue();
    });
    await page.clock.fastForward('01:00:00');
    await page.getByText('Catching up.').first().waitFor();
    expect(await page.locator('.box .send').isDisabled()).toBe(true);
    expect(await page.locator('.answers .key').first().isDisabled()).toBe(true);
    const before = await shop.placeOfQuestion('1');
    await shop.said('mara', 'done');
    letThrough();
    await mara.sees(await shop.nextQuestion('1', before));
    await page.locator('.box .send:enabled').waitFor();
    expect(await mara.unsent()).toBe('note old');
  });
});
