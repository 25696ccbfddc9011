import type { Ask, Flow, Step } from '../flow/flow.js';
import type { GlobalWord, Heard, Unclear } from '../job/heard.js';
import { type Input, wordsOf } from '../job/input.js';
import type { Asked, Job } from '../job/job.js';
import { boltsOf } from '../job/tighten.js';
import { logOf } from '../job/watch.js';
import { dimensionOf } from '../units/unit.js';
import { hearNo, hearYes, hearYesNo } from './answer.js';
import { type Global, hearGlobal, restOf } from './global.js';
import { DANGER_OF, ENGLISH } from './lexicon.js';
import { isNumeral } from './numeral.js';
import { type Choosable, choosable, hearOption } from './option.js';
import { holds, joined, plain, type Word, wordsIn } from './plain.js';
import { hearNumbers, type Wanted } from './reading.js';
import { hearSight, saysUnread } from './sight.js';
import { hearStop, isIdentifier, type StopHeard } from './stop.js';
import { hearUndone } from './undone.js';

/**
 * What a message says, given what the bay is asked now. Pure; never throws; what it cannot place is `unclear` with the
 * best reason. A gate is never passed here: the gate compares the untouched text. A stop comes before everything else,
 * then what was undone, then the words that work everywhere, then the open question.
 */
export function hear(job: Job | null, flow: Flow | null, input: Input): Heard {
  const { body } = input;
  if (body.is === 'notice') return { heard: 'text', text: '' };
  if (body.is === 'reaction') return hearReaction(job, flow, body.name, body.on);
  const message = messageOf(wordsOf(input), input.by, body.is === 'photo');
  const question = questionOf(job, flow);
  const said = hearStop(message.text, message.words);
  const stop = said === null || isMeantSo(job, question, message, said) ? null : said;
  if (stop?.sure === true) return { heard: 'stop', danger: stop.danger };
  // A report that something was undone brings hands out by itself; a dictated full stop may not swallow it.
  const reported = stop !== null && job !== null && flow !== null;
  const first = reported ? hearUndone(job, flow, message.text, message.words) : null;
  if (first?.heard === 'undone') return { ...first, stopMaybe: true };
  if (stop !== null) return { heard: 'stop-maybe', danger: stop.danger };
  if (job !== null && flow !== null) {
    const lock = hearLock(job, message);
    if (lock !== null) return lock;
    const undone = hearUndone(job, flow, message.text, message.words);
    if (undone !== null) return undone;
    const corrected = hearCorrection(job, flow, question, message);
    if (corrected !== null) return corrected;
  }
  const global = hearGlobal(message.raw, message.words);
  if (global?.word === 'correct' && global.whole && !isMeant(global, question, message)) {
    return unclear('correct-which', '');
  }
  if (global !== null && isMeant(global, question, message)) {
    if (global.word === 'note' && global.rest === '' && !message.photo) return unclear('empty', 'note');
    return { heard: 'word', word: wordFor(global.word, job, message), rest: global.rest };
  }
  return answerTo(question, message);
}

/** Fields whose answer may be the identifier of a thing. */
const IDENTIFIED: ReadonlySet<string> = new Set(['serial', 'batch', 'text']);

/**
 * Whether a stop word or a danger in a message is part of what the message is by its beginning or by the question: an
 * identifier where one is asked, the reason of a release, a note, a denial where a look or a choice is open.
 */
function isMeantSo(job: Job | null, question: Question, message: Message, stop: StopHeard): boolean {
  const field = question.of === 'ask' && question.ask.ask === 'field' && IDENTIFIED.has(question.ask.type);
  if (field && isIdentifier(message.raw)) return true;
  const first = hearGlobal(message.raw, message.words);
  // Everything stands already: the reason is free text. A danger that is reported in it is heard all the same.
  if (first?.word === 'release' && first.rest !== '' && job?.mode === 'stopped')
    return !isReport(stop, message);
  if (stop.sure) return false;
  // The first word has said what the message is. A danger is asked back, and so is what would freeze by itself.
  if (first?.word === 'note' && first.rest !== '') {
    return stop.danger === null && hearStop(plain(first.rest))?.sure !== true;
  }
  const looked = question.of === 'look' || (question.of === 'ask' && question.ask.ask === 'choice');
  return looked && stop.denied === true;
}

