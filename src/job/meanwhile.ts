import { releaseInstant, releaseOf } from './cure.js';
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

function moveReleases(draft: Draft): void {
  const changes: FactChange[] = [];
  for (const fact of draft.flow.facts.values()) {
    const { time } = fact;
    const standing = draft.job.facts[fact.id];
    if (time === null || 'value' in time || time.from !== 'figure' || standing === undefined) continue;
    const release = releaseOf(time.name);
    if (release === null || standing.at === null) continue;
    if (standing.value !== 'running' && standing.value !== 'stands') continue;
    const at = releaseInstant(draft.job, release, standing.since, standing.at);
    if (at === null) {
      // Outside what the model holds for: no instant can be given, and the foreman decides.
      draft.emit({
        type: 'summoned',
        what: 'hold',
        to: 'foreman',
        detail: `cannot compute ${fact.id}`,
        at: draft.now,
      });
      continue;
    }
    if (at > standing.at) changes.push({ fact: fact.id, to: at > draft.now ? 'running' : 'stands', at });
  }
  if (changes.length > 0) draft.emit({ type: 'clock-moved', because: 'air', at: draft.now, changes });
}
