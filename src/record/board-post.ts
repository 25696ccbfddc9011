import { ln } from '../talk/line.js';
import type { Line, Post } from '../talk/post.js';
import type { Board, BoardRow } from './board.js';

const ATTENTION = ['', 'Waits: ', 'LOOK: ', 'STOPPED: '] as const;

/** The board in words, a bay a line, what needs somebody first; free bays together at the end. */
export function sayBoard({ rows }: Board): Post {
  const busy = rows.filter((row) => row.job !== null || row.why !== null);
  const free = rows.filter((row) => row.job === null && row.why === null).map(({ label }) => label);
  const lines: Line[] = busy.map(lineOf);
  if (free.length > 0) lines.push(ln`Free: ${free.join(', ')}.`);
  return { to: 'foreman', kind: 'told', lines, buttons: [], visit: null };
}

function lineOf({ attention, label, job, holder, step, why }: BoardRow): Line {
  const what = job === null ? '' : ` ${job.car}, ${job.title}, ${holder ?? ''}.`;
  return ln`${ATTENTION[attention]}${label}:${what} ${why ?? step ?? ''}`;
}
