import type { Flow } from '../flow/flow.js';
import type { Job } from '../job/job.js';
import { applies } from '../rule/rules.js';
import { stopped } from '../talk/line.js';
import { labelsOf, spaced, titleOf } from '../talk/phrase.js';
import type { RecordLine } from './line.js';

/** What was not proved, not witnessed or not done, in words: the other half of every record. */
export function absences(job: Job, flow: Flow, lines: readonly RecordLine[]): readonly string[] {
  const events = lines.flatMap((line) => line.events);
  const found: string[] = [];
  const passed = new Set(events.flatMap((event) => (event.type === 'caught-up' ? event.closed : [])));
  for (const step of passed)
    found.push(`Not witnessed by the bot (catch-up): ${stopped(titleOf(job, flow, step))}`);
  for (const event of events) {
    if (event.type === 'step-left-out')
      found.push(`Left out by ${event.name} (${event.reason}): ${stopped(titleOf(job, flow, event.step))}`);
  }
  const unshown = new Set(events.flatMap((event) => (event.type === 'step-closed' ? [event.step] : [])));
  for (const step of unshown) found.push(`Not asked, stood already: ${stopped(titleOf(job, flow, step))}`);
  for (const line of lines) {
    const step = line.events.find((event) => event.type === 'answered' && event.answer.ask === 'confirm');
    if (step?.type === 'answered' && /^no photo\b/i.test(line.words.trim())) {
      found.push(`No photo of: ${titleOf(job, flow, step.step)} ("${line.words.trim()}").`);
    }
  }
  const scribed = events.filter(
    (event) => (event.type === 'answered' || event.type === 'watched') && event.saidFor !== null,
  ).length;
  if (scribed > 0) found.push(`Said by the standby for the one at work: ${scribed} of the answers.`);
  const assumed = events.filter(
    (event) =>
      (event.type === 'answered' && event.answer.ask === 'reading' && event.answer.reading.assumedUnit) ||
      (event.type === 'watched' && 'reading' in event.sighted && event.sighted.reading?.assumedUnit === true),
  ).length;
  if (assumed > 0)
    found.push(`Said without a unit, the step's own assumed and echoed: ${assumed} of the readings.`);
  for (const event of events) {
    if (event.type === 'watched' && event.sighted.is === 'emptied' && event.sighted.reading === null)
      found.push(`Emptied unread (${spaced(event.of)}): its total is no more than a lower bound.`);
  }
  for (const event of events) {
    if (event.type === 'balance-left')
      found.push(`Coolant balance not known, left so by ${event.name}: ${stopped(event.reason)}`);
  }
  const never = flow.steps.filter(
    (step) => step.route === 'job' && job.closed[step.id] !== true && applies(step, job.choices),
  );
  const ended = job.endedAt !== null;
  for (const step of never)
    found.push(`${ended ? 'Not done' : 'Not done yet'}: ${stopped(titleOf(job, flow, step.id))}`);
  const doubt = flow.rules.facts
    .filter((fact) => job.facts[fact.id]?.value === 'doubt')
    .map((fact) => fact.id);
  if (doubt.length > 0) {
    // Most of them were asked no more because nothing that followed rested on them.
    const since = ended
      ? 'Stood once, then a break, and not looked at again'
      : 'In doubt when this was written';
    found.push(`${since}: ${labelsOf(flow, doubt, doubt.length)}.`);
  }
  return found;
}
