import { spawn } from 'node:child_process';
import { mkdtemp, rm } from 'node:fs/promises';
import { createServer } from 'node:net';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { expect, test } from 'vitest';
import { newPhone, startBrowser } from './browser.js';
import { Hand } from './hand.js';

const MAIN = join(import.meta.dirname, '../../dist/main.js');

async function freePort(): Promise<number> {
  const server = createServer();
  await new Promise<void>((resolve) => server.listen(0, '127.0.0.1', resolve));
  const address = server.address();
  await new Promise((resolve) => server.close(resolve));
  return address !== null && typeof address === 'object' ? address.port : 0;
}

test('an empty folder, npm start and a thumb are enough for the first job, over one live stream that holds', async () => {
  const data = await mkdtemp(join(tmpdir(), 'floor-start-'));
  const port = await freePort();
  const env = { ...process.env, BAYWARDEN_DATA: data, BAYWARDEN_PORT: String(port) };
  const browser = await startBrowser();
  const phone = await newPhone(browser, { screen: '390 x 844' });
  const program = spawn(process.execPath, [MAIN], { env, stdio: ['ignore', 'pipe', 'pipe'] });
  let told = '';
  for (const stream of [program.stdout, program.stderr])
    stream.on('data', (bytes) => (told += String(bytes)));
  try {
    await expect.poll(() => told, { interval: 5 }).toContain(`http://127.0.0.1:${port}/`);
    const up = performance.now();
    const hand = await Hand.open(phone, `http://127.0.0.1:${port}/`);
    const { page } = hand;
    await page.getByText('This is a demo workshop').waitFor();
    await page.locator('.row').first().waitFor();
    console.log(
      `page usable ${Math.round(performance.now() - up)} ms after the process is up (wanted: under 1000)`,
    );
    let streams = 0;
    page.on('request', (request) => {
      if (new URL(request.url()).pathname === '/live') streams++;
    });
    await page.locator('.first').getByRole('link', { name: 'Sign in' }).click();
    await page.locator('.pick').filter({ hasText: 'Mara Tillet' }).click();
    await page.getByRole('button', { name: 'Sign in as Mara Tillet' }).click();
    await page.locator('.first').getByRole('link', { name: 'Start a job' }).click();
    await page.locator('.pick').filter({ hasText: 'Bay 1' }).click();
    await page.locator('.pick').filter({ hasText: 'disconnect-fuse' }).click();
    await page.locator('.pick').filter({ hasText: 'DEMO-1' }).click();
    await page.getByRole('button', { name: 'Start', exact: true }).click();
    await page.locator('.answers .key').first().click();
    await page.getByText('Own cell.', { exact: true }).first().waitFor();
    // One more since the sign-in, and none besides.
    expect(streams).toBe(1);
    expect(hand.tab.faults).toEqual([]);
    expect(told).not.toMatch(/error/i);
  } finally {
    await browser.close();
    program.kill('SIGTERM');
    await new Promise((resolve) => program.once('exit', resolve));
    await rm(data, { recursive: true, force: true });
  }
});
