import type { Ground } from './ground.js';
import { complain } from './ground.js';
import type { Stop } from './route.js';

/** Every opening is closed by a later step or left on purpose, and no wait lies where nobody may stop. */
export function checkOpenings(ground: Ground): void {
  const { stops, flow } = ground.compiled;
  stops.forEach((stop, index) => {
    if (stop.route === 'park') return;
    for (const [at, id] of (stop.text.makes ?? []).entries()) {
      const fact = flow.facts.get(id);
      if (fact?.opening !== true || flow.leaves.includes(id)) continue;
      const later = stops.slice(index).filter((other) => other.route === 'job');
      const closes = (other: Stop) =>
        other.text.ends?.includes(id) === true ||
        (other !== stop && fact.insteadOf.some((instead) => other.text.makes?.includes(instead) === true));
      if (!later.some(closes)) {
        const remedy = 'let a later step end it, or write it under leaves:';
        complain(ground, stop, ['makes', at], `opening "${id}" is never closed`, remedy);
      }
      if (!fact.noStop) continue;
      const end = later.findIndex(closes);
      const inside = later.slice(1, end < 0 ? undefined : end).find((other) => other.kind === 'wait');
      if (inside !== undefined) {
        complain(
          ground,
          inside,
          ['wait'],
          `a wait while "${id}" allows no stop`,
          'wait before it or after it',
          'key',
        );
      }
    }
  });
}

/** What a used flow is given has to be made before, or be given to the user in turn. */
export function checkJoins(ground: Ground): void {
  const { compiled, declared } = ground;
  for (const { file, path, used, before } of compiled.joins) {
    const earlier = compiled.stops.slice(0, before).flatMap((stop) => stop.text.makes ?? []);
    for (const id of used.head.given ?? []) {
      if (!declared.has(id) || earlier.includes(id) || compiled.flow.given.includes(id)) continue;
      ground.faults.push(
        file.source.fault(
          [...path, 'use'],
          `${used.id} is given "${id}" and nothing before makes it`,
          'make it before, or write it under given: here too',
        ),
      );
    }
  }
}
