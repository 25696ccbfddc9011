import type { Option } from '../flow/flow.js';
import type { Job } from './job.js';
import { keyOf } from './value.js';

/**
 * Whether the value that an option has to be named in says it, as a word of its own. A value that also says what it is
 * not names nothing, so that "no lithium" lets no lithium through; a value that the job does not have names nothing
 * either. An option that goes with every vehicle is named always.
 */
export function isNamed(job: Job, { say, also, namedIn }: Option): boolean {
  if (namedIn === null) return true;
  const text = wordsOf(job.values[keyOf(namedIn.ref)]?.text ?? '');
  if (NOTS.some((not) => text.includes(` ${not} `))) return false;
  return [say, ...also].some((name) => text.includes(wordsOf(name)));
}

const NOTS = ['no', 'not', 'never', 'without', 'except', 'only if', 'instead'];

/** In small letters, a blank between words and at both ends. */
function wordsOf(text: string): string {
  return ` ${text
    .toLowerCase()
    .split(/[^\p{L}\p{N}]+/u)
    .filter((word) => word !== '')
    .join(' ')} `;
}
