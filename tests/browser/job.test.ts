import type { Browser } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import type { Flow } from '../../src/flow/flow.js';
import type { Job } from '../../src/job/job.js';
import { logOf } from '../../src/job/watch.js';
import { isHeld } from '../desk/crew.js';
import { MINUTE } from '../desk/floor.js';
import { newPhone, SCREEN_NAMES, type Screen, startBrowser } from './browser.js';
import { type Deed, labelFor, nextDeed } from './deed.js';
import { Hand } from './hand.js';
import { HOLD, Workshop } from './workshop.js';

const MOST_TURNS = 500;
/** A loaded machine is slow, not wrong. */
const PATIENCE_MS = 1_200_000;
/** A pack that is worked on in the car, and one that comes out for it. */
const jobs: readonly { readonly car: string; readonly screen: Screen }[] = [
  { car: 'DEMO-1', screen: '390 x 844' },
  ...SCREEN_NAMES.map((screen) => ({ car: 'DEMO-3', screen })),
];

/** What is read at a tray that is first seen, runs on, and then is dry, as people say it. */
const TRAY = ['120 ml', '+30'] as const;

/** What the holder says of a tray until there is no more of it to say; null where the crew knows the answer. */
function watched(job: Job, flow: Flow): Deed | null {
  const { asked } = job;
  if (asked === null || asked.what !== 'step' || asked.ended) return null;
  const ask = flow.steps.find(({ id }) => id === asked.step)?.asks[asked.answers.length];
  if (ask?.ask !== 'watch' || ask.until !== 'spill-still') return null;
  const words = TRAY[logOf(job, ask.name).sightings.length];
  return words === undefined ? null : { by: job.holder, body: { is: 'text', text: words } };
}

describe('the main job on the page', () => {
  let browser: Browser;
  beforeAll(async () => {
    browser = await startBrowser();
  });
  afterAll(async () => {
    await browser?.close();
  });

  test.concurrent.each(jobs)(
    'is done by taps and typing, with a second person on a page of their own: $car at $screen',
    async ({ car, screen }) => {
      const shop = await Workshop.open();
      const hands = new Map<string, Hand>();
      for (const id of ['mara', 'tamsin']) {
        const hand = await Hand.open(await newPhone(browser, { screen }), shop.url);
        await hand.holdTime();
        await hand.signIn(shop.register.people.get(id)?.name ?? '');
        hands.set(id, hand);
        await hand.goTo('#/bay/1');
      }
      const mara = hands.get('mara');
      if (mara === undefined) throw new Error('nobody works');
      await mara.page.locator('.pick').filter({ hasText: 'disconnect-fuse' }).click();
      await mara.page.locator('.pick').filter({ hasText: car }).click();
      await mara.page.getByRole('button', { name: 'Start', exact: true }).click();
      await shop.until(() => shop.desk.jobOf('1') !== null);

      let taps = 0;
      let typed = 0;
      let photos = 0;
      let turns = 0;
      for (let job = shop.desk.jobOf('1'); job !== null; job = shop.desk.jobOf('1')) {
        if (++turns > MOST_TURNS) throw new Error(`the job does not end:\n${await mara.ledger()}`);
        const flow = shop.desk.flowOf('1');
        if (flow === null) throw new Error('a job without a flow');
        const deed = watched(job, flow) ?? nextDeed(shop, job, flow);
        if (deed === null) {
          const wake = shop.desk.nextWake();
          if (wake === null) throw new Error(`nobody says anything at ${job.asked?.step ?? 'nothing'}`);
          await shop.later(wake - shop.clock.now());
          continue;
        }
        const hand = hands.get(deed.by);
        if (hand === undefined) throw new Error(`${deed.by} has no page`);
        await hand.sees(await shop.placeOfQuestion('1'));
        await hand.reads();
        await shop.later(isHeld(job, flow) ? HOLD : 0);
        const { seq } = shop.desk.jobOf('1') ?? job;
        if (deed.body.is === 'photo') {
          await hand.photo();
          photos++;
        } else if (deed.body.is !== 'text') throw new Error(`the crew does not send a ${deed.body.is}`);
        else if (await hand.tap(labelFor(deed.body.text))) taps++;
        else {
          await hand.say(deed.body.text);
          typed++;
        }
        await shop.until(() => (shop.desk.jobOf('1')?.seq ?? -1) !== seq);
        await shop.later(MINUTE);
      }

      await mara.page.locator('.summary .head').waitFor();
      expect(await mara.page.locator('.summary .head').textContent()).toContain('done');
      // Words of gates and readings were typed, and what has a key was tapped.
      expect(taps).toBeGreaterThan(30);
      expect(typed).toBeGreaterThan(40);
      expect(photos).toBeGreaterThan(8);
      for (const hand of hands.values()) {
        expect(hand.tab.strayed).toEqual([]);
        expect(hand.tab.faults).toEqual([]);
      }
      await shop.close();
    },
    PATIENCE_MS,
  );
});
