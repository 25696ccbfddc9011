import { type ChildProcess, spawn } from 'node:child_process';
import { join } from 'node:path';
import type { Browser } from 'playwright-core';
import { newPhone } from '../browser/browser.js';

export type Usable = {
  /** From the printed address to a board that is drawn and can be tapped, ms: on a folder with a workshop in it. */
  readonly later: readonly number[];
  /** The same in an empty folder, where the demo workshop is written first, ms. */
  readonly first: number;
};

/** Starts the built program and opens its page in a browser that has never seen it, as a newcomer does. */
export async function usable(browser: Browser, folder: string, port: number, count: number): Promise<Usable> {
  const first = await opened(browser, folder, port);
  const later: number[] = [];
  for (let at = 0; at < count; at++) later.push(await opened(browser, folder, port));
  return { later, first };
}

/** Taps the first bay as soon as it is drawn and tells when its sheet is: with every frame, where a locator looks twice a second. */
const TAP = `(function look() {
  if (document.querySelector('.ledger') !== null) return window.sheetOpen();
  document.querySelector('.row a')?.click();
  requestAnimationFrame(look);
})()`;

async function opened(browser: Browser, folder: string, port: number): Promise<number> {
  const phone = await newPhone(browser, { screen: '390 x 844' });
  const page = await phone.newPage();
  const tapped = new Promise<void>((resolve) => void page.exposeFunction('sheetOpen', () => resolve()));
  await page.addInitScript(TAP);
  const env = { ...process.env, BAYWARDEN_DATA: folder, BAYWARDEN_PORT: String(port) };
  const main = join(process.cwd(), 'dist/main.js');
  const program = spawn(process.execPath, [main], { env, stdio: ['ignore', 'pipe', 'inherit'] });
  const ended = new Promise((resolve) => program.once('exit', resolve));
  try {
    await says(program, 'Open:');
    const up = performance.now();
    await page.goto(`http://127.0.0.1:${port}/`, { waitUntil: 'commit' });
    await tapped;
    return performance.now() - up;
  } finally {
    await phone.close();
    program.kill('SIGTERM');
    await ended;
  }
}

function says(program: ChildProcess, words: string): Promise<void> {
  return new Promise((resolve, reject) => {
    let said = '';
    program.stdout?.on('data', (chunk: Buffer) => {
      said += chunk.toString();
      if (said.includes(words)) resolve();
    });
    program.once('exit', () => reject(new Error(`it did not come up:\n${said}`)));
  });
}
