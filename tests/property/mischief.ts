import type { Ask, Flow, Step } from '../../src/flow/flow.js';
import type { Marks } from '../../src/job/input.js';
import type { Asked, Job } from '../../src/job/job.js';
import type { Refusal } from '../../src/job/refusal.js';
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

export const text = (by: string, words: string, more: Omit<Doing, 'by' | 'body'> = {}): Doing => ({
  by,
  body: { is: 'text', text: words },
  ...more,
});

/** Somebody who is registered and has no part in the job. */
export const bystander = ({ job, crew, chance }: Scene) =>
  chance.one(
    ['jory', 'mara', 'nell', 'wilf', 'tamsin'].filter(
      (id) => ![job.holder, job.standby, crew.standby].includes(id),
    ),
  );

const gateOf = ({ asked, step }: Scene) =>
  step?.kind === 'gate' && asked?.what === 'step' && !asked.ended ? step : null;
/** The gate's word, while the gate is shown. */
export const wordOf = (scene: Scene) => (gateOf(scene) === null ? null : (scene.asked?.word ?? null));
const atWord = (scene: Scene) => scene.ask?.ask === 'word' && wordOf(scene) !== null;
const rightText = ({ right }: Scene) => (right?.body.is === 'text' ? right.body.text : null);
export const bySecond = (ask: Ask | null) =>
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

/** Gate words and marks: what must not pass a gate, or anything. */
export const WORDS: readonly Mischief[] = [
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
];