function isReport(stop: StopHeard, { words }: Message): boolean {
  const line = joined(words);
  return stop.sure && ENGLISH.reports.some((phrase) => holds(line, phrase));
}

/** A message in the forms in which it is looked at. */
type Message = {
  /** Untouched but for blanks outside. */
  readonly raw: string;
  /** For numbers and signs: everything alike written alike. */
  readonly text: string;
  readonly words: readonly Word[];
  readonly by: string;
  readonly photo: boolean;
};

const LONGEST = 4_000;

function messageOf(untouched: string, by: string, photo: boolean): Message {
  const raw = (untouched.length > LONGEST ? untouched.slice(0, LONGEST) : untouched).trim();
  return { raw, text: plain(raw), words: wordsIn(raw), by, photo };
}

/** What is asked, as far as hearing needs to know it. */
type Question =
  | { readonly of: 'nothing' }
  /** The words of the look, where it is only one. */
  | { readonly of: 'look'; readonly text: string | null }
  | { readonly of: 'which'; readonly options: readonly Choosable[] }
  | { readonly of: 'ask'; readonly ask: Ask; readonly step: Step; readonly count: number | null };

function questionOf(job: Job | null, flow: Flow | null): Question {
  const asked = job?.asked ?? null;
  if (job === null || flow === null || asked === null) return { of: 'nothing' };
  if (asked.what === 'look') return { of: 'look', text: lookOf(flow, asked) };
  if (asked.what === 'which') return { of: 'which', options: factsOf(flow, asked) };
  return askAt(job, flow, asked.step, asked.answers.length);
}

function lookOf(flow: Flow, { facts }: Asked): string | null {
  const [only, other] = facts;
  return only === undefined || other !== undefined ? null : (flow.facts.get(only)?.look ?? null);
}

const stepsOf = new WeakMap<Flow, ReadonlyMap<string, Step>>();

function askAt(job: Job, flow: Flow, id: string, index: number): Question {
  let steps = stepsOf.get(flow);
  if (steps === undefined) {
    steps = new Map(flow.steps.map((step) => [step.id, step]));
    stepsOf.set(flow, steps);
  }
  const step = steps.get(id);
  const ask = step?.asks[index];
  if (step === undefined || ask === undefined) return { of: 'nothing' };
  return { of: 'ask', ask, step, count: ask.ask === 'values' ? boltsOf(job, step) : null };
}

/** Facts are chosen by id, by their label, or by a word of it that no other label in the list has. */
function factsOf(flow: Flow, asked: Asked): readonly Choosable[] {
  const labels = asked.facts.map((id) => wordsIn(flow.facts.get(id)?.label ?? id).map((one) => one.word));
  return asked.facts.map((id, i) => {
    const mine = labels[i] ?? [];
    const own = mine.filter(
      (word) => word.length > 2 && !labels.some((other, j) => j !== i && other.includes(word)),
    );
    return choosable(id, [mine.join(' '), ...own]);
  });
}

const optionsOf = new WeakMap<Ask, readonly Choosable[]>();

function choosablesOf(ask: Ask & { ask: 'choice' }): readonly Choosable[] {
  const before = optionsOf.get(ask);
  if (before !== undefined) return before;
  const options = ask.options.map((option) => choosable(option.say, option.also));
  optionsOf.set(ask, options);
  return options;
}

/** Words that a line of text can begin with only as themselves: their rest is part of them. */
const WITH_REST: ReadonlySet<GlobalWord> = new Set([
  ...([
    'note',
    'hold',
    'hand-over',
    'release',
    'correct',
    'air',
    'value',
    'adopt',
    'catch-up',
    'balance-unknown',
  ] as const),
  ...(['standby', 'lock-removed', 'pause'] as const),
]);

/** 'skip' may begin a text that is written down, 'leave out' does not. */
function mayHaveRest(word: GlobalWord, message: Message): boolean {
  return WITH_REST.has(word) || (word === 'leave-out' && message.words[0]?.word === 'leave');
}

