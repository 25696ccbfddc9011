import { boardOf } from '../record/board.js';
import { sayBoard } from '../record/board-post.js';
import type { Register } from '../shop/register.js';
import {
  sayForemanDoes,
  sayNotFromHere,
  sayNotRegistered,
  sayNotUnderstood,
  sayOfficeHelp,
  sayOfficeStop,
  sayPassedOn,
  sayWriteAnew,
} from '../talk/office-talk.js';
import type { Post } from '../talk/post.js';
import type { Lane } from './lane.js';
import type { DayAnswer, OfficeAnswer } from './office-answer.js';
import { OFFICE_COMMANDS } from './office-commands.js';

/** What an answer may be said from: how things stand when it is said. */
export type OfficeGround = {
  readonly register: Register;
  readonly lanes: ReadonlyMap<string, Lane>;
  readonly now: number;
};

/** The post of an answer in the foreman's thread; null where it needs none. */
export function sayOffice(
  answer: Exclude<OfficeAnswer, DayAnswer>,
  { register, lanes, now }: OfficeGround,
): Post | null {
  switch (answer.is) {
    case 'board':
      return sayBoard(boardOf(bayRows(register, lanes), now));
    case 'help':
      return sayOfficeHelp([FOR_BAY, ...OFFICE_COMMANDS]);
    case 'foreman-does':
      return sayForemanDoes(answer.foremen.map((id) => register.people.get(id)?.name ?? id));
    case 'not-registered':
      return sayNotRegistered();
    case 'not-understood':
      return sayNotUnderstood(answer.said, answer.nearest);
    case 'write-anew':
      return sayWriteAnew();
    case 'passed-on':
      return answer.told ? null : sayPassedOn(answer.bay, answer.words);
    case 'not-from-here':
      return sayNotFromHere(answer.bay, answer.what);
    case 'stop':
      return sayOfficeStop(answer.bays, register.shop.emergency);
  }
}

const FOR_BAY = {
  shape: 'bay 2: release WHY',
  does: "said in bay 2 as the foreman's; any word but a gate's",
};

function bayRows({ bays }: Register, lanes: ReadonlyMap<string, Lane>) {
  return [...bays.values()].map(({ id, label }) => {
    const lane = lanes.get(id);
    return { bay: id, label, job: lane?.job ?? null, flow: lane?.flow ?? null, shut: lane?.shut ?? null };
  });
}
