import type { Flow } from '../flow/flow.js';
import type { Event, Reading, Sighted, WatchOutcome } from '../job/event.js';
import type { Job } from '../job/job.js';
import { watchMinutes } from '../job/settling.js';
import { logOf, promptNow, type Watch, watchDue, watchOpen } from '../job/watch.js';
import { readingText, UNREAD } from './echo.js';
import { cap, ln, when } from './line.js';
import { amount, filled, personOf, spaced, titleOf } from './phrase.js';
import type { Line } from './post.js';

/** Words for what is watched: what was read, what it comes to, when it is asked again. */

type Watched = Event & { readonly type: 'watched' };

/** What was heard of a sighting, and what it comes to with those before it. */
export function watchedLines(job: Job, flow: Flow, event: Watched): readonly Line[] {
  const { outcome, saidFor } = event;
  const said = saidFor === null ? '' : `, said by ${event.name} for ${personOf(job, saidFor)}`;
  const come = comeTo(event.of, outcome, event.sighted.is === 'stands' ? event.sighted.reading : null);
  const lines = [ln`${cap(sightedText(event.sighted))}${said}.${come === '' ? '' : ` ${cap(come)}.`}`];
  if (outcome.tail !== null && outcome.verdict !== 'settled') {
    const { end, from, to } = outcome.tail;
    lines.push(ln`Ends near ${amount(end)}, between ${amount(from)} and ${amount(to)}.`);
  }
  if (outcome.verdict === 'not-falling') {
    lines.push(ln`Not dying away: a valve has not seated. Plug it, then read again.`);
  }
  const open = watchOpen(job, flow);
  const due = open === null ? null : watchDue(job, flow, watchMinutes(job, open.watch));
  if (due?.do === 'ask' && outcome.verdict !== 'bubbles-open') {
    lines.push(ln`Asked again ${when(due.at, job.now)}.`);
  }
  return lines;
}

/** `120 ml, unit assumed`, `30 ml more`, `emptied at 200 ml`. */
export function sightedText(sighted: Sighted): string {
  switch (sighted.is) {
    case 'stands': {
      const bubbles = sighted.bubbles === null ? '' : sighted.bubbles ? ', bubbles' : ', no bubbles';
      return `${readingText(sighted.reading)}${bubbles}`;
    }
    case 'added':
      return `${readingText(sighted.reading)} more`;
    case 'emptied':
      return sighted.reading === null ? UNREAD : `emptied at ${readingText(sighted.reading)}`;
    case 'nothing-more':
      return 'nothing more';
    case 'bubbles':
      return sighted.seen ? 'bubbles' : 'no bubbles';
  }
}

/** `total 320 ml, 4 ml/min`; the total only where it has not just been read. */
function comeTo(name: string, { total, rate }: WatchOutcome, stands: Reading | null): string {
  const said = stands !== null && amount(stands.quantity) === amount(total.quantity) && total.bound === null;
  const all = said ? '' : `${spaced(name)} ${readingText(total)}`;
  return [all, rate === null ? '' : amount(rate)].filter((part) => part !== '').join(', ');
}

/** The question as it is put again: short, since it stands above. */
export function promptLine(job: Job, watch: Watch): Line {
  const log = logOf(job, watch.name);
  if (log.sightings.at(-1)?.outcome.verdict === 'bubbles-open' && promptNow(job, log)?.open === false) {
    return ln`It stands still. Bubbles, or none?`;
  }
  const text = filled(job, watch.text).trim();
  const what = text.replace(/[?.:]$/, '').replace(/^(?:in|on|at) (?:the )?/i, '');
  return log.prompt?.visit === job.asked?.visit && log.prompt?.times === 2
    ? ln`Again: ${what.charAt(0).toLowerCase()}${what.slice(1)} now?`
    : ln`${cap(what)} now?`;
}

/** `Spill 120 ml, 4 ml/min, asked again 10:14.`: where a watch stands, for whoever comes back to it. */
export function watchLines(job: Job, flow: Flow): readonly Line[] {
  const open = watchOpen(job, flow);
  if (open === null) return [];
  const { watch } = open;
  const log = logOf(job, watch.name);
  const outcome = log.sightings.at(-1)?.outcome;
  const prompt = promptNow(job, log);
  const due = watchDue(job, flow, watchMinutes(job, watch));
  const read =
    outcome === undefined
      ? 'not read yet'
      : [readingText(outcome.total), ...(outcome.rate === null ? [] : [amount(outcome.rate)])].join(', ');
  const asked = prompt?.open === true ? prompt.at : (due?.at ?? null);
  const again = prompt?.open === true ? 'asked' : 'asked again';
  const next = asked === null ? ln`` : ln`, ${again} ${when(asked, job.now)}`;
  return [ln`${cap(spaced(watch.name))} ${read}${next}.`];
}

/** Why an ok, a thumb or a word does not close a watch. */
export function notSettledLines(job: Job, flow: Flow, until: string): readonly Line[] {
  if (until === 'spill-still') return [ln`A running leak is not done: what stands in the tray?`];
  const open = watchOpen(job, flow);
  if (open === null) return [ln`Only a reading settles this.`];
  const { sightings } = logOf(job, open.watch.name);
  if (sightings.at(-1)?.outcome.verdict === 'bubbles-open') return [ln`Bubbles, or none?`];
  return [ln`Only a reading settles this. ${promptLine(job, open.watch)}`];
}

/** What a watch has come to, for the foreman. */
export function watchAlertLines(job: Job, flow: Flow, step: string): readonly Line[] {
  const found = flow.steps.find((one) => one.id === step);
  const watch = found?.asks.find((ask) => ask.ask === 'watch');
  if (watch?.ask !== 'watch') return [];
  const outcome = logOf(job, watch.name).sightings.at(-1)?.outcome;
  const title = titleOf(job, flow, step);
  if (outcome === undefined) return [ln`Step: ${title}.`, ln`Not read yet.`];
  const rate = outcome.rate === null ? '' : `, ${amount(outcome.rate)}`;
  return [
    ln`Step: ${title}.`,
    ln`${cap(spaced(watch.name))} ${readingText(outcome.total)}${rate}, read ${when(outcome.total.at, job.now)}.`,
  ];
}