/** Whether a word that works everywhere is meant as such at this question. */
function isMeant(global: Global, question: Question, message: Message): boolean {
  const { word, whole, rest } = global;
  if (question.of === 'look') return word !== 'correct' || !whole;
  if (question.of !== 'ask') return true;
  const { ask } = question;
  switch (ask.ask) {
    case 'confirm':
      // 'correct' alone may be a yes or a correction: asked back.
      return word !== 'correct' || !whole;
    case 'choice':
      return hearOption(message.text, message.words, choosablesOf(ask)) === null || !whole;
    case 'reading':
    case 'watch':
    case 'values':
    case 'dead-test':
      // 'air 12 C' answers a question about the air; two figures are an entry of the air log.
      if ((word === 'air' || word === 'value') && !whole)
        return hearAt(question, { ...message, text: plain(rest) }).heard !== 'readings';
      return true;
    case 'gear':
      return whole ? word !== 'gear' : mayHaveRest(word, message);
    case 'field':
    case 'standby':
      return whole || mayHaveRest(word, message);
    case 'second-look':
    case 'word':
      return true;
  }
}

/** Back where no pause has to end, after 'away' or as the standby, is to be here again. */
function wordFor(word: GlobalWord, job: Job | null, message: Message): GlobalWord {
  const back = word === 'resume' && message.words.some((one) => one.word === 'back');
  return back && job !== null && (job.mode === 'working' || message.by === job.standby) ? 'here' : word;
}

/** While an old lock waits to come off, its owner's word about it is that, and no undoing of the new one. */
function hearLock(job: Job, message: Message): Heard | null {
  if (job.oldLock === null || message.text.includes('?')) return null;
  const global = hearGlobal(message.raw, message.words);
  if (global === null || message.by === job.holder) return null;
  if (global.word !== 'lock-off' && global.word !== 'lock-removed') return null;
  return { heard: 'word', word: global.word, rest: global.rest };
}

const NOUNS_OF_NO: ReadonlySet<string> = new Set([
  ...ENGLISH.watched.bubbles,
  'more',
  'drops',
  'drips',
  'change',
]);
const CORRECTING: ReadonlySet<string> = new Set(ENGLISH.correcting);
const CORRECTING_FIRST: ReadonlySet<string> = new Set(
  ENGLISH.correcting.map((phrase) => phrase.split(' ')[0] ?? ''),
);
const LONGEST_CORRECTING = Math.max(...ENGLISH.correcting.map((phrase) => phrase.split(' ').length));
/** Faults that only a number can have. */
const OF_NUMBERS: ReadonlySet<Unclear> = new Set<Unclear>([
  ...(['letter-o', 'leading-zero', 'kilo-or-not', 'wrong-unit', 'ambiguous-unit'] as const),
]);

/**
 * `no, 30`: what was read before was 30. Only where the last answer was a number; at the first number of a step it is
 * that number, since nothing has been taken yet that could be wrong.
 */
function hearCorrection(job: Job, flow: Flow, question: Question, message: Message): Heard | null {
  const { words, text } = message;
  if (!CORRECTING_FIRST.has(words[0]?.word ?? '')) return null;
  let count = Math.min(LONGEST_CORRECTING, words.length - 1);
  while (count > 0 && !CORRECTING.has(joined(words.slice(0, count)))) count -= 1;
  if (count === 0) return null;
  const rest = plain(restOf(message.raw, words[count - 1]?.end ?? 0));
  if (!/\d/.test(rest) && !wordsIn(rest).some((one) => isNumeral(one.word))) return null;
  if (text.includes('?')) return null;
  const { asked, last } = job;
  // 'no bubbles, 85' and 'no more, 120 still' correct nothing.
  const denied = words[0]?.word === 'no' && NOUNS_OF_NO.has(words[1]?.word ?? '');
  if (denied && question.of === 'ask' && question.ask.ask === 'watch') return null;
  const before =
    asked !== null && isWatched(job, question)
      ? question
      : asked !== null && asked.what === 'step' && asked.answers.length > 0
        ? askAt(job, flow, asked.step, asked.answers.length - 1)
        : last === null
          ? ({ of: 'nothing' } as const)
          : askAt(job, flow, last.step, last.ask);
  const to = isRead(before) ? hearAt(before, { ...message, text: rest }) : null;
  if (to !== null && isNumber(to)) return { heard: 'correction', to };
  if (!isRead(question)) return null;
  const now = hearAt(question, { ...message, text: rest });
  if (!isNumber(now)) return null;
  return to === null ? now : { heard: 'correction', to: now };
}

/** Whether the open question is a watch of which something was read already. */
function isWatched(job: Job, question: Question): boolean {
  if (question.of !== 'ask' || question.ask.ask !== 'watch') return false;
  return logOf(job, question.ask.name).sightings.length > 0;
}

