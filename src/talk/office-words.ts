/** Words said in the foreman's own thread, which speaks for no bay: the office. */

/** Its place among the bays' ids; no bay of the register may be called so. */
export const OFFICE = 'foreman';

/** A message of the office: the word it begins with, folded, and what follows, as it was typed. */
export type OfficeSaid = { readonly word: string; readonly rest: string };

/** Splits a message at its first word: `Board please` gives `board` and `please`. */
export function officeSaid(text: string): OfficeSaid {
  const found = /^\s*(\S+)\s*([\s\S]*?)\s*$/.exec(text.normalize('NFC'));
  return { word: (found?.[1] ?? '').toLowerCase().replace(/[.,;:!?]+$/, ''), rest: found?.[2] ?? '' };
}

/**
 * Words for one bay: `bay 2: release looked at it` or `2: release looked at it`; null when they name none. With the
 * word `bay` the colon may be left out.
 */
export function hearForBay(
  text: string,
  bays: readonly string[],
): { readonly bay: string; readonly words: string } | null {
  const found = /^\s*(?:(bay)\s+)?([^\s:,]+)\s*([:,])?\s+(\S[\s\S]*?)\s*$/i.exec(text.normalize('NFC'));
  if (found === null || (found[1] === undefined && found[3] !== ':')) return null;
  const bay = bays.find((id) => id.toLowerCase() === found[2]?.toLowerCase());
  return bay === undefined ? null : { bay, words: found[4] ?? '' };
}

/** Bays that a message names as `bay 2`, in the order given. */
export function baysNamed(text: string, bays: readonly string[]): readonly string[] {
  const named = [...text.matchAll(/\bbay\s+([^\s:,.!]+)/gi)].map((found) => found[1]?.toLowerCase());
  return bays.filter((id) => named.includes(id.toLowerCase()));
}
