import type { Doing } from './floor.js';
import type { Scene } from './mischief.js';

/** Something that interrupts a job: what is said, and how long nothing happens after it. */
export type Lapse = {
  readonly name: string;
  readonly make: (
    scene: Scene,
  ) => { readonly doing: Doing | null; readonly minutes: number; readonly bay?: string } | null;
};

const text = (by: string, words: string): Doing => ({ by, body: { is: 'text', text: words } });
const working = ({ job }: Scene) => job.mode === 'working' || job.mode === 'parking';

/** A report that this fact was undone. */
export const undoing = (id: string): Lapse => ({
  name: `undone ${id}`,
  make: ({ flow, chance }) => {
    const words = flow.facts.get(id)?.undoneBy ?? [];
    return words.length === 0 ? null : { doing: text('jory', chance.one(words)), minutes: 0 };
  },
});

export const LAPSES: readonly Lapse[] = [
  {
    name: 'pause',
    make: (scene) =>
      working(scene)
        ? {
            doing: text(scene.job.holder, scene.chance.one(['pause', 'lunch', 'one moment'])),
            minutes: scene.chance.one([3, 20, 50]),
          }
        : null,
  },
  {
    name: 'hold',
    make: (scene) =>
      working(scene)
        ? {
            doing: text(
              scene.chance.one([scene.job.holder, 'wilf', 'orla']),
              scene.chance.one(['hold odd noise', 'hold']),
            ),
            minutes: scene.chance.one([1, 25]),
          }
        : null,
  },
  {
    name: 'problem',
    make: ({ ask, job }) =>
      ask?.ask === 'confirm' ? { doing: text(job.holder, 'problem bolt stripped'), minutes: 1 } : null,
  },
  {
    name: 'stop',
    make: ({ job, chance }) => ({
      doing: text(
        chance.one([job.holder, job.standby ?? 'pip', 'guest:U77']),
        chance.one(['stop', 'STOP!', 'stopp', 'smoke', 'sotp']),
      ),
      minutes: chance.one([0, 40]),
    }),
  },
  {
    name: 'standby away',
    make: (scene) =>
      working(scene) && scene.job.standby !== null
        ? { doing: text(scene.job.standby, 'away'), minutes: 1 }
        : null,
  },
  {
    name: 'holder away',
    make: (scene) => (working(scene) ? { doing: text(scene.job.holder, 'away'), minutes: 1 } : null),
  },
  {
    name: 'undone',
    make: (scene) => {
      const { flow, job, chance } = scene;
      const phrases = [...flow.facts.values()]
        .filter((fact) => (job.facts[fact.id]?.value ?? 'gone') !== 'gone')
        .flatMap((fact) => fact.undoneBy);
      if (phrases.length === 0) return null;
      const words = chance.one(phrases);
      return {
        doing: text(
          chance.one([job.holder, 'wilf', 'jory']),
          chance.one([words, `sorry, ${words}`, `${words} 20 minutes ago`]),
        ),
        minutes: 0,
      };
    },
  },
  { name: 'silence', make: () => ({ doing: null, minutes: 40 }) },
  {
    name: 'handover',
    make: ({ job, crew }) => {
      const to = crew.holders.find((one) => one !== job.holder);
      const movable = ['working', 'paused', 'parked'].includes(job.mode);
      return movable && to !== undefined ? { doing: text(job.holder, `hand over ${to}`), minutes: 0 } : null;
    },
  },
  {
    name: 'gear',
    make: (scene) =>
      working(scene)
        ? {
            doing: text(scene.job.holder, scene.chance.one(['gloves torn', 'gear', 'glove soiled'])),
            minutes: 0,
          }
        : null,
  },
  {
    name: 'call off',
    make: ({ job, crew, chance }) =>
      job.mode === 'working' && chance.odds(0.2)
        ? { doing: text(crew.foreman, 'call off'), minutes: 0 }
        : null,
  },
  {
    name: 'park',
    make: ({ job, crew, chance }) =>
      job.mode === 'working'
        ? { doing: text(chance.one([job.holder, crew.foreman]), 'park'), minutes: 0 }
        : null,
  },
  {
    name: 'correct',
    make: ({ job, chance }) =>
      job.mode === 'working'
        ? { doing: text(job.holder, chance.one(['correct', 'no, 30'])), minutes: 0 }
        : null,
  },
  {
    name: 'elsewhere',
    make: ({ job, other, chance }) => ({
      doing: text(chance.one([job.holder, job.standby ?? 'pip']), 'anybody seen my torch?'),
      minutes: 0,
      bay: other.bay,
    }),
  },
  {
    name: 'it runs on',
    make: ({ ask, job, chance }) =>
      ask?.ask === 'watch' && ask.until === 'spill-still'
        ? {
            doing: text(job.holder, chance.one(['+40', '200 more', 'emptied at 20000', 'emptied unread'])),
            minutes: chance.one([0, 1, 6]),
          }
        : null,
  },
  {
    name: 'look again, gone',
    make: ({ asked, job }) => (asked?.what === 'look' ? { doing: text(job.holder, 'no'), minutes: 0 } : null),
  },
  {
    name: 'bad option',
    make: ({ ask, job }) =>
      ask?.ask === 'choice'
        ? { doing: text(job.holder, ask.options.find((one) => one.hold !== null)?.say ?? 'hmm'), minutes: 0 }
        : null,
  },
  {
    name: 'live',
    make: ({ ask, job, chance }) =>
      ask?.ask === 'dead-test'
        ? {
            doing: text(
              job.holder,
              chance.one(['400 386 0 0 400 V', '400 0 193 0 400 V', '400 0 0 193 400 V']),
            ),
            minutes: 0,
          }
        : null,
  },
  {
    name: 'tester failed',
    make: ({ ask, job, floor }) =>
      ask?.ask === 'dead-test' && floor.register.gear.get('T1')?.out === null
        ? { doing: text(job.holder, '400 0 0 0 12 V'), minutes: 0 }
        : null,
  },
  {
    name: 'not yet dead',
    make: ({ ask, job, chance }) =>
      ask?.ask === 'dead-test'
        ? {
            doing: text(job.holder, chance.one(['400 12 6 6 400 V', '400 0 0 12 400 V', '400 0 12 0 400 V'])),
            minutes: 0,
          }
        : null,
  },
];
