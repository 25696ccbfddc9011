import { existsSync, readdirSync, readFileSync, statSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, test } from 'vitest';

const BUILT = join(import.meta.dirname, '../../dist/page');
/** What a phone fetches before a chart is opened. */
const FIRST = ['index.html', 'page.css', 'page.js'];
const MOST_BYTES = 150_000;

describe('the built page', () => {
  test('is there: npm run build has been run', () => {
    expect(existsSync(join(BUILT, 'page.js'))).toBe(true);
  });

  test('is these files and no other, so that nothing else has to be fetched', () => {
    expect(readdirSync(BUILT).sort()).toEqual(['charts.js', ...FIRST]);
  });

  test('weighs less than 150 kB before charts', () => {
    const bytes = FIRST.reduce((sum, name) => sum + statSync(join(BUILT, name)).size, 0);
    expect(bytes).toBeGreaterThan(20_000);
    expect(bytes).toBeLessThan(MOST_BYTES);
  });

  test('names no other host, has no style or script in its text, and holds no chart before one is opened', () => {
    const html = readFileSync(join(BUILT, 'index.html'), 'utf8');
    const script = readFileSync(join(BUILT, 'page.js'), 'utf8');
    const own = html.replaceAll('http://www.w3.org/2000/svg', '');
    expect(own).not.toMatch(/https?:\/\/|\sstyle=|<style|\son[a-z]+=/);
    expect(script).not.toMatch(/u-legend|uPlot/);
    expect(script).not.toMatch(/unsafeHTML|innerHTML\s*=\s*[^"'`\s]*(?:words|text)/);
  });
});
