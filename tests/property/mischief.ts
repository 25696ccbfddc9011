import type { Ask, Flow, Step } from '../../src/flow/flow.js';
import type { Refusal } from '../../src/job/event.js';
import type { Marks } from '../../src/job/input.js';
import type { Asked, Job } from '../../src/job/job.js';
import type { Said } from '../crew/crew.js';
import type { Chance } from './chance.js';
import type { Doing, Floor } from './floor.js';
import type { BayCrew } from './shop.js';

/** Where somebody is about to say something wrong. */
export type Scene = {
  readonly floor: Floor;
  readonly chance: Chance;
  readonly job: Job;
  readonly flow: Flow;
  readonly crew: BayCrew;
  readonly other: BayCrew;
  readonly asked: Asked | null;
  readonly step: Step | null;
  readonly ask: Ask | null;
  /** What a good crew would say now. */
  readonly right: Said | null;
};

/** Something that people say and that must not pass; null where it makes no sense. */
export type Mischief = {
  readonly name: string;
  /** The refusal it aims at. */
  readonly why: Refusal['why'] | null;
  readonly make: (scene: Scene) => Doing | null;
};

const text = (by: string, words: string, more: Omit<Doing, 'by' | 'body'> = {}): Doing => ({
  by,
  body: { is: 'text', text: words },
  ...more,
});

/** Somebody who is registered and has no part in the job. */
const bystander = ({ job, crew, chance }: Scene) =>
  chance.one(
    ['jory', 'mara', 'nell', 'wilf', 'tamsin'].filter(
      (id) => ![job.holder, job.standby, crew.standby].includes(id),
    ),
  );

/** Somebody who works in the other bay: his word was meant for that one. */
const chanceHolder = ({ floor, other }: Scene) => floor.job(other.bay)?.holder ?? other.holders[0];

const gateOf = ({ asked, step }: Scene) =>
  step?.kind === 'gate' && asked?.what === 'step' && !asked.ended ? step : null;
/** The gate's word, while the gate is shown. */
const wordOf = (scene: Scene) => (gateOf(scene) === null ? null : (scene.asked?.word ?? null));
const atWord = (scene: Scene) => scene.ask?.ask === 'word' && wordOf(scene) !== null;
const rightText = ({ right }: Scene) => (right?.body.is === 'text' ? right.body.text : null);
const bySecond = (ask: Ask | null) =>
  ask?.ask === 'second-look' || (ask?.ask === 'reading' && ask.by === 'second');

const marked = (scene: Scene, marks: Marks): Doing | null => {
  const words = rightText(scene);
  return words === null || scene.right === null || scene.asked === null
    ? null
    : text(scene.right.by, words, { marks });
};

/** The word as it must not be said. */
function spoilt(word: string, chance: Chance): string {
  const lower = word.toLowerCase();
  return chance.one([
    `"${word}"`,
    `${word}?`,
    `> ${word}`,
    `\`${word}\``,
    `${word} \u{1f44d}`,
    `${word} confirmed`,
    `ok ${lower}`,
    `it is ${lower} then`,
    `${lower.slice(0, 2)}\u200b${lower.slice(2)}`,
    lower.replace(/[aeo]/, (letter) => ({ a: '\u0430', e: '\u0435', o: '\u043e' })[letter] ?? letter),
    lower.slice(0, -1),
    `${lower}s`,
    `${lower.slice(0, 3)} ${lower.slice(3)}`,
    `${lower}-${lower}`,
    `*${word}*`,
  ]);
}

/** Numbers that are no reading of this kind. */
const NUMBERS = [
  'O.3 V',
  '03',
  '0.3 0.4',
  '12 furlongs',
  'OL',
  '---',
  'about',
  '386 kV',
  '1,2,3',
  'three or four',
  'l0',
];

const MODES: Mischief['make'][] = [
  ({ job }) => (job.mode === 'working' ? text(job.holder, 'resume') : null),
  ({ job, crew }) =>
    job.mode === 'working'
      ? text(job.holder === crew.foreman ? 'fern' : crew.foreman, 'release all fine')
      : null,
  ({ job }) => (job.offered === null ? text(job.standby ?? job.holder, 'take') : null),
  ({ job }) =>
    ['held', 'stopped', 'parked', 'parking'].includes(job.mode) ? text(job.holder, 'park') : null,
  ({ job }) => (job.mode === 'paused' || job.mode === 'held' ? text(job.holder, 'pause') : null),
  ({ job }) => (job.mode === 'held' || job.mode === 'stopped' ? text(job.holder, 'hold it leaks') : null),
  ({ job }) => (['paused', 'held', 'stopped', 'parked'].includes(job.mode) ? text(job.holder, 'ok') : null),
];

