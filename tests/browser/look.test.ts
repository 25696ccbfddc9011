import { mkdirSync } from 'node:fs';
import { join } from 'node:path';
import type { Browser } from 'playwright-core';
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

  const looks = SCREEN_NAMES.flatMap((screen) => [
    { screen, dark: false, scheme: 'light', name: `${screen} in light` },
    { screen, dark: true, scheme: 'dark', name: `${screen} in dark` },
  ]);

  test.each(looks)(
    'can be used by everybody at $name: nothing serious, nothing too wide, nothing too small',
    async (look) => {
      const shop = await Workshop.open({ mara: '7305' });
      const hand = await Hand.open(await newPhone(browser, look), shop.url);
      const found: string[] = [];
      const check = async (name: string, hash: string, shows: string) => {
        await hand.goTo(hash);
        await hand.page.locator(shows).first().waitFor();
        await hand.rested();
        found.push(...(await faultsOf(hand, name, look)));
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
      found.push(...(await faultsOf(hand, 'pin', look)));
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
    },
  );
});

/** What is wrong with the screen that is open. */
async function faultsOf(
  { page }: Hand,
  name: string,
  { screen, scheme }: { screen: Screen; scheme: string },
): Promise<readonly string[]> {
  if (SHOTS !== undefined) {
    mkdirSync(SHOTS, { recursive: true });
    await page.screenshot({
      path: join(SHOTS, `${name.replaceAll(' ', '-')}-${SCREENS[screen].width}-${scheme}.png`),
    });
  }
  const faults = [...(await seriousFaults(page))];
  const wide = await tooWide(page);
  if (wide > 0) faults.push(`${wide} px too wide`);
  // Tall enough that nothing lies under what stays at the thumb.
  await page.setViewportSize({ width: SCREENS[screen].width, height: 6000 });
  faults.push(...(await clumsyTargets(page)));
  await page.setViewportSize(SCREENS[screen]);
  return faults.map((fault) => `${name}: ${fault}`);
}
