import type { Danger, GlobalWord } from '../job/heard.js';
import { DANGER_WORDS } from './danger-words.js';
import { GLOBAL_PHRASES } from './global-words.js';
import { NUMBER_WORDS } from './number-words.js';

/**
 * Every word that hearing knows in one language. A further language is a further table of this shape; nothing else in
 * hearing names a word. All entries are folded: lower case, no apostrophes, hyphens as blanks.
 */
export type Lexicon = {
  /** Freeze the job. Heard with stretched letters and, in one or two words, within one edit. */
  readonly stop: readonly string[];
  /** Freeze only as first word: inside a sentence they are ordinary talk. */
  readonly stopFirstOnly: readonly string[];
  /** Within one edit of a stop word and yet ordinary words. */
  readonly notStop: readonly string[];
  /** Said before a stop word without being part of what is said. */
  readonly callers: readonly string[];
  readonly dangers: { readonly [D in Danger]: readonly string[] };
  /** Workshop talk with a danger word in it. */
  readonly harmless: readonly string[];
  /** With one of these a danger in a longer sentence is a report, not talk. */
  readonly reports: readonly string[];
  /** They turn round what is said, or make it a question, a plan or a guess. */
  readonly negations: readonly string[];
  readonly conditions: readonly string[];
  readonly hedges: readonly string[];
  readonly yes: readonly string[];
  /** May stand beside a yes without changing it. */
  readonly besideYes: readonly string[];
  readonly no: readonly string[];
  /** 'Not yet' without a problem. */
  readonly notYet: readonly string[];
  readonly problem: readonly string[];
  /** A sentence with one of these reports a problem. */
  readonly trouble: readonly string[];
  /** What meters show, and people say, when there is no number. */
  readonly noNumber: readonly string[];
  /** May stand beside a number without changing it. */
  readonly besideNumber: readonly string[];
  /** What is said of a tray, a gauge or a tank that is watched. */
  readonly watched: {
    readonly emptied: readonly string[];
    /** Emptied, and nobody knows what stood in it. */
    readonly unread: readonly string[];
    readonly added: readonly string[];
    /** Whole messages: nothing came since the last one. */
    readonly nothingMore: readonly string[];
    readonly running: readonly string[];
    readonly bubbles: readonly string[];
    /** May stand beside the number without changing it. */
    readonly beside: readonly string[];
  };
  /** What is counted, after a count. */
  readonly counted: readonly string[];
  /** Said before a number that is only a lower bound. */
  readonly atLeast: readonly string[];
  /** Said before the right number after a wrong one. */
  readonly correcting: readonly string[];
  /** Whole messages. */
  readonly whole: { readonly [W in GlobalWord]?: readonly string[] };
  /** First words of a message; what follows is the rest. */
  readonly first: { readonly [W in GlobalWord]?: readonly string[] };
  /** What happens to gloves and gear that ends their readiness. */
  readonly gearTrouble: { readonly things: readonly string[]; readonly happened: readonly string[] };
};

export const ENGLISH: Lexicon = {
  ...DANGER_WORDS,
  ...NUMBER_WORDS,
  ...GLOBAL_PHRASES,
  negations: [
    ...['not', 'no', 'never', 'none', 'nobody', 'noone', 'nothing', 'neither', 'nor', 'without', 'un', 'non'],
    ...['isnt', 'arent', 'wasnt', 'werent', 'havent', 'hasnt', 'hadnt', 'didnt', 'doesnt', 'dont', 'wont'],
    ...['cant', 'cannot', 'aint', 'wouldnt', 'shouldnt', 'couldnt', 'missing', 'lacks', 'lacking', 'gone'],
  ],
  conditions: [
    ...['if', 'when', 'before', 'until', 'till', 'unless', 'once', 'will', 'ill', 'shall', 'should', 'would'],
    ...['could', 'can', 'may', 'might', 'must', 'gonna', 'going', 'any', 'is it', 'are you', 'did you'],
    ...['have you', 'whether', 'let'],
  ],
  hedges: [
    ...[
      'or',
      'but',
      'hardly',
      'barely',
      'almost',
      'nearly',
      'half',
      'partly',
      'maybe',
      'perhaps',
      'probably',
    ],
    ...['think', 'guess', 'unsure', 'sure', 'was', 'were', 'except', 'though', 'than', 'both', 'between'],
    ...['rather', 'instead', 'less', 'possibly', 'seemed', 'hope', 'suppose', 'assume', 'far', 'from'],
  ],
  yes: [
    ...[
      'ok',
      'okay',
      'okey',
      'oki',
      'okk',
      'oky',
      'okya',
      'okai',
      'okee',
      'k',
      'kk',
      'y',
      'ye',
      'yes',
      'yse',
    ],
    ...[
      'yess',
      'yep',
      'yepp',
      'yup',
      'yeah',
      'yea',
      'yeh',
      'ya',
      'ja',
      'aye',
      'done',
      'dnoe',
      'doen',
      'odne',
    ],
    ...[
      'doone',
      'donee',
      'dne',
      'next',
      'nxt',
      'nxet',
      'netx',
      'enxt',
      'fitted',
      'fited',
      'fittde',
      'fitetd',
    ],
    ...['finished', 'complete', 'completed', 'confirmed', 'confirm', 'good', 'affirmative', 'checked'],
    ...['\u{1f44d}', '\u2705', '\u2714', '\u2611', '\u{1f44c}', '\u{1f197}'],
  ],
  besideYes: [
    'all',
    'its',
    'thats',
    'thanks',
    'thx',
    'mate',
    'boss',
    'now',
    'job',
    'that',
    'is',
    'it',
    'i',
    'am',
    'im',
    'then',
  ],
  no: ['no', 'nope', 'nah', 'n', 'nok', 'negative', '\u{1f44e}', '\u274c'],
  notYet: [
    ...['yet', 'almost', 'nearly', 'soon', 'half', 'quite', 'nearly there', 'almost there', 'working on it'],
    ...['in a minute', 'still at it', 'still working'],
  ],
  problem: ['problem', 'problems', 'trouble', 'issue'],
  trouble: [
    ...['cant', 'cannot', 'wont', 'doesnt', 'isnt', 'didnt', 'havent', 'hasnt', 'couldnt', 'stuck', 'broken'],
    ...[
      'stripped',
      'cracked',
      'leaking',
      'leaks',
      'missing',
      'jammed',
      'snapped',
      'problem',
      'failed',
      'bent',
    ],
    ...['damaged', 'dropped', 'seized', 'torn'],
  ],
};

export const DANGER_OF: ReadonlyMap<string, Danger> = new Map(
  (Object.entries(ENGLISH.dangers) as (readonly [Danger, readonly string[]])[]).flatMap(([danger, words]) =>
    words.map((word) => [word, danger] as const),
  ),
);
