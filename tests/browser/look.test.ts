import { mkdirSync } from 'node:fs';
import { join } from 'node:path';
import type { Browser, Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { newPhone, SCREEN_NAMES, SCREENS, type Screen, startBrowser } from './browser.js';
import { clumsyTargets, seriousFaults, tooWide } from './eyes.js';
import { Hand } from './hand.js';
import { asks, Workshop } from './workshop.js';

/** With this folder set, every screen is also kept as a picture, to be looked at. */
const SHOTS = process.env.BAYWARDEN_SHOTS;

describe('the screens of the page', () => {
  let browser: Browser;
  beforeAll(async () => {
    browser = await startBrowser();
  });
  afterAll(async () => {
    await browser?.close();
  });

  test('can be used by everybody, on a phone and on a wall, light and dark: nothing serious, too wide or too small', async () => {
    const shop = await Workshop.open({ mara: '7305' });
    const hand = await Hand.open(await newPhone(browser, { screen: '390 x 844' }), shop.url);
    const found: string[] = [];
    const check = async (name: string, hash: string, shows: string) => {
      await hand.goTo(hash);
      await hand.page.locator(shows).first().waitFor();
      await hand.rested();
      found.push(...(await faultsOf(hand, name)));
    };

    await check('first', '#/', '.first');
    await check('start', '#/start', '.start, .picks');
    await check('sign-in', '#/sign-in', '.person .picks');
    await check('not signed in', '#/bay/1', '.box .sign-in');
    await hand.signIn('Mara Tillet', { pin: '7305', own: false });
    await check('free bay', '#/bay/2', '.start');

    await shop.said('mara', 'start disconnect-fuse DEMO-1');
    await shop.workUntil(asks('choice'));
    await check('choice', '#/bay/1', '.answers');
    await shop.workUntil(asks('reading'));
    await check('reading', '#/bay/1', '.now .head');
    await shop.workUntil(asks('confirm'));
    await check('step', '#/bay/1', '.answers .key');
    await shop.workUntil(({ waitingFor, asked }) => waitingFor !== null && asked === null);
    await check('wait', '#/bay/1', '.clocks li');
    await shop.workUntil(asks('word'));
    await check('gate', '#/bay/1', '.gate-word');
    await hand.say((await hand.page.locator('.gate-word b').textContent()) ?? '');
    await hand.page.locator('.pin').waitFor();
    await hand.enter('73');
    found.push(...(await faultsOf(hand, 'pin')));
    await hand.page.getByRole('button', { name: 'Not now' }).click();
    await check('pictures', '#/pictures/1', '.pictures');
    await shop.said('mara', 'hold tester looks odd');
    await check('hold', '#/bay/1', '.now-held');
    await check('board with a hold', '#/', '.row-2');
    await check('foreman', '#/foreman', '.ledger .entry-alert');
    await shop.said('tamsin', 'smoke!');
    await check('card', '#/bay/1', '.card .first-actions');
    await check('board with a stop', '#/', '.row-3');
    const port = await shop.cut();
    await check('cut off', '#/bay/1', '.band-cut');
    await shop.mend(port);

    expect(found).toEqual([]);
    expect(hand.tab.strayed).toEqual([]);
    expect(hand.tab.faults).toEqual([]);
    await shop.close();
  });
});

/** What is wrong with the screen that is open, on both screens and in both schemes. */
async function faultsOf({ page }: Hand, name: string): Promise<readonly string[]> {
  const found: string[] = [];
  for (const screen of SCREEN_NAMES) {
    const told = (faults: readonly string[], scheme: string) =>
      found.push(...faults.map((fault) => `${name}, ${screen}, ${scheme}: ${fault}`));
    await page.setViewportSize(SCREENS[screen]);
    told(await seriousFaults(page), 'light');
    const wide = await tooWide(page);
    if (wide > 0) told([`${wide} px too wide`], 'light');
    await shot(page, name, screen, 'light');
    // The same page in other colours: only they can be wrong.
    await page.emulateMedia({ colorScheme: 'dark' });
    told(await seriousFaults(page, ['color-contrast']), 'dark');
    await shot(page, name, screen, 'dark');
    await page.emulateMedia({ colorScheme: 'light' });
    // Tall enough that nothing lies under what stays at the thumb.
    await page.setViewportSize({ width: SCREENS[screen].width, height: 6000 });
    told(await clumsyTargets(page), 'light');
  }
  await page.setViewportSize(SCREENS['390 x 844']);
  return found;
}

async function shot(page: Page, name: string, screen: Screen, scheme: string): Promise<void> {
  if (SHOTS === undefined) return;
  mkdirSync(SHOTS, { recursive: true });
  const file = `${name.replaceAll(' ', '-')}-${SCREENS[screen].width}-${scheme}.png`;
  await page.screenshot({ path: join(SHOTS, file) });
}