export const MISCHIEF: readonly Mischief[] = [
  { name: 'edit', why: 'edit-kept', make: (scene) => marked(scene, { edited: true }) },
  { name: 'forward', why: 'marked', make: (scene) => marked(scene, { forwarded: true }) },
  { name: 'quote', why: 'marked', make: (scene) => marked(scene, { quoted: true }) },
  { name: 'bot', why: null, make: (scene) => marked(scene, { bot: true }) },
  {
    name: 'early',
    why: 'stale',
    make: (scene) => {
      const words = rightText(scene);
      if (words === null || scene.right === null || scene.asked === null) return null;
      return text(scene.right.by, words, {
        seen: scene.floor.newest(scene.crew.bay, scene.chance.one([2, 3])),
      });
    },
  },
  {
    name: 'unknown seen',
    why: 'stale',
    make: (scene) => (atWord(scene) ? text(scene.job.holder, wordOf(scene) ?? '', { seen: null }) : null),
  },
  {
    name: 'word before readings',
    why: 'readings-first',
    make: (scene) =>
      wordOf(scene) !== null && !atWord(scene) && !bySecond(scene.ask)
        ? text(scene.job.holder, wordOf(scene) ?? '')
        : null,
  },
  {
    name: 'word before second',
    why: 'second-first',
    make: (scene) =>
      wordOf(scene) !== null && bySecond(scene.ask) ? text(scene.job.holder, wordOf(scene) ?? '') : null,
  },
  {
    name: 'spoilt word',
    why: 'wrong-word',
    make: (scene) =>
      atWord(scene) ? text(scene.job.holder, spoilt(wordOf(scene) ?? '', scene.chance)) : null,
  },
  {
    name: 'word in another dress',
    why: null,
    make: (scene) => {
      const word = wordOf(scene)?.toLowerCase() ?? '';
      const dress = scene.chance.one([
        `${word}!`,
        ` ${word}. `,
        `${word.slice(0, 1).toUpperCase()}${word.slice(1)}`,
        `${word},`,
      ]);
      return atWord(scene) ? text(scene.job.holder, dress) : null;
    },
  },
  {
    name: 'word by somebody else',
    why: 'not-holder',
    make: (scene) => {
      const by = scene.chance.one([
        scene.job.standby ?? 'pip',
        bystander(scene),
        scene.crew.deputy ?? 'orla',
      ]);
      return wordOf(scene) === null || by === scene.job.holder ? null : text(by, wordOf(scene) ?? '');
    },
  },
  {
    name: 'tap',
    why: 'tap',
    make: (scene) => {
      if (!atWord(scene)) return null;
      const says = scene.chance.one([wordOf(scene) ?? '', 'ok']);
      return { by: scene.job.holder, body: { is: 'tap', says, visit: String(scene.asked?.visit) } };
    },
  },
  {
    name: 'thumb',
    why: 'tap',
    make: (scene) => {
      const on = scene.floor.newest(scene.crew.bay);
      return scene.asked === null ? null : { by: scene.job.holder, body: { is: 'reaction', name: '+1', on } };
    },
  },
  {
    name: 'old tap',
    why: 'stale',
    make: ({ asked, job }) =>
      asked === null
        ? null
        : { by: job.holder, body: { is: 'tap', says: 'ok', visit: String(asked.visit - 1) } },
  },
  {
    name: 'photo of the word',
    why: 'marked',
    make: (scene) => {
      if (!atWord(scene)) return null;
      const body = {
        is: 'photo',
        sha256: 'a'.repeat(64),
        name: 'word.jpg',
        text: wordOf(scene) ?? '',
      } as const;
      return { by: scene.job.holder, body, marks: { attachment: true } };
    },
  },
  {
    name: 'habit',
    why: 'habit-word',
    make: (scene) =>
      atWord(scene)
        ? text(scene.job.holder, scene.chance.one(['ok', 'Yes!', 'done', 'next', 'SAFE', 'confirmed', 'k']))
        : null,
  },
  {
    name: 'four, six or strange volts',
    why: 'unclear',
    make: ({ ask, job, chance }) =>
      ask?.ask === 'dead-test'
        ? text(
            job.holder,
            chance.one([
              '400 0 0 0 V',
              '400 0 0 0 0 400 V',
              '400 0 0 0 400',
              '0.386 0 0 0 0.4 V',
              '400 0 OL 0 400 V',
              '4OO 0 0 0 4OO V',
              '400 0 0 0 400 mbar',
              '400 0 0 0 320 V',
            ]),
          )
        : null,
  },
  {
    name: 'no reading',
    why: 'unclear',
    make: ({ ask, job, chance }) =>
      ask?.ask === 'reading' || ask?.ask === 'values'
        ? text(
            bySecond(ask) ? (job.standby ?? '') : job.holder,
            // A meter that shows kilovolts.
            chance.one(ask.unit === 'V' ? [...NUMBERS, '0.386', '0.386 V', '386 V'] : NUMBERS),
          )
        : null,
  },
  {
    name: 'implausible',
    why: 'implausible',
    make: ({ ask, job }) => {
      if (ask?.ask !== 'reading' || ask.plausible === null || ask.by === 'second') return null;
      return text(job.holder, `${ask.plausible.to * 2} ${ask.unit}`);
    },
  },
  {
    name: 'look, badly said',
    why: 'unclear',
    make: ({ asked, job }) => (asked?.what === 'look' ? text(job.holder, 'purple') : null),
  },
  {
    name: 'word at a look',
    why: 'nothing-asked',
    make: ({ asked, job }) => (asked?.what === 'look' ? text(job.holder, 'lantern') : null),
  },
  {
    name: 'no gate here',
    why: 'nothing-asked',
    make: (scene) =>
      scene.step !== null && scene.step.kind !== 'gate' && scene.ask?.ask !== 'field'
        ? text(scene.job.holder, 'DOLPHIN')
        : null,
  },
  {
    name: 'word of the other bay',
    why: 'word-elsewhere',
    make: (scene) =>
      scene.step?.kind === 'gate' || scene.asked?.what !== 'step'
        ? null
        : text(chanceHolder(scene), 'DOLPHIN'),
  },
  {
    name: 'ok before the old lock is off',
    why: 'old-lock',
    make: ({ job }) => (job.oldLock !== null && job.asked === null ? text(job.holder, 'ok') : null),
  },
  {
    name: 'holder as witness',
    why: 'own-witness',
    make: ({ ask, job }) =>
      bySecond(ask) ? text(job.holder, ask?.ask === 'second-look' ? 'seen' : '0 V') : null,
  },
  {
    name: 'stranger as witness',
    why: 'not-second',
    make: (scene) =>
      bySecond(scene.ask) ? text(bystander(scene), scene.ask?.ask === 'second-look' ? 'yes' : '0 V') : null,
  },
  {
    name: 'own standby',
    why: 'own-witness',
    make: ({ ask, job }) => (ask?.ask === 'standby' ? text(job.holder, job.holder) : null),
  },
  {
    name: 'standby of the other bay',
    why: 'standby-elsewhere',
    make: ({ ask, job, other, floor }) =>
      ask?.ask === 'standby' && floor.job(other.bay)?.standby === other.standby
        ? text(job.holder, other.standby)
        : null,
  },
  {
    name: 'nobody of that name',
    why: 'unknown-person',
    make: ({ ask, job, chance }) =>
      ask?.ask === 'standby'
        ? text(job.holder, 'gandolf')
        : chance.odds(0.3)
          ? text(job.holder, 'hand over gandolf')
          : null,
  },
  {
    name: 'no such gear',
    why: 'unknown-gear',
    make: ({ ask, job }) => (ask?.ask === 'gear' ? text(job.holder, 'Z99') : null),
  },
  {
    name: 'old sealant',
    why: 'out-of-date',
    make: ({ ask, job }) =>
      ask?.ask === 'field' && ask.type === 'batch' ? text(job.holder, 'MS4-2502') : null,
  },
  {
    name: 'no such sealant',
    why: 'unknown-value',
    make: ({ ask, job }) => (ask?.ask === 'field' && ask.type === 'batch' ? text(job.holder, 'MS9') : null),
  },
  {
    name: 'no photo',
    why: 'photo-first',
    make: ({ ask, step, job }) =>
      (ask?.ask === 'field' && ask.type === 'photo') || (ask?.ask === 'confirm' && step?.photo === true)
        ? text(job.holder, 'ok')
        : null,
  },
  {
    name: 'no count',
    why: 'unclear',
    make: ({ ask, job }) => (ask?.ask === 'field' && ask.type === 'count' ? text(job.holder, 'some') : null),
  },
  {
    name: 'another serial',
    why: 'differs',
    make: ({ ask, job }) =>
      ask?.ask === 'field' && ask.name.endsWith('-again') ? text(job.holder, 'ZZ-1') : null,
  },
  {
    name: 'no option',
    why: 'unclear',
    make: ({ ask, job }) => (ask?.ask === 'choice' ? text(job.holder, 'hmm') : null),
  },
  {
    name: 'bare no',
    why: 'unclear',
    make: ({ ask, job }) => (ask?.ask === 'confirm' ? text(job.holder, 'no') : null),
  },
  { name: 'back', why: 'unclear', make: ({ job }) => text(job.holder, 'back') },
  {
    name: 'stop in a sentence',
    why: 'stop-maybe',
    make: (scene) =>
      text(
        scene.chance.one([scene.job.holder, bystander(scene)]),
        scene.chance.one(["it won't stop dripping", 'bring it to a full stop', 'the coolant will not stop']),
      ),
  },
  {
    name: 'stranger',
    why: 'not-registered',
    make: (scene) => text('guest:U77', scene.chance.one(['ok', wordOf(scene) ?? 'yes', 'pause', '12 V'])),
  },
  {
    name: 'bystander',
    why: 'not-holder',
    make: (scene) =>
      text(bystander(scene), scene.chance.one(['ok', 'pause', 'park', 'hand over mara', 'correct'])),
  },
  {
    name: 'chat',
    why: null,
    make: (scene) =>
      text(
        scene.chance.one([bystander(scene), 'guest:U77']),
        scene.chance.one([
          'who has the big torch?',
          'kettle is on',
          'the blue one is ready to wash',
          'see you at 12',
        ]),
      ),
  },
  {
    name: 'question',
    why: null,
    make: ({ job, chance }) =>
      text(job.holder, chance.one(['where', 'why', 'list', 'help', 'numbers', 'note tray clip broke'])),
  },
  {
    name: 'release by anybody',
    why: 'not-foreman',
    make: (scene) =>
      scene.job.mode === 'held' || scene.job.mode === 'stopped'
        ? text(bystander(scene), 'release looks fine')
        : text(bystander(scene), 'call off'),
  },
  {
    name: 'own hold',
    why: 'own-hold',
    make: ({ job }) =>
      (job.mode === 'held' || job.mode === 'stopped') && job.holder === 'orla'
        ? text('orla', 'release looks fine')
        : null,
  },
  {
    name: 'no reason',
    why: 'reason-needed',
    make: ({ job, crew }) =>
      job.mode === 'stopped' && job.holder !== crew.foreman
        ? text(crew.foreman, 'release')
        : job.mode === 'working'
          ? text(job.holder, 'hold')
          : null,
  },
  {
    name: 'resume while held',
    why: 'held',
    make: ({ job }) => (job.mode === 'held' || job.mode === 'stopped' ? text(job.holder, 'resume') : null),
  },
  {
    name: 'wrong mode',
    why: 'mode',
    make: (scene) => scene.chance.one(MODES)(scene),
  },
  {
    name: 'ok while waiting',
    why: 'waiting',
    make: ({ job, chance }) =>
      job.waitingFor !== null && job.asked === null
        ? text(job.holder, chance.one(['ok', 'done', 'LANTERN']))
        : null,
  },
  {
    name: 'ok without a value',
    why: 'value-missing',
    make: ({ job }) => (job.missing !== null ? text(job.holder, 'ok') : null),
  },
  {
    name: 'value of another kind',
    why: 'wrong-kind',
    make: ({ job, crew }) =>
      job.missing !== null
        ? text(job.holder === crew.foreman ? 'fern' : crew.foreman, `value ${job.missing} 3 kg manual 1`)
        : null,
  },
  {
    name: 'no such value',
    why: 'unknown-value',
    make: ({ job, crew }) =>
      text(job.holder === crew.foreman ? 'fern' : crew.foreman, 'value nonsense 3 V manual 1'),
  },
  {
    name: 'value by anybody',
    why: 'not-foreman',
    make: (scene) => text(bystander(scene), 'value pyro-wait 3 min manual 1'),
  },
  {
    name: 'pause in the stretch',
    why: 'no-stop',
    make: ({ job }) =>
      job.mode === 'working' && (job.facts['bead-wet']?.value ?? 'gone') !== 'gone'
        ? text(job.holder, 'pause')
        : null,
  },
  {
    name: 'handover in the stretch',
    why: 'no-stop',
    make: ({ job, crew }) =>
      job.mode === 'working' && (job.facts['bead-wet']?.value ?? 'gone') !== 'gone'
        ? text(job.holder, `hand over ${crew.holders.find((one) => one !== job.holder)}`)
        : null,
  },
];
