import type { BrowserContext, Page } from 'playwright-core';
import type { Place } from '../../src/job/input.js';
import { openTab, type Tab } from './browser.js';

/** A person at a screen: what a hand does there, and nothing else. */
export class Hand {
  private constructor(readonly tab: Tab) {}

  static async open(context: BrowserContext, url: string, hash = '#/'): Promise<Hand> {
    return new Hand(await openTab(context, url, hash));
  }

  get page(): Page {
    return this.tab.page;
  }

  /** Goes to a screen by its address, as a link would. */
  async goTo(hash: string): Promise<void> {
    await this.page.evaluate(`location.hash = ${JSON.stringify(hash)}`);
  }

  async signIn(name: string, { pin, own = true }: { pin?: string; own?: boolean } = {}): Promise<void> {
    const { page } = this;
    const from = new URL(page.url()).hash || '#/';
    await this.goTo('#/sign-in');
    await page.getByText(name, { exact: true }).first().click();
    if (!own) await page.getByText('Shared screen').click();
    if (pin !== undefined) await this.enter(pin);
    await page.getByRole('button', { name: `Sign in as ${name}` }).click();
    await page.waitForURL((url) => !url.hash.startsWith('#/sign-in'));
    await this.goTo(from);
  }

  async enter(pin: string): Promise<void> {
    for (const digit of pin)
      await this.page.locator('.pad-keys').getByRole('button', { name: digit, exact: true }).click();
  }

  /** Types words into the box and sends them, once the box may be sent from. */
  async say(words: string): Promise<void> {
    await this.page.locator('.box-row input').fill(words);
    await this.page.locator('.box .send').click();
  }

  /** Presses an answer of the question; false when there is no such key. */
  async tap(label: string): Promise<boolean> {
    const words = label.replace(/[+.*?()[\]{}|\\^$]/g, '\\$&');
    const key = this.page
      .locator('.answers .key, .call .key')
      .filter({ hasText: new RegExp(`^\\s*${words}\\s*$`) });
    if ((await key.count()) === 0) return false;
    await key.first().click();
    return true;
  }

  async photo(): Promise<void> {
    await this.page
      .locator('.photo-key input:enabled')
      .first()
      .setInputFiles({ name: 'photo.png', mimeType: 'image/png', buffer: PIXEL });
  }

  /** Waits until a post stands in the ledger of the screen that is open. */
  async sees(place: Place): Promise<void> {
    if (place === '') return;
    await this.page.locator(`.ledger [data-place="${place}"]`).waitFor({ state: 'attached' });
  }

  /** From here on the time in the browser can be moved on by hand; it goes on by itself as well. */
  async holdTime(): Promise<void> {
    await this.page.clock.install();
  }

  /** Lets a question stand for as long as a person needs who reads it before the thumb comes. */
  async reads(): Promise<void> {
    await this.page.clock.fastForward(READ_MS);
  }

  /** Waits until keys may be pressed again after a new question. */
  async rested(): Promise<void> {
    await this.page.locator('.key.rest:disabled').first().waitFor({ state: 'detached' });
  }

  /** The newest lines of the ledger as they read, for a failing test. */
  async ledger(count = 8): Promise<string> {
    return (await this.page.locator('.ledger .entry').allInnerTexts())
      .slice(0, count)
      .toReversed()
      .join('\n');
  }

  async unsent(): Promise<string> {
    return this.page.locator('.box-row input').inputValue();
  }
}

/** Longer than keys rest after a new question. */
const READ_MS = 600;

/** The smallest picture. */
const PIXEL = Buffer.from(
  'iVBORw0KGgoAAAANSUhEUgAAAAEAAAABCAYAAAAfFcSJAAAADUlEQVR42mNk+M9QDwADhgGAWjR9awAAAABJRU5ErkJggg==',
  'base64',
);
