import type { Flow } from '../flow/flow.js';
import type { Event } from '../job/event.js';
import type { Job } from '../job/job.js';
import { alertLines } from './alert.js';
import { stillFirst } from './change.js';
import { ln, when, wrap } from './line.js';
import { asksForeman, foremanRefusal, newsLines } from './news.js';
import { labelsOf, personOf } from './phrase.js';
import type { Button, Line, Post, PostKind, Thread } from './post.js';
import { type Question, questionOf } from './question.js';
import { dangerCard, stopCard } from './stop-card.js';
import { toldLines } from './told.js';

/**
 * What people are told of one line's events: at most one post per thread. To the bay: danger first, then what was
 * heard, what it was judged to be, what follows, and the question that is open now. `job` is the job after the
 * events. Pure: the same job and events give the same posts, so that a restart can say again what was not heard.
 */
export function say(job: Job, flow: Flow, events: readonly Event[]): Post[] {
  const posts: Post[] = [];
  const bay = bayPost(job, flow, events);
  if (bay !== null) posts.push(bay);
  if (!events.some(({ type }) => BEYOND[type])) return posts;
  const alert = alertLines(job, flow, events, 'foreman');
  const news = newsLines(job, flow, events);
  const refused = foremanRefusal(job, flow, events);
  // The place stands above an alert already.
  if (alert.length > 0) posts.push(post('foreman', 'alert', [...alert, ...news.slice(1), ...refused]));
  else if (news.length + refused.length > 0)
    posts.push(post('foreman', events.some(asksForeman) ? 'alert' : 'told', [...news, ...refused]));
  const shop = alertLines(job, flow, events, 'shop');
  if (shop.length > 0) posts.push(post('shop', 'alert', shop));
  return posts;
}

/** Whether an event may concern somebody outside the bay; most lines have none. A new event has to say. */
const BEYOND: Readonly<Record<Event['type'], boolean>> = {
  'job-started': false,
  'step-shown': false,
  answered: false,
  watched: false,
  'watched-taken-back': false,
  'watch-asked': false,
  'answer-taken-back': false,
  judged: false,
  'step-completed': false,
  'step-closed': false,
  'steps-reopened': false,
  'visit-ended': false,
  'look-asked': false,
  looked: false,
  waiting: false,
  doubted: false,
  undone: false,
  alarmed: false,
  'balance-left': true,
  'deadline-passed': false,
  'clock-due': false,
  'clock-moved': false,
  refused: true,
  'standby-named': false,
  'check-in-asked': false,
  'checked-in': false,
  'still-there-asked': false,
  'heard-from': false,
  'shift-noted': false,
  'mode-changed': true,
  'stop-called': false,
  'park-asked': true,
  'parking-begun': false,
  'parking-ended': false,
  'hand-over-offered': true,
  'holder-changed': true,
  'old-lock-off': true,
  'step-left-out': true,
  'catch-up-offered': true,
  'caught-up': false,
  noted: false,
  'air-logged': false,
  'figures-kept': false,
  'value-missing': false,
  'value-set': true,
  'values-loaded': false,
  'told-about': false,
  'told-danger': false,
  'told-gear': false,
  'told-value': true,
  'gear-taken': false,
  summoned: true,
  'job-ended': true,
};

function post(
  to: Thread,
  kind: PostKind,
  lines: readonly Line[],
  buttons: readonly Button[] = [],
  visit: string | null = null,
): Post {
  return { to, kind, lines: lines.flatMap((line) => wrap(line)), buttons, visit };
}

/** The question as it stands, for somebody who comes back to it: after a restart, or in a new window. */
export function sayQuestion(job: Job, flow: Flow): Post | null {
  const question = questionOf(job, flow, true);
  return question === null ? null : post('bay', 'question', question.lines, question.buttons, question.visit);
}

