import { distance } from '../rule/distance.js';

/** More slips than this make another word. */
const MOST_SLIPS = 2;

/** The candidate at most two slips away from what was written, the nearest first; null when there is none. */
export function closest(written: string, candidates: Iterable<string>): string | null {
  let best: string | null = null;
  let bestSlips = MOST_SLIPS + 1;
  for (const candidate of candidates) {
    const slips = distance(written.toLowerCase(), candidate.toLowerCase());
    // Two slips in a word of three letters is any word.
    if (slips < bestSlips && slips * 2 < candidate.length) {
      best = candidate;
      bestSlips = slips;
    }
  }
  return best;
}

/** 'did you mean "x"?', or what could be written there. */
export function meant(written: string, candidates: Iterable<string>, otherwise: string): string {
  const near = closest(written, candidates);
  return near === null ? otherwise : `did you mean "${near}"?`;
}

/** `a, b or c`; of a long list the first ones. */
export function oneOf(words: Iterable<string>, most = 12): string {
  const all = [...words];
  if (all.length > most) return `${all.slice(0, most).join(', ')} and ${all.length - most} more`;
  if (all.length < 2) return all.join('');
  return `${all.slice(0, -1).join(', ')} or ${all[all.length - 1]}`;
}
