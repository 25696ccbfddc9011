import { directs } from '../../desk/office-commands.js';
import type { Flow } from '../../flow/flow.js';
import { asGateWord, gateWordsOf } from '../../job/gate.js';
import type { Heard } from '../../job/heard.js';
import { type Input, wordsOf } from '../../job/input.js';
import type { Job } from '../../job/job.js';
import type { Register } from '../../shop/register.js';
import { PERSONAL } from '../../talk/global-words.js';
import { hear } from '../../talk/hear.js';
import { OFFICE } from '../../talk/office-words.js';

/**
 * Why a message from a screen that several people use needs its speaker's PIN: it would pass a gate, it is a word that is
 * one person's to say, or it is what a second person confirms. Null where it needs none.
 */
export function sealOf(
  job: Job | null,
  flow: Flow | null,
  input: Input,
  register: Register,
): 'gate-word' | 'own-word' | 'second-person' | null {
  if (input.bay === OFFICE) return directs(wordsOf(input), register) ? 'own-word' : null;
  if (job === null || flow === null) return null;
  if (gateWordsOf(flow).has(asGateWord(wordsOf(input)))) return 'gate-word';
  if (isOwnWord(job, input.by, hear(job, flow, input))) return 'own-word';
  const { asked } = job;
  const person = input.by;
  if (asked === null || asked.what !== 'step' || person !== job.standby) return null;
  const index = flow.rules.indexOf.get(asked.step);
  const ask = index === undefined ? undefined : flow.steps[index]?.asks[asked.answers.length];
  const seconds = ask?.ask === 'second-look' || (ask?.ask === 'reading' && ask.by === 'second');
  return seconds ? 'second-person' : null;
}

function isOwnWord(job: Job, person: string, heard: Heard): boolean {
  if (heard.heard === 'correction') return isOwnWord(job, person, heard.to);
  if (heard.heard !== 'word') return false;
  if (heard.word === 'correct') return person !== job.holder;
  if (heard.word === 'resume') return job.parkThen === 'called-off';
  return PERSONAL.has(heard.word);
}
