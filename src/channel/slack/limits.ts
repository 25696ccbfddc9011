/**
 * What the platform allows, in characters unless said otherwise. Published in its reference of blocks and methods;
 * rows that end in "ours" are narrower than that, for phones and gloves.
 */
export const LIMITS = {
  /** Blocks of a message. */
  blocks: 50,
  /** Blocks of a home view. */
  homeBlocks: 100,
  sectionText: 3000,
  headerText: 150,
  /** Elements of a context block. */
  contextElements: 10,
  /** Buttons under one question; ours, the platform takes 25. */
  buttons: 3,
  /** Text of a button; ours, since phones cut it there, the platform takes 75. */
  buttonText: 15,
  buttonValue: 2000,
  /** What a screen reader says for a button. */
  accessibilityLabel: 75,
  actionId: 255,
  blockId: 255,
  /** Top-level text: what notices and screen readers give. */
  text: 4000,
  /** Bytes of the JSON of a home view. */
  viewBytes: 250_000,
  altText: 1000,
} as const;

/** Cuts a text that is too long, with a mark that shows it. */
export function cut(text: string, most: number): string {
  return text.length <= most ? text : `${text.slice(0, most - 1)}…`;
}
