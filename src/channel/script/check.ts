import type { Flow } from '../../flow/flow.js';
import type { Job } from '../../job/job.js';
import { textOfPost } from './inputs.js';
import type { Check } from './line.js';
import { foldText } from './render.js';
import type { PostEntry } from './room.js';

/** What the checks look at: the posts of a thread, and the job of the bay looked at last. */
export type Seen = {
  readonly zone: string;
  /** What the thread is called. */
  readonly label: string;
  readonly posts: readonly PostEntry[];
  /** Those since the last act began. */
  readonly fresh: readonly PostEntry[];
  readonly bay: string;
  /** Under way, or the one that ended last. */
  readonly job: Job | null;
  readonly flow: Flow | null;
  /** Steps closed when the last act began. */
  readonly closedBefore: ReadonlySet<string>;
};

/** Why a check failed, in words; null when it passed. */
export function failureOf(check: Check, seen: Seen): string | null {
  switch (check.do) {
    case 'has':
    case 'lacks':
    case 'newest':
      return textFailure(check.do, check.text, seen);
    case 'step':
      return withJob(seen, (job) => stepFailure(check.step, job, seen));
    case 'fact':
      return withJob(seen, (job) => factFailure(check.fact, check.value, job, seen));
    case 'stay':
      return withJob(seen, (job) => stayFailure(job, seen));
    case 'mode':
      return withJob(seen, ({ id, mode }) =>
        mode === check.mode ? null : `${id} is ${mode}, not ${check.mode}.`,
      );
  }
}

function withJob({ bay, job }: Seen, judge: (job: Job) => string | null): string | null {
  return job === null ? `There is no job in bay ${bay}.` : judge(job);
}

function textFailure(what: 'has' | 'lacks' | 'newest', text: string, seen: Seen): string | null {
  const wanted = foldText(text);
  const has = (entry: PostEntry) => textOfPost(entry, seen.zone).includes(wanted);
  const { fresh, posts, label } = seen;
  if (what === 'has') {
    if (fresh.length === 0) return `Nothing was posted in ${label} since the last act.`;
    return fresh.some(has) ? null : `No post in ${label} since the last act has it.`;
  }
  if (what === 'lacks') return fresh.some(has) ? `A post in ${label} has it.` : null;
  const newest = posts.at(-1);
  if (newest === undefined) return `Nothing was ever posted in ${label}.`;
  return has(newest) ? null : `The newest post in ${label} does not have it.`;
}

function stepFailure(wanted: string | null, job: Job, { flow }: Seen): string | null {
  const shown = shownStep(job);
  if (wanted === null) return shown === null ? null : `${shown} is shown.`;
  const named = idCalled(
    wanted,
    (flow?.steps ?? []).map((step) => step.id),
  );
  if (!named.ok) return named.problem;
  if (shown === named.id) return null;
  return shown === null
    ? `No step is shown: ${job.id} is ${job.mode}.`
    : `${shown} is shown, not ${named.id}.`;
}

/** The step that the bay is asked about, or waits in. */
export function shownStep(job: Job): string | null {
  return job.asked?.step ?? job.waitingFor?.step ?? null;
}

function factFailure(fact: string, value: string, job: Job, { flow }: Seen): string | null {
  const named = idCalled(fact, flow === null ? Object.keys(job.facts) : [...flow.facts.keys()]);
  if (!named.ok) return named.problem;
  const is = job.facts[named.id]?.value ?? 'gone';
  return is === value ? null : `${named.id} is ${is}.`;
}

function stayFailure(job: Job, { closedBefore }: Seen): string | null {
  const closed = Object.keys(job.closed).filter((step) => !closedBefore.has(step));
  return closed.length === 0 ? null : `${closed.join(', ')} closed.`;
}

type Named = { readonly ok: true; readonly id: string } | { readonly ok: false; readonly problem: string };

/** The id that is written out, or the only one that ends in `/SAID`, or the only one whose end begins with it. */
export function idCalled(said: string, ids: readonly string[]): Named {
  const lastPart = (id: string) => id.slice(id.lastIndexOf('/') + 1);
  const tries = [
    (id: string) => id === said,
    (id: string) => id.endsWith(`/${said}`),
    (id: string) => id.startsWith(said) || lastPart(id).startsWith(said),
  ];
  for (const fits of tries) {
    const found = ids.filter(fits);
    const [only] = found;
    if (found.length > 1) return { ok: false, problem: `"${said}" may be ${found.join(' or ')}.` };
    if (only !== undefined) return { ok: true, id: only };
  }
  return { ok: false, problem: `This flow has no "${said}".` };
}
