import type { Danger, GlobalWord } from '../job/heard.js';

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
  // Two loans that every shop floor knows stand beside the English words.
  stop: ['stop', 'halt', 'stopp', 'emergency', 'mayday', 'may day'],
  stopFirstOnly: ['freeze'],
  notStop: [
    ...['step', 'shop', 'top', 'stow', 'slop', 'swop', 'strop', 'atop', 'sop', 'stomp', 'stops', 'stoup'],
    ...[
      'half',
      'hall',
      'halo',
      'hale',
      'salt',
      'malt',
      'hat',
      'alt',
      'hilt',
      'hart',
      'halts',
      'hal',
      'holt',
      'walt',
    ],
    ...['breeze', 'freezer', 'frieze', 'freezes', 'payday', 'emergence'],
  ],
  callers: ['hey', 'oi', 'please', 'pls', 'warden', 'everybody', 'everyone'],
  dangers: {
    fire: ['fire', 'fier', 'flame', 'flames', 'burning'],
    smoke: ['smoke', 'smok', 'somke', 'smoking', 'smokes'],
    shock: ['shock', 'shocked', 'shcok', 'electrocuted', 'electrocution', 'zapped'],
    hurt: ['hurt', 'injured', 'injury', 'bleeding', 'wounded', 'ambulance'],
    'man-down': ['man down', 'person down', 'unconscious', 'collapsed', 'fainted', 'not breathing'],
    gas: ['gas', 'hissing', 'hiss', 'fumes', 'venting'],
  },
  harmless: [
    ...['fire service', 'fire brigade card', 'fire extinguisher', 'fire blanket', 'fire door', 'fire exit'],
    ...[
      'fire up',
      'fire it up',
      'fire wall',
      'fire alarm test',
      'smoke test',
      'smoke machine',
      'smoke break',
    ],
    ...['smoke detector', 'smoking break', 'smoking area', 'shock absorber', 'shock absorbers', 'shock load'],
    ...['shock proof', 'shock mount', 'gas strut', 'gas struts', 'gas spring', 'gas springs', 'gas meter'],
    ...['gas bottle', 'gas tight', 'gas cylinder', 'gas detector', 'glove hurt', 'gloves hurt'],
    ...['first aid', 'hiss or smoke', 'smell hiss'],
  ],
  reports: [
    ...['there is', 'theres', 'there are', 'got', 'gets', 'help', 'caught', 'coming', 'somebody', 'someone'],
    ...['he is', 'hes', 'she is', 'shes', 'i am', 'im', 'see', 'smell', 'on fire', 'badly', 'call'],
  ],
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
  noNumber: [
    ...['ol', 'o l', 'over range', 'overrange', 'out of range', 'overload', 'over load', 'blank', 'empty'],
    ...['nothing', 'none', 'nil', 'no reading', 'no number', 'no volts', 'no voltage', 'no display', 'error'],
    ...['err', 'infinity', 'infinite', 'inf', 'open line', 'open loop', 'na', 'n a', 'dead', 'dashes', 'hi'],
    ...['display blank', 'blank display', 'screen blank', 'nothing at all', 'no value', 'nada', 'zip', 'lo'],
    ...['safe', 'no idea', 'dont know', 'off scale'],
  ],
  besideNumber: [
    ...['about', 'approx', 'approximately', 'roughly', 'around', 'circa', 'ca', 'its', 'it', 'is', 'i', 'we'],
    ...[
      'reads',
      'reading',
      'read',
      'shows',
      'showing',
      'measured',
      'measure',
      'got',
      'have',
      'get',
      'steady',
    ],
    ...['exactly', 'just', 'only', 'equals', 'the', 'meter', 'tester', 'gauge', 'says', 'said', 'display'],
    ...['result', 'now', 'still', 'at', 'ok', 'okay', 'ish', 'thanks', 'please', 'that', 'thats', 'here'],
    ...['a', 'value', 'dc', 'yes', 'done', 'temperature', 'pressure', 'humidity', 'rh', 'relative', 'air'],
    ...['panel', 'skin', 'pack', 'counted', 'of', 'on', 'in', 'total', 'all', 'count'],
  ],
  watched: {
    emptied: ['emptied', 'empty', 'empied', 'emptyed', 'tipped out', 'poured out', 'dumped it', 'dumped'],
    unread: [
      ...[
        'unread',
        'not read',
        'nobody read it',
        'no reading',
        'without reading',
        'didnt read',
        'not measured',
      ],
      ...['did not read', 'dont know', 'no idea', 'forgot to read', 'nobody read', 'nobody looked'],
    ],
    added: ['more', 'another', 'added', 'further', 'plus', 'extra', 'additional'],
    nothingMore: [
      ...[
        'dry',
        'all dry',
        'its dry',
        'it is dry',
        'dry now',
        'still dry',
        'tray dry',
        'tray is dry',
        'bone dry',
      ],
      ...['nothing more', 'no more', 'nothing new', 'nothing since', 'no more came', 'nothing more came'],
      ...['nothing added', 'nothing further', 'not a drop', 'no drops', 'no drip', 'no drips', 'stopped'],
      ...['it stopped', 'it has stopped', 'its stopped', 'has stopped', 'same', 'the same', 'still the same'],
      ...['same as before', 'unchanged', 'no change', 'not changed', 'nothing more in it'],
    ],
    running: [
      ...['running', 'runs', 'leaking', 'leaks', 'dripping', 'drips', 'pouring', 'coming', 'flowing', 'leak'],
      ...['not stopping', 'keeps going', 'going on'],
    ],
    bubbles: ['bubbles', 'bubble', 'bubbling', 'air bubbles', 'foam'],
    beside: [
      ...[
        'tray',
        'the tray',
        'in the tray',
        'in tray',
        'was',
        'it was',
        'were',
        'stood',
        'stands',
        'stood at',
      ],
      ...[
        'with',
        'had',
        'when',
        'before',
        'bucket',
        'pan',
        'jug',
        'tank',
        'in the tank',
        'level',
        'the level',
      ],
    ],
  },
  counted: [
    ...['bolt', 'bolts', 'tool', 'tools', 'nut', 'nuts', 'screw', 'screws', 'sheet', 'sheets', 'piece'],
    ...['pieces', 'off', 'old', 'new', 'out', 'back'],
  ],
  atLeast: ['over', 'above', 'more than', 'greater than', 'at least', 'higher than', 'beyond'],
  correcting: [
    ...['no', 'nope', 'sorry', 'correction', 'i meant', 'i mean', 'meant', 'make that', 'scratch that'],
    ...[
      'should be',
      'it should be',
      'wrong',
      'no sorry',
      'sorry no',
      'sorry i meant',
      'no i meant',
      'no its',
    ],
    ...['no it is', 'no make that', 'no it should be', 'no wrong', 'typo', 'oops', 'no wait'],
  ],
  whole: {
    where: ['where are we', 'where am i', 'where was i', 'status', 'what now', 'whats next'],
    why: ['why is that', 'why not', 'how come', 'what for'],
    list: ['what else can i do', 'what else', 'what can i do', 'anything else', 'to do', 'todo', 'meanwhile'],
    pause: [
      ...[
        'one moment',
        'moment',
        'a moment',
        'just a moment',
        'sec',
        'a sec',
        'one sec',
        'just a sec',
        'lunch',
      ],
      ...[
        'lunch break',
        'break',
        'coffee',
        'coffee break',
        'tea break',
        'smoke break',
        'wait',
        'wait a minute',
      ],
      ...[
        'wait a sec',
        'wait a moment',
        'one minute',
        'one second',
        'just a second',
        'just a minute',
        'hang on',
      ],
      ...['give me a minute', 'give me a sec', 'give me a moment', 'half a mo', 'toilet', 'phone'],
    ],
    resume: [
      ...[
        'im back',
        'i am back',
        'were back',
        'we are back',
        'back now',
        'back again',
        'back at it',
        'unpause',
      ],
      ...['back to work', 'continue', 'carry on', 'go on', 'on with it', 'lets go on', 'back on it'],
    ],
    help: ['help me', 'help please', 'how does this work', 'what can i say', 'commands'],
    park: [
      'park it',
      'park the job',
      'park this',
      'park job',
      'park for today',
      'park overnight',
      'park for the night',
    ],
    take: [
      'take it',
      'i take it',
      'ill take it',
      'i take over',
      'ill take over',
      'taking over',
      'taking it',
      'mine',
    ],
    away: [
      ...[
        'im away',
        'i am away',
        'stepping out',
        'im stepping out',
        'i am stepping out',
        'stepping away',
        'brb',
      ],
      ...[
        'be right back',
        'going out',
        'popping out',
        'out for a bit',
        'leaving the bay',
        'have to go',
        'gotta go',
      ],
      ...['got to go', 'im off', 'im out'],
    ],
    here: [
      'im here',
      'i am here',
      'still here',
      'im still here',
      'i am still here',
      'yes here',
      'standing by',
      'present',
    ],
    agree: ['agreed', 'i agree', 'we agree'],
    'call-off': ['call it off', 'call off the job', 'call the job off', 'call off job', 'called off'],
    numbers: ['phone numbers', 'who do i call', 'who to call', 'emergency number'],
    seen: [],
    back: [],
    'lock-off': ['my lock is off', 'my lock off', 'lock is off', 'old lock off', 'lock off'],
    gear: [],
    hold: ['on hold'],
  },
  first: {
    where: ['where'],
    why: ['why'],
    list: ['list'],
    note: ['note'],
    pause: ['pause', 'hold on', 'hang on'],
    resume: ['resume', 'back from'],
    hold: ['hold'],
    release: ['release'],
    help: ['help'],
    'hand-over': ['hand over to', 'hand over', 'handover to', 'handover', 'handing over to', 'handing over'],
    away: ['away', 'back in', 'im back in', 'ill be back in', 'stepping out for', 'going to bay'],
    standby: ['standby is', 'standby', 'stand by is', 'stand by'],
    'catch-up': ['catch up', 'catchup'],
    adopt: ['adopt'],
    air: ['air'],
    correct: ['correct'],
    value: ['value'],
    'lock-removed': ['lock removed'],
  },
  gearTrouble: {
    things: ['gear', 'glove', 'gloves', 'tester', 'wrench', 'probe'],
    happened: [
      ...['torn', 'hurt', 'soiled', 'ripped', 'holed', 'dropped', 'damaged', 'broken', 'wet', 'dirty', 'bad'],
      ...['failed', 'split', 'cut', 'lost', 'faulty', 'defective', 'burnt', 'nicked', 'punctured', 'problem'],
    ],
  },
};