function bayPost(job: Job, flow: Flow, events: readonly Event[]): Post | null {
  const types = new Set(events.map(({ type }) => type));
  const urgent = types.has('stop-called') || types.has('told-danger');
  const cards = urgent ? events.flatMap((event) => cardOf(job, flow, event)) : [];
  const still = types.has('stop-called') ? [] : stillFirst(job, flow, events);
  const told = toldLines(job, flow, events);
  const question = openQuestion(job, flow, events);
  const own = ownPrompt(job, flow, events);
  const prompt = question ?? own;
  const telling = [...cards, ...still, ...told];
  const asking = [...(own?.lines ?? []), ...(question?.lines ?? [])];
  if (telling.length + asking.length === 0) return null;
  const kind: PostKind = types.has('job-ended')
    ? 'summary'
    : cards.length > 0
      ? 'card'
      : prompt === null
        ? 'told'
        : 'question';
  const said = post('bay', kind, telling, prompt?.buttons ?? [], prompt?.visit ?? null);
  const asked = asking.flatMap((line) => wrap(line));
  if (asked.length === 0) return said;
  return { ...said, lines: [...said.lines, ...asked], asking: asked.length };
}

function cardOf(job: Job, flow: Flow, event: Event): readonly Line[] {
  if (event.type === 'stop-called') return stopCard(job, flow, event);
  return event.type === 'told-danger' ? dangerCard(job, event) : [];
}

/** Events after which the bay is asked something it was not asked before. */
const ASKS: ReadonlySet<Event['type']> = new Set(['step-shown', 'look-asked', 'answered', 'waiting']);

function openQuestion(job: Job, flow: Flow, events: readonly Event[]): Question | null {
  const asks = events.some((event) => ASKS.has(event.type) || asksWatch(event, events));
  const shown = events.findLast((event) => event.type === 'step-shown' || event.type === 'waiting');
  if (asks) return questionOf(job, flow, shown !== undefined, prefixOf(events));
  const lockDue = job.oldLock !== null && job.asked === null;
  if (lockDue && events.some((event) => event.type === 'step-completed' || event.type === 'looked')) {
    return questionOf(job, flow, true);
  }
  return events.some(repeats) ? questionOf(job, flow, true) : null;
}

/** What is watched is asked again, unless the same line has the answer; still water is asked about bubbles. */
function asksWatch(event: Event, events: readonly Event[]): boolean {
  if (event.type === 'watched') return event.outcome.verdict === 'bubbles-open';
  const answered = events.some((one) => one.type === 'watched');
  if (event.type === 'watched-taken-back') return !answered;
  return event.type === 'watch-asked' && event.times < 3 && !answered;
}

function prefixOf(events: readonly Event[]): string {
  const shown = events.findLast((event) => event.type === 'step-shown');
  if (shown === undefined || shown.why === 'next') return '';
  if (shown.why === 'afresh') return 'Afresh: ';
  return 'Again: ';
}

/** Refusals that put the question once more: it had not been seen, or a look was answered by something else. */
function repeats(event: Event): boolean {
  if (event.type !== 'refused') return false;
  const { refusal } = event;
  return refusal.why === 'stale' || (refusal.why === 'unclear' && refusal.because === 'yes-or-no');
}

/** Questions to a person that are not the step's: is somebody there, who takes over, who goes on. */
function ownPrompt(job: Job, flow: Flow, events: readonly Event[]): Question | null {
  const here: Button = { label: 'Here', says: 'here' };
  const danger = events.some((event) => event.type === 'told-danger');
  const working = !danger && (job.mode === 'working' || job.mode === 'parking');
  for (const event of events) {
    if (event.type === 'check-in-asked' && working) {
      const lines = [ln`${personOf(job, event.person)}: still here? Answer HERE.`];
      return { lines, buttons: [here], visit: null };
    }
    if (event.type === 'still-there-asked' && working) {
      const lines = [
        ln`${personOf(job, job.holder)}: still there? Say HERE before ${when(event.lapsesAt, job.now)}.`,
        ln`Without a word falls: ${labelsOf(flow, [event.fact])}.`,
      ];
      return { lines, buttons: [here], visit: null };
    }
    if (event.type === 'hand-over-offered') {
      return { lines: [], buttons: [{ label: 'Take', says: 'take' }], visit: null };
    }
    if (event.type === 'mode-changed' && (event.to === 'paused' || event.to === 'parked')) {
      return { lines: [], buttons: [{ label: 'Resume', says: 'resume' }], visit: null };
    }
  }
  return null;
}
