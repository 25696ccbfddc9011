import { execFileSync } from 'node:child_process';
import { join } from 'node:path';
import { type Browser, type BrowserContext, chromium, type Page } from 'playwright-core';

/** The two screens that everything is tried on: a phone in a hand and a screen on a wall. */
export const SCREENS = {
  '390 x 844': { width: 390, height: 844 },
  '1920 x 1080': { width: 1920, height: 1080 },
} as const;
export type Screen = keyof typeof SCREENS;
export const SCREEN_NAMES = Object.keys(SCREENS) as Screen[];

const FLAGS = [
  '--no-sandbox',
  '--disable-gpu',
  '--disable-quic',
  '--no-first-run',
  '--disable-background-networking',
  '--disable-component-update',
  '--disable-sync',
];

/** Starts the Chromium that `need-chromium.mjs` finds; throws with its advice where there is none. */
export function startBrowser(): Promise<Browser> {
  const script = join(process.cwd(), 'tests/browser/need-chromium.mjs');
  const executablePath = execFileSync(process.execPath, [script, '--find'], { encoding: 'utf8' }).trim();
  return chromium.launch({ executablePath, args: FLAGS });
}

/** A loaded machine is slow, not wrong. */
const PATIENCE_MS = 90_000;

export type Tab = {
  readonly page: Page;
  /** What the page asked of anybody but its own server. */
  readonly strayed: readonly string[];
  /** What it complained of. */
  readonly faults: readonly string[];
};

export type ContextParts = { readonly screen: Screen; readonly dark?: boolean };

/** One person's browser. */
export function newPhone(browser: Browser, { screen, dark = false }: ContextParts): Promise<BrowserContext> {
  return browser.newContext({
    viewport: SCREENS[screen],
    colorScheme: dark ? 'dark' : 'light',
    hasTouch: screen === '390 x 844',
    reducedMotion: 'reduce',
  });
}

/** Opens a screen of the page, watched: every request that leaves the machine is refused and written down. */
export async function openTab(context: BrowserContext, url: string, hash = '#/'): Promise<Tab> {
  const page = await context.newPage();
  page.setDefaultTimeout(PATIENCE_MS);
  const strayed: string[] = [];
  const faults: string[] = [];
  const { origin } = new URL(url);
  await page.route('**/*', (route) => {
    const asked = new URL(route.request().url());
    if (asked.origin === origin || asked.protocol === 'data:' || asked.protocol === 'blob:')
      return route.continue();
    strayed.push(asked.href);
    return route.abort();
  });
  page.on('pageerror', (error) => faults.push(error.message));
  page.on('console', (message) => {
    // A cut connection is told to the console by the browser itself.
    if (message.type() === 'error' && !/Failed to load resource|ERR_/.test(message.text()))
      faults.push(message.text());
  });
  await page.goto(`${url}${hash}`);
  return { page, strayed, faults };
}
