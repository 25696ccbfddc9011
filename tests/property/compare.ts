import { isDeepStrictEqual } from 'node:util';
import type { Input } from '../../src/job/input.js';
import type { Job } from '../../src/job/job.js';

export function wordsIn({ body, marks, seen }: Input): string {
  const words = body.is === 'text' ? body.text : JSON.stringify(body);
  return `${words}${Object.keys(marks).length > 0 ? ` ${Object.keys(marks)}` : ''} [seen ${seen}]`;
}

/** Old places are let go at other moments after a start; only where the open question stands counts. */
export function sameJob(one: Job, other: Job, places: boolean): boolean {
  const plain = (job: Job): unknown => {
    const seq = job.asked?.seq;
    const place = places && seq !== undefined ? job.places[seq] : null;
    return JSON.parse(JSON.stringify({ ...job, places: place ?? null }));
  };
  return isDeepStrictEqual(plain(one), plain(other));
}

export function difference(one: Job, other: Job): string {
  const keys = Object.keys(one) as (keyof Job)[];
  const parts = keys.filter((key) => JSON.stringify(one[key]) !== JSON.stringify(other[key]));
  return parts
    .map((key) => `${key} ${JSON.stringify(one[key])} / ${JSON.stringify(other[key])}`)
    .join('; ')
    .slice(0, 600);
}
