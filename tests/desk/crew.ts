import { photoInput } from '../../src/channel/script/inputs.js';
import type { Flow } from '../../src/flow/flow.js';
import type { Body, Input } from '../../src/job/input.js';
import type { Job } from '../../src/job/job.js';
import type { Register } from '../../src/shop/register.js';
import { worldOf } from '../../src/shop/world.js';
import { type Crew, rightAnswer, type Said } from '../crew/crew.js';
import { type Floor, MINUTE } from './floor.js';

/** Readings that a good day brings, for every question of the demo flows. */
const READINGS = {
  'charge-state': '30 %',
  'cell-hottest': '24 °C',
  'cell-coldest': '23 °C',
  'insulation-before': '4 MΩ',
  'pad-front': '520 mm',
  'pad-rear': '1980 mm',
  'pack-skin': '21 °C',
  'air-temp': '21 °C',
  humidity: '45 %',
  'panel-temp': '21 °C',
  'tools-out': '12 pcs',
  'bolts-old': '10 pcs',
  'own-tools-out': '12 pcs',
  'own-bolts-old': '10 pcs',
  'air-pressure': '1000 mbar',
  'p-start': '30 mbar',
  't-start': '21 °C',
  'p-end': '29.9 mbar',
  't-end': '21 °C',
  'insulation-plus': '50 MΩ',
  'insulation-minus': '60 MΩ',
  'pack-temp': '21 °C',
  'table-rating': '1000 kg',
  bonding: '0.02 Ω',
  'bonding-current': '1 A',
  'tray-late': '0 ml',
  'tray-night': '0 ml',
  'frost-point': '-35 °C',
  vacuum: '-800 mbar',
};

/** Fields that have to suit what was said before. */
const FIELDS: Readonly<Record<string, string>> = {
  'fuse-made': '2025-11',
  'bolts-new': '10',
  'bolts-out': '10',
  'odometer-before': '81214',
  'odometer-after': '81219',
  'tools-in': '12',
};

const STANDBY: Readonly<Record<string, string>> = { mara: 'tamsin', jory: 'wilf' };

/** The crew of a job: its holder, the standby that goes with them, and what they measure. */
export function crewOf(register: Register, job: Job): Crew {
  return {
    foreman: 'orla',
    standby: STANDBY[job.holder] ?? 'tamsin',
    batch: [...register.sealants.keys()][0] ?? '',
    readings: READINGS,
    value: '10 min',
  };
}

/** What is said, put right where it has to suit what was said before. */
export function fieldAnswer(job: Job, flow: Flow, { by, body }: Said): Body {
  const { asked } = job;
  if (asked === null || asked.what !== 'step' || asked.ended || by !== job.holder) return body;
  const ask = flow.steps.find(({ id }) => id === asked.step)?.asks[asked.answers.length];
  const field = ask?.ask === 'field' ? FIELDS[ask.name] : undefined;
  return field === undefined ? body : { is: 'text', text: field };
}

/** Whether a pressure is asked that is read again when its time is over. */
export function isHeld({ asked }: Job, flow: Flow): boolean {
  if (asked === null || asked.what !== 'step') return false;
  const ask = flow.steps.find(({ id }) => id === asked.step)?.asks[asked.answers.length];
  return ask?.ask === 'reading' && ask.name === 'p-end';
}

/** What a good crew says next in a bay; null when only time can help. */
export function nextInput(floor: Floor, bay: string): Input | null {
  const { desk, register, clock, room } = floor;
  const job = desk.jobOf(bay);
  const flow = desk.flowOf(bay);
  if (job === null || flow === null) return null;
  const world = worldOf(register, {
    now: clock.now(),
    elsewhere: new Map(),
    standbyElsewhere: new Map(),
    draw: 0,
  });
  if (job.checkIn?.askedAt != null && job.standby !== null) return floor.input(job.standby, 'here', { bay });
  const next = rightAnswer(job, flow, world, crewOf(register, job));
  if (next === null) return null;
  const body = fieldAnswer(job, flow, next);
  if (body.is === 'photo') return floor.input(next.by, '', { bay, ...photoInput(room, bay, body.name) });
  if (body.is !== 'text') throw new Error(`the crew does not send a ${body.is}`);
  return floor.input(next.by, body.text, { bay });
}

const ended = (job: Job | null) => job === null;

type Whole = {
  readonly flow: string;
  readonly car: string;
  readonly bay?: string;
  readonly holder?: string;
  /** Minutes for which a pressure is held; 1 where none are given. */
  readonly hold?: number;
};

/** A whole job by a good crew, an input a minute. `each` runs after every input and every wait. */
export async function wholeJob(
  floor: Floor,
  { flow, car, bay = '1', holder = 'mara', hold = 1 }: Whole,
  each: () => Promise<void> = async () => undefined,
  most = 400,
): Promise<number> {
  const say = async (input: Input) => {
    floor.room.say(bay, input.by, saidAs(input), floor.clock.now());
    await floor.send(input);
    await each();
  };
  await say(floor.input(holder, `start ${flow} ${car}`, { bay }));
  for (let turn = 1; turn <= most; turn++) {
    if (ended(floor.desk.jobOf(bay))) return turn;
    const [job, proved] = [floor.desk.jobOf(bay), floor.desk.flowOf(bay)];
    if (hold > 1 && job !== null && proved !== null && isHeld(job, proved)) await floor.later(hold - 1);
    const next = nextInput(floor, bay);
    if (next === null) {
      const wake = floor.desk.nextWake();
      if (wake === null) throw new Error(`nobody says anything at ${floor.desk.jobOf(bay)?.asked?.step}`);
      await floor.later((wake - floor.clock.now()) / MINUTE);
      await each();
      continue;
    }
    await say(next);
    await floor.later(1);
  }
  throw new Error(`the job does not end; it is at ${floor.desk.jobOf(bay)?.asked?.step ?? 'nothing'}`);
}

function saidAs({ body }: Input): string {
  return body.is === 'text' ? body.text : body.is === 'photo' ? `(photo ${body.name})` : '';
}
