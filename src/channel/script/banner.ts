import type { Register } from '../../shop/register.js';
import { renderDay, renderInstant } from './render.js';

export type Start = {
  readonly data: string;
  /** The demo workshop was written just now. */
  readonly fresh: boolean;
  readonly register: Register;
  readonly now: number;
  /** Flows that can be started. */
  readonly flows: readonly string[];
  readonly who: string;
  readonly thread: string;
};

/** The first lines of the terminal: where the data live, who is here, which bays, and what to type first. */
export function banner({ data, fresh, register, now, flows, who, thread }: Start): readonly string[] {
  const { shop, people, bays, cars } = register;
  const zone = shop.zone;
  const flow = flows.find((id) => id === 'disconnect-fuse') ?? flows[0];
  const car = [...cars.values()][0]?.registration ?? 'REG';
  const first =
    flow === undefined
      ? 'No flow can be started: npm run flows says why.'
      : `First line to type:  start ${flow} ${car}`;
  return [
    `Baywarden at ${shop.name}, a terminal for practice.`,
    '',
    row('data', `${data}${fresh ? ', made just now' : ''}; delete the folder to begin afresh`),
    row('clock', `${renderDay(now, zone)} ${renderInstant(now, 'time', zone)}, ${zone}`),
    row('people', [...people.values()].map(({ id, roles }) => `${id} (${roles[0] ?? 'guest'})`).join(', ')),
    row('bays', [...bays.values()].map(({ id, label }) => `${id} (${label})`).join(', ')),
    row('cars', [...cars.values()].map(({ registration }) => registration).join(', ')),
    row('flows', flows.join(', ')),
    '',
    `You are ${who} in bay ${thread}. ${first}`,
    'As somebody else for one line:  orla: where    Everything else:  /help'.replace(
      'orla',
      otherThan(register, who),
    ),
    '',
  ];
}

function row(name: string, text: string): string {
  return `  ${name.padEnd(7)} ${text}`;
}

function otherThan(register: Register, who: string): string {
  return [...register.people.keys()].find((id) => id !== who) ?? 'guest';
}

export const HELP: readonly string[] = [
  'What you type is said in the thread you are in, by the person you are.',
  '  NAME: TEXT      said by somebody else of the workshop, once',
  '  /as NAME        be somebody else; a name that is not in the register is a guest',
  '  /bay ID         the thread of another bay      /foreman, /shop   the other threads',
  '  /tap LABEL      tap a button                   /react NAME       react to the newest post',
  '  /photo NAME     send a photo                   /clock +10m       turn a practice clock on',
  '  /quit           end; the jobs stay where they are',
  'In a job: ok, no, where, why, list, note TEXT, pause, resume, park, hold REASON, help, stop.',
];

export const STEPS_OUT: readonly string[] = ['The jobs stay where they are. The next start takes them up.'];
