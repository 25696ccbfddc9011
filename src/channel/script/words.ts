/** The words of thread scripts. None of them can be a person's. */
export const KEYWORDS = [
  'shop',
  'at',
  'like',
  'bay',
  'again',
  'channel',
  'disk',
  'restart',
  'step',
  'fact',
  'stay',
  'done',
  'parked',
  'held',
  'stopped',
  'called-off',
] as const;
export type Keyword = (typeof KEYWORDS)[number];

/** How each of them is written. */
export const SHAPES: Readonly<Record<Keyword, string>> = {
  shop: '"shop demo", or the folder of a register',
  at: 'a day and time, like "at 2026-03-02 08:00"',
  like: '"like FILE", a path from this script',
  bay: '"bay ID", "bay foreman" or "bay shop"',
  again: '"again", or "again 3" for the third last input',
  channel: '"channel down", "channel lost" or "channel up"',
  disk: '"disk full" or "disk ok"',
  restart: '"restart"',
  step: '"step ID", or "step -" for none',
  fact: '"fact NAME stands", "running", "doubt" or "gone"',
  stay: '"stay"',
  done: '"done"',
  parked: '"parked"',
  held: '"held"',
  stopped: '"stopped"',
  'called-off': '"called-off"',
};

/** What a person can do besides saying something. */
export const VERBS = ['taps', 'reacts', 'photo'] as const;

/** `early`: before the newest post was seen. The others are how a message is marked by its channel. */
export const MARK_WORDS = ['early', 'edits', 'forwards', 'quotes'] as const;
export type MarkWord = (typeof MARK_WORDS)[number];
