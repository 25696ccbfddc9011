import type { Browser } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import type { Flow } from '../../src/flow/flow.js';
import type { Job } from '../../src/job/job.js';
import { worldOf } from '../../src/shop/world.js';
import { rightAnswer } from '../crew/crew.js';
import { crewOf, fieldAnswer } from '../desk/crew.js';
import { MINUTE } from '../desk/floor.js';
import { newPhone, SCREEN_NAMES, startBrowser } from './browser.js';
import { Hand } from './hand.js';
import { Workshop } from './workshop.js';

const MOST_TURNS = 300;

/** What a good crew does next on the page: who, and the words or the photo. Null: only time can help. */
function nextDeed(shop: Workshop, job: Job, flow: Flow): { by: string; words: string | 'PHOTO' } | null {
  const world = worldOf(shop.register, {
    now: shop.clock.now(),
    elsewhere: new Map(),
    standbyElsewhere: new Map(),
    draw: 0,
  });
  if (job.checkIn?.askedAt != null && job.standby !== null) return { by: job.standby, words: 'here' };
  const said = rightAnswer(job, flow, world, crewOf(shop.register, job));
  if (said === null) return null;
  const body = fieldAnswer(job, flow, said);
  if (body.is === 'photo') return { by: said.by, words: 'PHOTO' };
  if (body.is !== 'text') throw new Error(`the crew does not send a ${body.is}`);
  return { by: said.by, words: body.text };
}

/** Labels of the keys that say the same as what a crew would type. */
const KEYS: Readonly<Record<string, string>> = { done: 'OK', yes: 'Yes', here: 'Here', resume: 'Resume' };
const labelFor = (words: string) =>
  KEYS[words] ?? words.charAt(0).toUpperCase() + words.slice(1).replaceAll('-', ' ');

describe('the main job on the page', () => {
  let browser: Browser;
  beforeAll(async () => {
    browser = await startBrowser();
  });
  afterAll(async () => {
    await browser?.close();
  });

  test.each(SCREEN_NAMES)(
    'is done by taps and typing, with a second person on a page of their own, at %s',
    async (screen) => {
      const shop = await Workshop.open();
      const hands = new Map<string, Hand>();
      for (const id of ['mara', 'tamsin']) {
        const hand = await Hand.open(await newPhone(browser, { screen }), shop.url);
        await hand.signIn(shop.register.people.get(id)?.name ?? '');
        hands.set(id, hand);
        await hand.goTo('#/bay/1');
      }
      const mara = hands.get('mara');
      if (mara === undefined) throw new Error('nobody works');
      await mara.page.getByText('DEMO-1', { exact: true }).click();
      await mara.page.getByRole('button', { name: 'Start', exact: true }).click();
      await shop.until(() => shop.desk.jobOf('1') !== null);

      let taps = 0;
      let typed = 0;
      let turns = 0;
      for (let job = shop.desk.jobOf('1'); job !== null; job = shop.desk.jobOf('1')) {
        if (++turns > MOST_TURNS) throw new Error(`the job does not end:\n${await mara.ledger()}`);
        const flow = shop.desk.flowOf('1');
        if (flow === null) throw new Error('a job without a flow');
        const deed = nextDeed(shop, job, flow);
        if (deed === null) {
          const wake = shop.desk.nextWake();
          if (wake === null) throw new Error(`nobody says anything at ${job.asked?.step ?? 'nothing'}`);
          await shop.later(wake - shop.clock.now());
          continue;
        }
        const hand = hands.get(deed.by);
        if (hand === undefined) throw new Error(`${deed.by} has no page`);
        const { seq } = job;
        await hand.sees(await shop.placeOfQuestion('1'));
        if (deed.words === 'PHOTO') await hand.photo();
        else if (await hand.tap(labelFor(deed.words))) taps++;
        else {
          await hand.say(deed.words);
          typed++;
        }
        await shop.until(() => (shop.desk.jobOf('1')?.seq ?? -1) !== seq);
        await shop.later(MINUTE);
      }

      await mara.page.locator('.summary .head').waitFor();
      expect(await mara.page.locator('.summary .head').innerText()).toContain('done');
      // Every gate word was typed, and what has a key was tapped.
      expect(taps).toBeGreaterThan(30);
      expect(typed).toBeGreaterThan(40);
      for (const hand of hands.values()) {
        expect(hand.tab.strayed).toEqual([]);
        expect(hand.tab.faults).toEqual([]);
      }
      await shop.close();
    },
  );
});
