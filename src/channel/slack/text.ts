/** Text for the platform and from it: of all characters, only three are written otherwise. */

/** User text cannot become a mention, a channel or a link. */
export function escaped(text: string): string {
  return text.replaceAll('&', '&amp;').replaceAll('<', '&lt;').replaceAll('>', '&gt;');
}

/** What the person typed. Mentions and links that the platform made of it stay as they are. */
export function unescaped(text: string): string {
  return text.replaceAll('&lt;', '<').replaceAll('&gt;', '>').replaceAll('&amp;', '&');
}

/** Characters that the platform's own markup would take for formatting. */
export const MARKUP = /[*_~`]|^>/m;
