import type { Flow, Step } from '../flow/flow.js';
import { distance } from '../rule/distance.js';
import { completeStep } from './advance.js';
import type { Draft, Speaker } from './draft.js';
import type { GateEvidence } from './event.js';
import { competence, gearFor } from './fit.js';
import { type Input, wordsOf } from './input.js';
import type { Refusal } from './refusal.js';

/** Words that come by habit. They never pass a gate, and the day's post counts them. */
const HABIT = new Set([
  'ok',
  'okay',
  'k',
  'yes',
  'y',
  'yep',
  'done',
  'next',
  'safe',
  'confirmed',
  'confirm',
  'ready',
]);

/**
 * A message as a gate compares it: NFC, case folded, one blank between words, outer blanks and `. , ; : !` off.
 * Anything that is not plain Latin letters and single blanks is left as it is and so equals no gate word: quote
 * marks, look-alikes of other scripts, invisible characters and emoji refuse by themselves.
 */
export function asGateWord(text: string): string {
  if (BARE.test(text)) return text.toLowerCase();
  return text
    .normalize('NFC')
    .replace(/[ \t\r\n]+/g, ' ')
    .replace(/^[ .,;:!]+|[ .,;:!]+$/g, '')
    .replace(/[A-Z]/g, (letter) => letter.toLowerCase());
}

/** Nothing in it that is not compared. */
const BARE = /^[A-Za-z0-9]+(?: [A-Za-z0-9]+)*$/;

/** Whether the untouched text is this word and nothing else. */
export function saysWord(text: string, word: string): boolean {
  return asGateWord(text) === word.toLowerCase();
}

/** Whether the untouched text is any gate word of the flow, spoken at the wrong moment or in the wrong bay. */
export function isGateWord(draft: Draft, text: string): boolean {
  return gateWordsOf(draft.flow).has(asGateWord(text));
}

// Every message is compared with all of them, and a flow never changes.
const gateWords = new WeakMap<Flow, ReadonlySet<string>>();

/** The gate words of a flow, as `asGateWord` compares them. */
export function gateWordsOf(flow: Flow): ReadonlySet<string> {
  const known = gateWords.get(flow);
  if (known !== undefined) return known;
  const words = flow.steps.flatMap(({ asks }) => {
    const last = asks.at(-1);
    return last?.ask === 'word' ? last.words.map((word) => word.toLowerCase()) : [];
  });
  const found = new Set(words);
  gateWords.set(flow, found);
  return found;
}

/** A gate word where none is asked: meant for the bay the speaker comes from, or for nothing. */
export function wordHere(draft: Draft, who: Speaker): Refusal {
  const bay = draft.world.elsewhere.get(who.by);
  return bay === undefined ? { why: 'nothing-asked' } : { why: 'word-elsewhere', bay };
}

/**
 * A message while a gate waits for its word. Passes only by all of the rules together; what is missing is said in
 * one refusal. No role can wave it through.
 */
export function hearGateWord(draft: Draft, step: Step, input: Input, who: Speaker): void {
  const { asked } = draft.job;
  if (asked?.word == null) return;
  const refusal = refusalAt(draft, step, input, who, asked.word);
  if (refusal !== null) {
    const counts = refusal.why !== 'not-delivered' && refusal.why !== 'stale';
    return draft.refuse(refusal, who, counts);
  }
  const evidence = evidenceOf(draft, step, wordsOf(input), asked.word);
  if (!evidence.ok) return draft.refuse(evidence.refusal, who, true);
  draft.emit({
    type: 'answered',
    step: step.id,
    visit: asked.visit,
    ask: asked.answers.length,
    answer: { ask: 'word', word: asked.word },
    saidFor: null,
    by: who.by,
    name: who.name,
    at: draft.now,
  });
  completeStep(draft, step, who, evidence.gate);
}

function refusalAt(draft: Draft, step: Step, input: Input, who: Speaker, word: string): Refusal | null {
  const { job } = draft;
  if (input.body.is === 'tap' || input.body.is === 'reaction') return { why: 'tap' };
  const mark = (['edited', 'forwarded', 'quoted', 'bot', 'attachment'] as const).find((m) => input.marks[m]);
  if (mark !== undefined) return { why: 'marked', mark };
  if (input.body.is === 'photo') return { why: 'marked', mark: 'attachment' };
  if (who.by !== job.holder) {
    const holder = draft.world.people.get(job.holder)?.name ?? job.holder;
    return { why: 'not-holder', holder };
  }
  const text = wordsOf(input);
  if (!saysWord(text, word)) {
    const said = asGateWord(text);
    if (HABIT.has(said)) return { why: 'habit-word' };
    return { why: 'wrong-word', near: distance(said, word.toLowerCase()) <= 2 };
  }
  const hazard = draft.flow.hazards.get(step.hazard);
  if (hazard?.second !== null && hazard?.second !== undefined) {
    if (job.standby === null || job.standby === job.holder) return { why: 'own-witness' };
  }
  return null;
}

/** Competence and gear as they are at this moment, copied into the event: what an insurer asks for years later. */
function evidenceOf(
  draft: Draft,
  step: Step,
  words: string,
  word: string,
): { readonly ok: true; readonly gate: GateEvidence } | { readonly ok: false; readonly refusal: Refusal } {
  const { job, flow, world } = draft;
  const hazard = flow.hazards.get(step.hazard);
  const level = hazard?.level ?? null;
  const own = level === null ? null : competence(world, flow, job.holder, level);
  if (own !== null && !own.ok) return own;
  const secondLevel = hazard?.second?.level ?? null;
  const standby = hazard?.second != null ? job.standby : null;
  const second =
    standby === null || secondLevel === null ? null : competence(world, flow, standby, secondLevel);
  if (second !== null && !second.ok) return second;
  const gear = gearFor(job, world, step);
  if (!gear.ok) return gear;
  return {
    ok: true,
    gate: {
      word,
      words,
      competence: own?.competence ?? null,
      second: second?.competence ?? null,
      gear: gear.gear,
      visit: job.asked?.visit ?? job.visits,
      shownAt: job.asked?.shownAt ?? draft.now,
    },
  };
}
