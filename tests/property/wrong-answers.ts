import type { Job } from '../../src/job/job.js';
import { logOf, trayReadings } from '../../src/job/watch.js';
import { spillOf } from '../../src/trade/spill.js';
import { bySecond, bystander, type Mischief, type Scene, text, WORDS, wordOf } from './mischief.js';

/** Somebody who works in the other bay: his word was meant for that one. */
const chanceHolder = ({ floor, other }: Scene) => floor.job(other.bay)?.holder ?? other.holders[0];

/** What stands in the tray, ml. */
function standsIn(job: Job, name: string): number {
  const spill = spillOf(trayReadings(logOf(job, name).sightings));
  return spill.ok ? spill.standsMl : 0;
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

/** Answers that are none, and words at the wrong time. */
const ANSWERS: readonly Mischief[] = [
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
    name: 'one pole still warm',
    why: null,
    make: ({ ask, job, chance }) =>
      ask?.ask === 'dead-test'
        ? text(job.holder, chance.one(['400 12 0 0 400 V', '400 0 12 0 400 V', '400 0 0 12 400 V']))
        : null,
  },
  {
    name: 'no reading',
    why: 'unclear',
    make: ({ ask, job, chance }) =>
      ask?.ask === 'reading' || ask?.ask === 'values' || ask?.ask === 'watch'
        ? text(
            bySecond(ask) ? (job.standby ?? '') : job.holder,
            // A meter that shows kilovolts.
            chance.one([...NUMBERS, '0.386', '0.386 V', '386 V']),
          )
        : null,
  },
  {
    name: 'implausible',
    why: 'implausible',
    make: ({ ask, job }) => {
      if (ask?.ask !== 'reading' && ask?.ask !== 'watch') return null;
      if (ask.plausible === null || (ask.ask === 'reading' && ask.by === 'second')) return null;
      return text(job.holder, `${ask.plausible.to * 2 + 1} ${ask.unit}`);
    },
  },
  {
    name: 'talk at a watch',
    why: 'not-settled',
    make: ({ ask, job, chance }) =>
      ask?.ask === 'watch'
        ? text(job.holder, chance.one(['ok', 'done', 'next', 'still running', 'yes', 'not emptied']))
        : null,
  },
  {
    name: 'emptied, and no more said',
    why: 'emptied-at',
    make: ({ ask, job }) =>
      ask?.ask === 'watch' && ask.until === 'spill-still' ? text(job.holder, 'tray emptied') : null,
  },
  {
    name: 'less in the tray than before',
    why: 'went-down',
    make: ({ ask, job }) =>
      ask?.ask === 'watch' && ask.until === 'spill-still' && standsIn(job, ask.name) > 0
        ? text(job.holder, '0 ml')
        : null,
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
    name: 'step left out',
    why: 'left-out',
    make: ({ job, chance }) => text(job.holder, chance.one(['skip', 'skip it', 'leave it out'])),
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
        : job.oldLock !== null
          ? text(crew.foreman, 'lock removed')
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

export const MISCHIEF: readonly Mischief[] = [...WORDS, ...ANSWERS];
