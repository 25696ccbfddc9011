/** SHA-256 of a text in hex; given from outside, since flows are read without a platform. */
export type Hash = (text: string) => string;

/** Part of every bundle's hash. Raise it when the same text would make another flow than before. */
export const BUNDLE_FORMAT = 1;

/** The name of a bundle: over the format, the flow's id and the texts, by file name with their lengths. */
export function hashOf(flow: string, texts: ReadonlyMap<string, string>, hash: Hash): string {
  const parts = [`baywarden flow ${BUNDLE_FORMAT} ${flow}\n`];
  for (const [name, text] of [...texts].sort(([a], [b]) => (a < b ? -1 : 1))) {
    parts.push(`${name} ${text.length}\n`, text, '\n');
  }
  return hash(parts.join(''));
}
