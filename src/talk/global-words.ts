import type { GlobalWord } from '../job/heard.js';
import type { Lexicon } from './lexicon.js';

/** The English phrases for the words that work everywhere, whatever is asked. */
export const GLOBAL_PHRASES: Pick<Lexicon, 'whole' | 'first' | 'gearTrouble'> = {
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
    'leave-out': [
      'skip',
      'skip it',
      'skip this',
      'skip that',
      'leave it out',
      'leave this out',
      'leave that out',
    ],
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
    'balance-unknown': ['balance not known', 'balance unknown'],
    value: ['value'],
    'lock-removed': ['lock removed'],
    'leave-out': ['leave out', 'skip'],
  },
  gearTrouble: {
    things: ['gear', 'glove', 'gloves', 'tester', 'wrench', 'probe'],
    happened: [
      ...['torn', 'hurt', 'soiled', 'ripped', 'holed', 'dropped', 'damaged', 'broken', 'wet', 'dirty', 'bad'],
      ...['failed', 'split', 'cut', 'lost', 'faulty', 'defective', 'burnt', 'nicked', 'punctured', 'problem'],
    ],
  },
};

/**
 * Words that are one person's to say: the foreman's, the one's who takes a job over, the owner's of a lock. Where several
 * people share a screen, whoever says them shows who they are. `correct` is so when another than the holder says it,
 * `resume` when the foreman has called the job off.
 */
export const PERSONAL: ReadonlySet<GlobalWord> = new Set([
  ...(['release', 'take', 'agree', 'catch-up', 'value', 'adopt', 'call-off'] as const),
  ...(['lock-off', 'lock-removed', 'leave-out', 'balance-unknown'] as const),
]);

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
  ...phrases(GLOBAL_PHRASES.whole),
  ...phrases(GLOBAL_PHRASES.first),
  ...BARE.map((word) => [word.replace('-', ' '), word] as const),
  ['emergency numbers', 'numbers'],
]);

/** Beginnings of messages that are such a word with something behind it. */
export const FIRST: ReadonlyMap<string, GlobalWord> = new Map(phrases(GLOBAL_PHRASES.first));
