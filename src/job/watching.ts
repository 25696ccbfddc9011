import type { Step } from '../flow/flow.js';
import { valueIn } from '../units/quantity.js';
import { dimensionOf } from '../units/unit.js';
import { completeStep } from './advance.js';
import { conclude } from './conclude.js';
import type { Draft, Speaker } from './draft.js';
import type { Reading, Sighted } from './event.js';
import type { Heard, HeardNumber } from './heard.js';
import { type Input, wordsOf } from './input.js';
import type { Refusal } from './refusal.js';
import { type Settled, settle } from './settling.js';
import { asReading } from './taken.js';
import { logOf, type Watch, watchOpen } from './watch.js';

/** A sighting of what the open step watches: taken into its log and judged with all before it. */
export function watchAnswered(
  draft: Draft,
  step: Step,
  watch: Watch,
  heard: Heard,
  input: Input,
  who: Speaker,
): void {
  const { sightings, from } = logOf(draft.job, watch.name);
  const taken = takeSighting(watch, heard, Math.min(input.saidAt, draft.now));
  if ('why' in taken) return draft.refuse(taken, who);
  const settled = settle(draft.job, watch, [...sightings, taken], from);
  if (!settled.ok) return draft.refuse(settled.refusal, who);
  goOn(draft, step, watch, taken, settled, input, who);
}

/** `no, 130`: the last sighting is taken back, and the right one stands in its place with the instant of its own. */
export function correctSighting(
  draft: Draft,
  step: Step,
  watch: Watch,
  to: Heard,
  input: Input,
  who: Speaker,
): void {
  const { sightings } = logOf(draft.job, watch.name);
  const wrong = sightings.at(-1);
  const mark = (['edited', 'forwarded', 'quoted', 'bot'] as const).find((m) => input.marks[m]);
  if (mark !== undefined) return draft.refuse({ why: 'marked', mark }, who);
  // It was read when the wrong one was said, and only said wrong.
  const taken = takeSighting(watch, to, wrong?.saidAt ?? Math.min(input.saidAt, draft.now));
  if ('why' in taken) return draft.refuse(taken, who);
  const before = sightings.slice(0, -1);
  const settled = settle(draft.job, watch, [...before, taken], Math.min(wrong?.from ?? 0, before.length));
  if (!settled.ok) return draft.refuse(settled.refusal, who);
  if (wrong !== undefined) {
    const at = draft.now;
    draft.emit({
      type: 'watched-taken-back',
      step: step.id,
      of: watch.name,
      by: who.by,
      name: who.name,
      at,
    });
  }
  goOn(draft, step, watch, taken, settled, input, who);
}

/** `correct`: the last sighting counts no more, and is asked again. False where nothing was read yet. */
export function takeBackSighting(draft: Draft, who: Speaker): boolean {
  const open = watchOpen(draft.job, draft.flow);
  if (open === null || who.by !== draft.job.holder) return false;
  const { name } = open.watch;
  if (logOf(draft.job, name).sightings.length === 0) return false;
  const at = draft.now;
  draft.emit({ type: 'watched-taken-back', step: open.step.id, of: name, by: who.by, name: who.name, at });
  return true;
}

type Taken = { readonly sighted: Sighted; readonly saidAt: number };

function goOn(
  draft: Draft,
  step: Step,
  watch: Watch,
  { sighted, saidAt }: Taken,
  { outcome, figures }: Settled & { ok: true },
  input: Input,
  who: Speaker,
): void {
  const { job } = draft;
  const before = logOf(job, watch.name).sightings.at(-1)?.outcome.verdict;
  draft.emit({
    type: 'watched',
    step: step.id,
    visit: job.asked?.visit ?? job.visits,
    of: watch.name,
    sighted,
    words: wordsOf(input),
    saidAt,
    outcome,
    saidFor: who.by === job.holder ? null : job.holder,
    by: who.by,
    name: who.name,
    at: draft.now,
  });
  if (outcome.verdict === 'not-falling' && before !== 'not-falling') {
    draft.emit({ type: 'summoned', what: 'not-falling', to: 'foreman', detail: step.id, at: draft.now });
  }
  if (outcome.verdict === 'settled') {
    if (conclude(draft, step, { verdict: 'passed', because: watch.until, figures }, who))
      completeStep(draft, step, who, null);
  } else if (outcome.verdict === 'failed') {
    conclude(draft, step, { verdict: step.outOfLimits, because: `${watch.until}-not`, figures }, who);
  }
}

/** What was heard as a sighting of this watch, or why it is none. Nothing but a reading is one. */
function takeSighting(watch: Watch, heard: Heard, saidAt: number): Taken | Refusal {
  const tray = watch.until === 'spill-still';
  const unsettled: Refusal = { why: 'not-settled', until: watch.until };
  const read = (number: HeardNumber, make: (reading: Reading) => Sighted): Taken | Refusal => {
    const reading = readingOf(watch, number, saidAt);
    return 'why' in reading ? reading : { sighted: make(reading), saidAt };
  };
  if (heard.heard === 'unclear') return { why: 'unclear', because: heard.because, detail: heard.detail };
  if (heard.heard === 'no-number') return { why: 'unclear', because: 'not-a-number', detail: heard.word };
  if (heard.heard === 'readings') {
    const [only, second] = heard.numbers;
    if (only === undefined) return unsettled;
    if (second !== undefined) {
      return { why: 'unclear', because: 'two-numbers', detail: `${only.value}, ${second.value}` };
    }
    return read(only, (reading) => ({ is: 'stands', reading, bubbles: null }));
  }
  if (heard.heard !== 'sight') return unsettled;
  const { says } = heard;
  switch (says.is) {
    case 'stands':
      return read(says.number, (reading) => ({ is: 'stands', reading, bubbles: says.bubbles }));
    case 'bubbles':
      return watch.until === 'level-still'
        ? { sighted: { is: 'bubbles', seen: says.seen }, saidAt }
        : unsettled;
    case 'added':
      if (!tray) return unsettled;
      return read(says.number, (reading) => ({ is: 'added', reading }));
    case 'emptied':
      if (!tray) return unsettled;
      if (says.number !== null) return read(says.number, (reading) => ({ is: 'emptied', reading }));
      return says.unread ? { sighted: { is: 'emptied', reading: null }, saidAt } : { why: 'emptied-at' };
    case 'nothing-more':
      return tray ? { sighted: { is: 'nothing-more' }, saidAt } : unsettled;
    case 'running':
      return unsettled;
  }
}

function readingOf(watch: Watch, number: HeardNumber, saidAt: number): Reading | Refusal {
  const taken = asReading(number, watch, saidAt);
  if ('ok' in taken) return taken.ok ? { why: 'not-settled', until: watch.until } : taken.refusal;
  if (number.bound !== null) return { why: 'unclear', because: 'not-a-number', detail: '' };
  const value = valueIn(taken.quantity, watch.unit);
  const { plausible } = watch;
  const negative = value < 0 && dimensionOf(watch.unit) === 'volume';
  if (negative) return { why: 'unclear', because: 'not-a-number', detail: String(number.value) };
  if (plausible !== null && (value < plausible.from || value > plausible.to)) {
    return { why: 'implausible', value, unit: watch.unit, from: plausible.from, to: plausible.to };
  }
  return taken;
}
