import type { Flow } from '../flow/flow.js';
import type { Job } from '../job/job.js';
import type { NotStarted } from '../job/start.js';
import type { EmergencyNumber } from '../job/world.js';
import { ln } from './line.js';
import { bayOf } from './phrase.js';
import type { Post, PostKind } from './post.js';
import { levelLines } from './refusal.js';

/** Words of a bay without a job, and of the desk itself. */

/** `start disconnect-fuse DEMO-7 [job number]`; null when the message does not start a job. */
export function hearStart(
  text: string,
): { readonly flow: string; readonly car: string; readonly number: string } | null {
  const found = /^\s*start\s+(\S+)\s+(\S+)(?:\s+(\S+))?\s*$/i.exec(text);
  if (found?.[1] === undefined || found[2] === undefined) return null;
  return { flow: found[1].toLowerCase(), car: found[2], number: found[3] ?? '' };
}

/** Why a start was refused, and what to type instead. */
export type StartRefusal =
  | NotStarted
  | { readonly why: 'no-flow'; readonly said: string; readonly have: readonly string[] }
  | { readonly why: 'no-car'; readonly said: string; readonly have: readonly string[] }
  | { readonly why: 'no-bay'; readonly said: string; readonly have: readonly string[] }
  /** A car is in one bay. Bay and number are null while the other job is being started just now. */
  | {
      readonly why: 'car-taken';
      readonly car: string;
      readonly bay: string | null;
      readonly number: string | null;
    };

const post = (kind: PostKind, ...lines: string[]): Post => ({
  to: 'bay',
  kind,
  lines: lines.map((line) => [line]),
  buttons: [],
  visit: null,
});

export function sayNotStarted(refusal: StartRefusal): Post {
  switch (refusal.why) {
    case 'no-flow':
      return post(
        'told',
        `No flow "${refusal.said}" that can be started.`,
        `There is: ${refusal.have.join(', ')}.`,
      );
    case 'no-car':
      return post(
        'told',
        `No car "${refusal.said}" in the register.`,
        `Known: ${refusal.have.join(', ')}. The foreman adds cars.`,
      );
    case 'car-taken': {
      const where = refusal.bay === null ? 'another bay' : bayOf(refusal.bay);
      const job = refusal.number === null ? 'a job' : `job ${refusal.number}`;
      return post(
        'told',
        `${refusal.car}: ${job} is under way in ${where}. No second one is started.`,
        `It goes on there, or the foreman calls it off there first.`,
      );
    }
    case 'no-bay':
      return post('told', `No bay "${refusal.said}" in the register.`, `Known: ${refusal.have.join(', ')}.`);
    case 'fragment':
      return post('told', `"${refusal.flow}" is a part of other flows and is not started alone.`);
    case 'variant-missing':
      return post(
        'told',
        `The register does not say "${refusal.choice}" for this car.`,
        `The foreman enters it: ${refusal.options.join(' or ')}.`,
      );
    case 'level': {
      const lines = levelLines(refusal);
      return { ...post('told'), lines: [ln`Not started.`, ...lines] };
    }
    case 'not-registered':
      return post(
        'told',
        'You are not in the register, so you cannot start a job.',
        'The foreman adds people.',
      );
    default:
      return post('told', 'The job was not started.', 'Ask the foreman.');
  }
}

/** What can be typed in a bay without a job. */
export function sayWhatToStart(flows: readonly string[], cars: readonly string[]): Post {
  return post(
    'told',
    'Hurt or smoke? Say STOP.',
    'No job in this bay. Start one: start FLOW CAR [job number]',
    `Flows: ${flows.join(', ')}`,
    `Cars: ${cars.slice(0, 12).join(', ')}`,
  );
}

/** Stop in a bay without a job: the same first actions and numbers. */
export function sayStopWithoutJob(numbers: readonly EmergencyNumber[]): Post {
  return post(
    'card',
    'STOP. Shout and alarm first. Everybody clear of the car.',
    'Do not touch a casualty who is in contact with it.',
    ...numbers.map(({ label, number }) => `${label}: ${number}`),
  );
}

/** The foreman is called to a bay whose job cannot be stopped, because there is none or its record is shut. */
export function sayStopToForeman(bay: string, danger: string | null): Post {
  const what = danger === null ? 'STOP' : `STOP, ${danger}`;
  return { ...post('alert', `${what} in ${bay}. Go there now.`), to: 'foreman' };
}

/** The disk takes nothing: the input has had no effect. */
export function sayDiskFull(): Post {
  return post(
    'alert',
    'NOT TAKEN: the disk of this computer is full or failing.',
    'Nothing is lost. Call the foreman to make room, then say it again. STOP still works.',
  );
}

/** The job's journal takes no more lines. */
export function sayShut(report: string): Post {
  return post(
    'alert',
    'NOT TAKEN: the record of this job takes no more lines.',
    report,
    'Call the foreman. STOP still works.',
  );
}

/** There is a job under way whose record cannot be read, and nobody knows in which bay. */
export function sayUnplaced(reports: readonly string[]): Post {
  return post(
    'alert',
    'The record of a job cannot be read, and its bay is not known.',
    ...reports,
    'Look first: a car half done in this bay may be that job. Then call the foreman.',
  );
}

/** The program was away for a while. */
export function sayAfterGap(gapMs: number): Post {
  const minutes = Math.round(gapMs / 60_000);
  const long = minutes < 120 ? `${minutes} min` : `${Math.round(minutes / 60)} h`;
  return post('told', `I was away for ${long}. Say WHERE for what stands and what does not.`);
}

/** Where every bay stands, a line each. */
export function sayBays(
  bays: readonly {
    readonly bay: string;
    readonly job: Job | null;
    readonly flow: Flow | null;
    readonly shut: string | null;
  }[],
): Post {
  const lines = bays
    .filter(({ bay, job, shut }) => job !== null || shut !== null || (bay !== 'foreman' && bay !== 'shop'))
    .map(({ bay, job, shut }) => {
      if (job === null)
        return shut === null ? `${bay}: free` : `${bay}: NOT FREE, the record of its job cannot be read`;
      const step = job.asked?.step ?? job.waitingFor?.step ?? '';
      return `${bay}: ${job.car.registration} ${job.flow}, ${job.mode} ${step}, ${job.names[job.holder] ?? job.holder}`;
    });
  return post('told', ...lines);
}
