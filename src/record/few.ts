import { listed, ln, time, when } from '../talk/line.js';
import type { Line, Part } from '../talk/post.js';

/** The first so many, and how many more there are: a post is read on a phone. */
export function few<T>(
  items: readonly T[],
  most: number,
): { readonly shown: readonly T[]; readonly more: number } {
  // One more in place of "and 1 more" costs no line.
  const fit = items.length <= most + 1 ? items.length : most;
  return { shown: items.slice(0, fit), more: items.length - fit };
}

/** `a, b, c and 4 more`. */
export function fewListed(items: readonly (string | Line)[], most: number): Line {
  const { shown, more } = few(items, most);
  return more === 0 ? listed(shown) : ln`${listed(shown)} and ${more} more`;
}

/** Lines under a heading, so many at most; nothing where there are none. */
export function fewLines(head: Line, lines: readonly Line[], most: number): readonly Line[] {
  if (lines.length === 0) return [];
  const { shown, more } = few(lines, most);
  return [head, ...shown, ...(more === 0 ? [] : [ln`and ${more} more.`])];
}

/** Within this a time alone is of the day that a post at its end speaks of. */
const SAME_DAY_MS = 16 * 3_600_000;

/** An instant of a day's post: the time alone for what happened in that day, and with its day where it may mislead. */
export function atOf(instant: number, now: number): Part {
  return instant <= now && now - instant <= SAME_DAY_MS ? time(instant) : when(instant, now);
}