/** Words that stand for themselves: the whole message is the word. */
const BARE: readonly GlobalWord[] = [
  ...([
    'where',
    'why',
    'list',
    'pause',
    'resume',
    'hold',
    'release',
    'help',
    'park',
    'take',
    'away',
    'here',
  ] as const),
  ...([
    'back',
    'agree',
    'correct',
    'gear',
    'numbers',
    'seen',
    'adopt',
    'value',
    'standby',
    'air',
    'note',
  ] as const),
  ...(['hand-over', 'catch-up', 'call-off'] as const),
];

function phrases(table: Lexicon['whole']): (readonly [string, GlobalWord])[] {
  const entries = Object.entries(table) as (readonly [GlobalWord, readonly string[]])[];
  return entries.flatMap(([word, list]) => list.map((phrase) => [phrase, word] as const));
}

/** Whole messages that are one of the words that work everywhere. */
export const WHOLE: ReadonlyMap<string, GlobalWord> = new Map([
  ...phrases(ENGLISH.whole),
  ...phrases(ENGLISH.first),
  ...BARE.map((word) => [word.replace('-', ' '), word] as const),
  ['emergency numbers', 'numbers'],
]);

/** Beginnings of messages that are such a word with something behind it. */
export const FIRST: ReadonlyMap<string, GlobalWord> = new Map(phrases(ENGLISH.first));

export const DANGER_OF: ReadonlyMap<string, Danger> = new Map(
  (Object.entries(ENGLISH.dangers) as (readonly [Danger, readonly string[]])[]).flatMap(([danger, words]) =>
    words.map((word) => [word, danger] as const),
  ),
);
