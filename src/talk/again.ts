import type { Flow } from '../flow/flow.js';
import type { Summons } from '../job/event.js';
import type { Job } from '../job/job.js';
import { alertOf, openLines } from './alert.js';
import { ln, wrap } from './line.js';
import { placeOf } from './phrase.js';
import type { Line, Post } from './post.js';
import { modeLine } from './recap.js';

/** What the foreman was called for and nobody has seen to yet. */
export type StillSo = { readonly what: Summons; readonly detail: string; readonly at: number };

/** Told once more: what is still so, what lies open meanwhile, what to do. One post for all bays that are due. */
export function sayStillSo(
  bays: readonly { readonly job: Job; readonly flow: Flow; readonly things: readonly StillSo[] }[],
): Post {
  const posts = bays.map(({ job, flow, things }): Post => {
    const told = things.map((thing) => stillLines(job, flow, thing));
    const lines = [
      ln`${placeOf(job)}`,
      ...told.flatMap(({ happened }) => happened),
      ...openLines(job, flow),
      ...told.flatMap(({ asked }) => asked),
    ];
    return { to: 'foreman', kind: 'alert', lines, buttons: [], visit: null };
  });
  return joinedPost(posts);
}

function stillLines(job: Job, flow: Flow, { what, detail, at }: StillSo) {
  const { happened, asked } = alertOf(job, flow, [], { type: 'summoned', what, to: 'foreman', detail, at });
  const mode = what === 'stop' || what === 'hold' ? modeLine(job, flow) : happened;
  return { happened: [ln`Still so:`, ...mode], asked };
}

/** Several posts for the foreman as one: those that ask something first, each with its bay; a single one as it is. */
export function joinedPost(posts: readonly Post[]): Post {
  const [first] = posts;
  if (first !== undefined && posts.length === 1)
    return { ...first, lines: first.lines.flatMap((line) => wrap(line)) };
  const ordered = [...posts].sort((a, b) => Number(b.kind === 'alert') - Number(a.kind === 'alert'));
  const lines = ordered.flatMap(({ lines }, at): readonly Line[] =>
    lines.map((line, index) => (index === 0 ? ln`${at + 1}. ${line}` : line)),
  );
  return {
    to: 'foreman',
    kind: posts.some(({ kind }) => kind === 'alert') ? 'alert' : 'told',
    lines: lines.flatMap((line) => wrap(line)),
    buttons: [],
    visit: null,
  };
}