function isNumber(heard: Heard): boolean {
  return (
    heard.heard === 'readings' ||
    heard.heard === 'sight' ||
    (heard.heard === 'unclear' && OF_NUMBERS.has(heard.because))
  );
}

function isRead(question: Question): question is Question & { of: 'ask' } {
  if (question.of !== 'ask') return false;
  const { ask } = question.ask;
  return ask === 'reading' || ask === 'watch' || ask === 'values' || ask === 'dead-test';
}

function hearAt(question: Question & { of: 'ask' }, message: Message): Heard {
  const sight =
    question.ask.ask === 'watch' ? hearSight(message.text, message.words, wantedBy(question)) : null;
  const heard = sight ?? hearNumbers(message.text, wantedBy(question));
  // Asked back in the words that were typed.
  if (heard.heard !== 'unclear' || heard.because !== 'not-a-number') return heard;
  return { ...heard, detail: message.raw.slice(0, 60) };
}

const COUNT_FIELD: Wanted = { unit: 'pcs', plausible: null, count: 1, deadTest: false };
const ANY_NUMBER: Wanted = { unit: null, plausible: null, count: null, deadTest: false };

function wantedBy({ ask, count }: Question & { of: 'ask' }): Wanted {
  switch (ask.ask) {
    case 'reading':
    case 'watch':
      return { unit: ask.unit, plausible: ask.plausible, count: 1, deadTest: false };
    case 'dead-test':
      return { unit: 'V', plausible: null, count: 5, deadTest: true };
    case 'values':
      return { unit: ask.unit, plausible: null, count: count === 1 ? null : count, deadTest: false };
    default:
      return COUNT_FIELD;
  }
}

const unclear = (because: Unclear, detail: string): Heard => ({ heard: 'unclear', because, detail });

function answerTo(question: Question, message: Message): Heard {
  const { raw, text, words, photo } = message;
  // A photo without words is an answer by itself where one is asked; elsewhere the step says what it wants.
  if (text === '') return photo ? { heard: 'text', text: '' } : unclear('empty', '');
  switch (question.of) {
    case 'nothing':
      return unasked(message);
    case 'look':
      return look(question.text, message);
    case 'which':
      return which(question.options, message);
    case 'ask':
      break;
  }
  const { ask, step } = question;
  switch (ask.ask) {
    case 'confirm':
      return confirm(step, message);
    case 'reading':
    case 'watch':
    case 'values':
    case 'dead-test':
      return reading(question, message);
    case 'choice': {
      const option = hearOption(text, words, choosablesOf(ask));
      if (option !== null) return { heard: 'choice', option };
      if (/^problem/.test(words[0]?.word ?? '')) return hearNo(text, words) ?? unclear('which-option', '');
      return unclear('which-option', '');
    }
    case 'field':
      return field(ask, message);
    case 'gear':
    case 'standby':
      return problem(message) ?? { heard: 'text', text: raw };
    case 'second-look':
      return hearYesNo(text, words) ?? unclear('which-word', 'SEEN');
    case 'word':
      return hearYesNo(text, words) ?? unclear('which-word', '');
  }
}

/**
 * A look is answered by yes or no. `no smoke` is a yes to a look that names smoke, since a yes is never the bad answer;
 * to any other it is neither.
 */
function look(asked: string | null, { text, words }: Message): Heard {
  const denial = hearStop(text, words);
  if (denial?.denied !== true) return hearYesNo(text, words) ?? unclear('yes-or-no', '');
  const rest = words.filter(({ word }) => !DANGER_OF.has(word) && !DENYING.has(word));
  const named = asked !== null && wordsIn(asked).some(({ word }) => DANGER_OF.get(word) === denial.danger);
  const plainly = rest.length === 0 || hearYes(rest);
  return named && plainly ? { heard: 'yes' } : unclear('yes-or-no', '');
}

const DENYING: ReadonlySet<string> = new Set([
  ...ENGLISH.negations,
  'or',
  'and',
  'any',
  'there',
  'is',
  'see',
]);

function unasked({ raw, text, words }: Message): Heard {
  const yesNo = hearYesNo(text, words);
  if (yesNo !== null) return yesNo;
  const numbers = hearNumbers(text, ANY_NUMBER);
  return numbers.heard === 'readings' ? numbers : { heard: 'text', text: raw };
}

