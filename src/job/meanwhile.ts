import { findRelease, releaseOf } from './cure.js';
import type { Draft, Speaker } from './draft.js';
import type { FactChange } from './event.js';

/**
 * `air 12 C 40 %`: one more entry of the air log. Worse air moves the releases of a running cure later; better air
 * never brings one forward.
 */
export function logAirNow(draft: Draft, rest: string, who: Speaker): void {
  const air = airFrom(rest);
  if (air === null) return draft.refuse({ why: 'unclear', because: 'not-a-number', detail: rest }, who);
  draft.emit({ type: 'air-logged', ...air, by: who.by, name: who.name, at: draft.now });
  moveReleases(draft);
}

/** Celsius and per cent, in this order, units optional. */
function airFrom(text: string): { readonly celsius: number; readonly percentRh: number } | null {
  const found =
    /^\s*(-?\d+(?:[.,]\d+)?)\s*(?:°?\s*c\b|deg\w*)?[\s,;]*(\d+(?:[.,]\d+)?)\s*(?:%|percent|rh)?\s*(?:rh)?\s*$/i.exec(
      text,
    );
  if (found?.[1] === undefined || found[2] === undefined) return null;
  const celsius = Number(found[1].replace(',', '.'));
  const percentRh = Number(found[2].replace(',', '.'));
  if (celsius < -30 || celsius > 50 || percentRh < 0 || percentRh > 100) return null;
  return { celsius, percentRh };
}

/**
 * The releases with the air logged so far: later where it was worse, stopped while it is out of range, counted on once
 * it is back.
 */
export function moveReleases(draft: Draft): void {
  const changes: FactChange[] = [];
  for (const fact of draft.flow.facts.values()) {
    const { time } = fact;
    const standing = draft.job.facts[fact.id];
    if (time === null || 'value' in time || time.from !== 'figure' || standing === undefined) continue;
    const release = releaseOf(time.name);
    if (release === null) continue;
    if (standing.value !== 'running' && standing.value !== 'stands') continue;
    const found = findRelease(draft.job, release, standing.since, standing.at);
    if (found.ok) {
      const goesOn = standing.at === null || standing.stopped !== undefined || found.atMs > standing.at;
      const to = found.atMs > draft.now ? 'running' : 'stands';
      if (goesOn) changes.push({ fact: fact.id, to, at: found.atMs });
      continue;
    }
    // Past what the model holds for, or without its data, no instant can be given at all: the foreman decides.
    const stopped = found.stopped ?? { because: 'cure-not-computable', since: draft.now };
    if (standing.stopped?.because === stopped.because) continue;
    changes.push({ fact: fact.id, to: 'running', stopped });
  }
  if (changes.length === 0) return;
  draft.emit({ type: 'clock-moved', because: 'air', at: draft.now, changes });
  const stopped = changes.find((change) => change.stopped !== undefined);
  if (stopped !== undefined) {
    draft.emit({
      type: 'summoned',
      what: 'cure-stopped',
      to: 'foreman',
      detail: stopped.fact,
      at: draft.now,
    });
  }
}
