import axe from 'axe-core';
import type { Page } from 'playwright-core';

/** What axe-core finds serious on a page as it stands, in words. `rules`: only these of axe-core's, where the rest has been looked at. */
export async function seriousFaults(page: Page, rules: readonly string[] = []): Promise<readonly string[]> {
  if ((await page.evaluate('typeof axe')) === 'undefined') await page.evaluate(axe.source);
  const only = rules.length === 0 ? '' : `, runOnly: ${JSON.stringify(rules)}`;
  const found = (await page.evaluate(
    `axe.run(document, { resultTypes: ['violations']${only} }).then(({ violations }) => violations
      .filter(({ impact }) => impact === 'serious' || impact === 'critical')
      .map(({ id, nodes }) => id + ': ' + nodes.map(({ html, failureSummary }) => html.slice(0, 160) + ' ' + failureSummary).join(' | ')))`,
  )) as string[];
  return found;
}

/** By how many pixels a page is wider than its screen. */
export async function tooWide(page: Page): Promise<number> {
  return (await page.evaluate('document.documentElement.scrollWidth - innerWidth')) as number;
}

type Target = {
  readonly name: string;
  readonly left: number;
  readonly top: number;
  readonly right: number;
  readonly bottom: number;
};

/** What a gloved thumb would miss: targets under 64 px, and neighbours closer than 12 px. */
export async function clumsyTargets(page: Page): Promise<readonly string[]> {
  const targets =
    (await page.evaluate(`[...document.querySelectorAll('a, button, label.key, label.pick, .box input, .begin input, summary')]
    .filter((one) => one.checkVisibility() && one.closest('.row') === null)
    .map((one) => { const r = one.getBoundingClientRect();
      return { name: (one.innerText || one.getAttribute('aria-label') || one.tagName).trim().slice(0, 40), left: r.left, top: r.top, right: r.right, bottom: r.bottom }; })`)) as Target[];
  const small = targets
    .filter(({ left, right, top, bottom }) => bottom - top < 63.5 || right - left < 63.5)
    .map(
      ({ name, left, right, top, bottom }) =>
        `${name} is ${Math.round(right - left)} x ${Math.round(bottom - top)}`,
    );
  const close = targets.flatMap((one, at) =>
    targets
      .slice(at + 1)
      .filter((other) => gap(one, other) < 11.5)
      .map((other) => `${one.name} and ${other.name} are ${gap(one, other).toFixed(1)} apart`),
  );
  return [...small, ...close];
}

function gap(one: Target, other: Target): number {
  return Math.max(
    one.left - other.right,
    other.left - one.right,
    one.top - other.bottom,
    other.top - one.bottom,
  );
}