function confirm(step: Step, { raw, text, words }: Message): Heard {
  const reason = /^no photo\b[\s,.:;]*(.*)$/is.exec(text)?.[1];
  // A camera that fails is no problem with the work: the reason stands in for the photo.
  if (reason !== undefined && step.photo)
    return /^(?:yet)?[\s.!]*$/i.test(reason) ? { heard: 'no', rest: '' } : { heard: 'text', text: raw };
  return hearYesNo(text, words) ?? unclear('which-word', 'OK');
}

function which(options: readonly Choosable[], message: Message): Heard {
  const { text, words } = message;
  const option = hearOption(text, words, options);
  if (option !== null) return { heard: 'choice', option };
  // Here a 'not' is the point: 'lock is not on'. One fact named is the one.
  const line = ` ${joined(words)} `;
  const named = options.filter((one) => one.phrases.some((phrase) => line.includes(` ${phrase} `)));
  const [only, other] = named;
  if (only !== undefined && other === undefined && !text.includes('?'))
    return { heard: 'choice', option: only.say };
  return unclear('which-option', '');
}

function reading(question: Question & { of: 'ask' }, message: Message): Heard {
  const { text, words } = message;
  const { ask } = question;
  // Not a number, and not a nil: a balance has to know that some of it was never read.
  if (ask.ask === 'reading' && dimensionOf(ask.unit) === 'volume' && saysUnread(text, words))
    return { heard: 'readings', numbers: [{ value: 0, unit: ask.unit, bound: 'at-least' }] };
  const numbers = hearAt(question, message);
  if (numbers.heard !== 'unclear') return numbers;
  // 'not 0.3' tells no problem, it is half a reading; 'problem, 2 leads broken' tells one.
  if (/\d/.test(text)) return problem(message) ?? numbers;
  return hearYesNo(text, words) ?? numbers;
}

/** `problem label unreadable`, or a bare no, where a text is asked: not the text. */
function problem({ text, words }: Message): Heard | null {
  const [first] = words;
  if (first === undefined || text.includes('?')) return null;
  const bare = words.length === 1 && ENGLISH.no.includes(first.word);
  const told = ['problem', 'cant', 'cannot'].includes(first.word);
  return bare || told ? hearNo(text, words) : null;
}

function field(ask: Ask & { ask: 'field' }, message: Message): Heard {
  const { raw, text, words } = message;
  const told = problem(message);
  if (told !== null) return told;
  if (ask.type === 'photo') return { heard: 'text', text: raw };
  if (ask.type === 'count') {
    const count = hearNumbers(text, COUNT_FIELD);
    if (count.heard === 'readings' || count.heard === 'unclear') return count;
    return unclear('not-a-number', raw.slice(0, 60));
  }
  // Habit writes ok; a serial of that name is none.
  if (hearYes(words)) return unclear(ask.type === 'date' ? 'not-a-date' : 'empty', raw.slice(0, 60));
  return { heard: 'text', text: raw };
}

const THUMBS: ReadonlySet<string> = new Set([
  '+1',
  'thumbsup',
  'white_check_mark',
  'heavy_check_mark',
  'ok_hand',
]);
const STOP_SIGNS: ReadonlySet<string> = new Set([
  'octagonal_sign',
  'no_entry',
  'sos',
  'fire',
  'rotating_light',
]);

/** A thumb on the post that asks, or on a later one, is a yes to a confirmation; never to anything else. */
function hearReaction(job: Job | null, flow: Flow | null, name: string, on: string): Heard {
  const plainName = name.replace(/::.*$/, '').toLowerCase();
  if (STOP_SIGNS.has(plainName)) return { heard: 'stop-maybe', danger: plainName === 'fire' ? 'fire' : null };
  const question = questionOf(job, flow);
  const place = job?.asked == null ? undefined : job.places[job.asked.seq];
  const here = place !== undefined && on >= place;
  const confirms = question.of === 'ask' && question.ask.ask === 'confirm';
  if (THUMBS.has(plainName) && !here) return unclear('old-post', '');
  // A thumb on a running leak is told what closes it.
  const watches = question.of === 'ask' && question.ask.ask === 'watch';
  return (confirms || watches) && THUMBS.has(plainName) ? { heard: 'yes' } : unclear('which-word', '');
}
