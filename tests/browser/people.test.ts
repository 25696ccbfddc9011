import type { Browser, BrowserContext } from 'playwright-core';
import { afterAll, afterEach, beforeAll, beforeEach, describe, expect, test } from 'vitest';
import { newPhone, startBrowser } from './browser.js';
import { Hand } from './hand.js';
import { asks, Workshop } from './workshop.js';

const PIN = '7305';

describe('people at their screens', () => {
  let browser: Browser;
  let shop: Workshop;
  let phone: BrowserContext;
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
  });
  afterEach(async () => {
    await phone.close();
    await shop.close();
  });

  const sheet = async (name: string | null, context = phone) => {
    const hand = await Hand.open(context, shop.url, '#/bay/1');
    if (name !== null) await hand.signIn(name);
    await hand.page.locator('.now').waitFor();
    return hand;
  };

  test('words with markup are shown as words, and run nothing', async () => {
    const mara = await sheet('Mara Tillet');
    const words = '<img src=x onerror="document.title=1"><b>fat</b> &amp; <script>1</script>';
    await mara.say(`note ${words}`);
    const said = mara.page.locator('.entry-said .said').first();
    await said.filter({ hasText: 'fat' }).waitFor();
    expect(await said.textContent()).toContain(words);
    expect(await mara.page.locator('.ledger img, .ledger b:text("fat"), .ledger script').count()).toBe(0);
    expect(mara.tab.faults).toEqual([]);
  });

  test('what one says stands on the page of the other, who may write and be read as well', async () => {
    const other = await newPhone(browser, { screen: '1920 x 1080' });
    const [mara, tamsin] = [await sheet('Mara Tillet'), await sheet('Tamsin Roake', other)];
    await mara.say('note the left clip is gone');
    await tamsin.page.getByText('note the left clip is gone').waitFor();
    await tamsin.say('note I have a spare one');
    await mara.page.getByText('note I have a spare one').waitFor();
    await other.close();
  });

  test('two tabs of one person stand at the same question, and what is typed in one stays in it', async () => {
    const [one, two] = [await sheet('Mara Tillet'), await sheet(null)];
    await two.page.locator('.box-row input').fill('half a sentence');
    await shop.workUntil(asks('confirm'));
    const question = await shop.placeOfQuestion('1');
    await one.sees(question);
    await two.sees(question);
    expect(await one.tap('OK')).toBe(true);
    const next = await shop.nextQuestion('1', question);
    await one.sees(next);
    await two.sees(next);
    const heads = await Promise.all([one, two].map(({ page }) => page.locator('.now .head').textContent()));
    expect(heads[0]).toBe(heads[1]);
    expect(await two.unsent()).toBe('half a sentence');
  });

  test('a key that was pressed just as the next question came does not answer that one', async () => {
    const mara = await sheet('Mara Tillet');
    await shop.workUntil(asks('confirm'));
    await mara.sees(await shop.placeOfQuestion('1'));
    // The browser's clock is moved by hand: the question has only just been drawn.
    const { page } = mara;
    const key = page.locator('.answers .key').first();
    await page.clock.install();
    await page.clock.pauseAt(Date.now() + 60_000);
    await page.reload();
    await expect
      .poll(async () => {
        await page.clock.runFor(20);
        return key.count();
      })
      .toBe(1);
    expect(await key.isDisabled()).toBe(true);
    await page.clock.runFor(1_000);
    expect(await key.isEnabled()).toBe(true);
  });

  test('while typing, nothing takes the focus or the caret away', async () => {
    const mara = await sheet('Mara Tillet');
    const box = mara.page.locator('.box-row input');
    await box.pressSequentially('abcd');
    await box.press('ArrowLeft');
    await shop.workUntil(asks('confirm'));
    await mara.sees(await shop.placeOfQuestion('1'));
    expect(await mara.page.evaluate('document.activeElement.id')).toBe('box-bay-1');
    expect(await mara.page.evaluate('document.activeElement.selectionStart')).toBe(3);
    expect(await mara.unsent()).toBe('abcd');
  });

  test('a refused word stays in the box with the reason, and over a reload', async () => {
    const mara = await sheet('Mara Tillet');
    await mara.page.route('**/say', (route) =>
      route.fulfill({ status: 409, json: { why: 'The disk took nothing.' } }),
    );
    await mara.say('note a');
    await mara.page.getByText('The disk took nothing.').waitFor();
    expect(await mara.unsent()).toBe('note a');
    await mara.page.reload();
    await mara.page.locator('.box-row input').waitFor();
    expect(await mara.unsent()).toBe('note a');
  });

  test('a word of unknown fate counts once when it is sent again', async () => {
    const mara = await sheet('Mara Tillet');
    let answers = 0;
    await mara.page.route('**/say', async (route) => {
      answers++;
      if (answers > 1) return route.continue();
      await route.fetch();
      return route.abort();
    });
    await mara.say('note said twice');
    await mara.page.getByText('it counts once').waitFor();
    expect(await mara.unsent()).toBe('note said twice');
    await mara.page.locator('.box .send').click();
    await expect.poll(() => mara.unsent()).toBe('');
    expect(await mara.page.locator('.entry-said').filter({ hasText: 'said twice' }).count()).toBe(1);
  });

  test('anybody stops a bay with one press, signed in or not, and every page shows the card and reads it out', async () => {
    const stranger = await Hand.open(phone, shop.url, '#/');
    const other = await newPhone(browser, { screen: '1920 x 1080' });
    const tamsin = await sheet(null, other);
    await stranger.page.locator('.row').first().waitFor();
    await stranger.page.locator('.stop').click();
    await shop.until(() => shop.desk.jobOf('1')?.mode === 'stopped');
    await tamsin.page.locator('.card .first-actions').waitFor();
    await tamsin.page.locator('#urgent-voice:not(:empty)').waitFor({ state: 'attached' });
    expect(await tamsin.page.locator('#urgent-voice').textContent()).toContain('STOP');
    await other.close();
  });

  test('a new question is read out politely, once, and a running clock never', async () => {
    const mara = await sheet('Mara Tillet');
    await shop.workUntil(({ waitingFor, asked }) => waitingFor !== null && asked === null);
    await mara.page.locator('.clocks .left').first().waitFor();
    await mara.page.evaluate(`window.heard = []; for (const id of ['calm-voice', 'urgent-voice'])
      new MutationObserver(() => { const t = document.getElementById(id).textContent; if (t) window.heard.push(t); })
        .observe(document.getElementById(id), { childList: true, characterData: true, subtree: true })`);
    const before = await mara.page.locator('.clocks .left').first().textContent();
    await expect.poll(() => mara.page.locator('.clocks .left').first().textContent()).not.toBe(before);
    expect(await mara.page.evaluate('window.heard')).toEqual([]);
    await shop.workUntil(({ asked }) => asked !== null);
    await mara.sees(await shop.placeOfQuestion('1'));
    const question = (await mara.page.locator('.now .head').textContent()) ?? '';
    await expect.poll(() => mara.page.evaluate('window.heard.join(" ")')).toContain(question);
    const heard = (await mara.page.evaluate('window.heard')) as string[];
    expect(heard.join(' ').split(question).length - 1).toBe(1);
    expect(heard.join(' ')).not.toMatch(/\d:\d\d left/);
  });
});

