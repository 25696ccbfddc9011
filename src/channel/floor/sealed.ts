import type { Flow } from '../../flow/flow.js';
import { asGateWord } from '../../job/gate.js';
import type { Job } from '../../job/job.js';

/**
 * Why a message from a screen that several people use needs its speaker's PIN: it would pass a gate, or it is what a
 * second person confirms. Null where it needs none.
 */
export function sealOf(
  job: Job | null,
  flow: Flow | null,
  person: string,
  words: string,
): 'gate-word' | 'second-person' | null {
  if (job === null || flow === null) return null;
  if (gateWordsOf(flow).has(asGateWord(words))) return 'gate-word';
  const { asked } = job;
  if (asked === null || asked.what !== 'step' || person !== job.standby) return null;
  const index = flow.rules.indexOf.get(asked.step);
  const ask = index === undefined ? undefined : flow.steps[index]?.asks[asked.answers.length];
  const seconds = ask?.ask === 'second-look' || (ask?.ask === 'reading' && ask.by === 'second');
  return seconds ? 'second-person' : null;
}

const words = new WeakMap<Flow, ReadonlySet<string>>();

function gateWordsOf(flow: Flow): ReadonlySet<string> {
  const known = words.get(flow);
  if (known !== undefined) return known;
  const asks = flow.steps.flatMap((step) => step.asks);
  const found = new Set(
    asks.flatMap((ask) => (ask.ask === 'word' ? ask.words.map((word) => word.toLowerCase()) : [])),
  );
  words.set(flow, found);
  return found;
}
