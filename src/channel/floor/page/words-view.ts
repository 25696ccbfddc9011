import { html, type TemplateResult } from 'lit-html';
import type { Line } from '../../../talk/post.js';
import { printInstant } from './hour.js';
import { textOf } from './parts.js';

/** Words of the workshop as they are drawn: always as text, values and warnings heavier. */

/** A number with its unit, or a warning in capitals of two words and more. */
const HEAVY =
  /(\d[\d.,]*(?: to \d[\d.,]*)?\s?(?:N·m|MΩ|kΩ|Ω|mbar|km|mm|ml|kg|°C|min\b|kV|mV|V\b|A\b|K\b|h\b|%|s\b))|([A-Z]{2,}(?: [A-Z]{2,})+)/g;

export function plain(line: Line, zone: string): string {
  return textOf(line, ({ instant, as }) => printInstant(instant, as, zone));
}

export function words(text: string): TemplateResult {
  const parts: (string | TemplateResult)[] = [];
  let from = 0;
  for (const found of text.matchAll(HEAVY)) {
    parts.push(text.slice(from, found.index));
    parts.push(
      found[1] !== undefined
        ? html`<b class="value">${found[1]}</b>`
        : html`<strong class="warning">${found[0]}</strong>`,
    );
    from = found.index + found[0].length;
  }
  parts.push(text.slice(from));
  return html`${parts}`;
}

export function line(of: Line, zone: string): TemplateResult {
  return words(plain(of, zone));
}

/** The warnings in capitals among some lines, each once. */
export function warningsIn(lines: readonly Line[], zone: string): readonly string[] {
  const found = lines.flatMap((one) => plain(one, zone).match(/[A-Z]{2,}(?: [A-Z]{2,})+/g) ?? []);
  return [...new Set(found)];
}