describe('a shared screen', () => {
  test('asks the PIN for a gate word, keeps the word while it is wrong, and passes with the right one', async () => {
    const browser = await startBrowser();
    const shop = await Workshop.open({ mara: PIN });
    const mara = await Hand.open(await newPhone(browser, { screen: '390 x 844' }), shop.url, '#/bay/1');
    await mara.signIn('Mara Tillet', { pin: PIN, own: false });
    await shop.said('mara', 'start disconnect-fuse DEMO-1');
    await shop.workUntil(asks('word'));
    await mara.sees(await shop.placeOfQuestion('1'));
    const { page } = mara;
    const gate = shop.desk.jobOf('1')?.asked?.step;
    await mara.say((await page.locator('.gate-word b').textContent()) ?? '');
    await page.locator('.pin').waitFor();
    await expect.poll(() => page.evaluate('document.activeElement.id')).toBe('pin-head');
    // STOP is where it always is, in front of the PIN as well.
    expect(await page.locator('.stop').isVisible()).toBe(true);
    await mara.enter('9162');
    await page.getByRole('button', { name: 'Send it' }).click();
    await page.getByText('That is not the PIN.').waitFor();
    expect(shop.desk.jobOf('1')?.asked?.step).toBe(gate);
    await mara.enter(PIN);
    await page.getByRole('button', { name: 'Send it' }).click();
    await shop.until(() => shop.desk.jobOf('1')?.asked?.step !== gate);
    await page.locator('.pin').waitFor({ state: 'detached' });
    expect(await mara.unsent()).toBe('');
    await browser.close();
    await shop.close();
  });
});
