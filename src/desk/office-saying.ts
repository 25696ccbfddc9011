import { boardOf } from '../record/board.js';
import { sayBoard } from '../record/board-post.js';
import { changesBetween, type Json, type RegisterChange, same } from '../shop/change.js';
import { printRegisterFault } from '../shop/fault.js';
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
import {
  sayChanged,
  sayClash,
  sayDropped,
  sayEdited,
  sayEditRefused,
  sayFaults,
  sayNothingWaits,
  sayProposed,
  saySlip,
  sayStillWaits,
  sayWritten,
  type ToldChange,
} from '../talk/register-talk.js';
import type { Lane } from './lane.js';
import type { DayAnswer, OfficeAnswer } from './office-answer.js';
import { OFFICE_COMMANDS } from './office-commands.js';

/** What an answer may be said from: how things stand when it is said. */
export type OfficeGround = {
  readonly register: Register;
  readonly lanes: ReadonlyMap<string, Lane>;
  readonly now: number;
  /** Whether changes wait for their document to take them. */
  readonly waits: (changes: readonly RegisterChange[]) => boolean;
};

/** The post of an answer in the foreman's thread; null where it needs none. */
export function sayOffice(
  answer: Exclude<OfficeAnswer, DayAnswer>,
  { register, lanes, now, waits }: OfficeGround,
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
    case 'proposed':
      return sayProposed(told(answer.changes), answer.consequence, answer.why);
    case 'slip':
      return saySlip(answer.slip);
    case 'faults':
      return sayFaults(answer.faults.map(printRegisterFault));
    case 'wait':
      return sayStillWaits();
    case 'changed':
      return sayChanged(told(answer.changes), waits(answer.changes));
    case 'dropped':
      return sayDropped();
    case 'nothing-waits':
      return sayNothingWaits();
    case 'clash':
      return sayClash(told(answer.changes), answer.stands);
    case 'written':
      return sayWritten(told(answer.changes));
    case 'edited':
      return sayEdited(told(answer.changes));
    case 'edit-refused':
      return sayEditRefused(answer.faults.map(printRegisterFault));
  }
}

const FOR_BAY = {
  shape: 'bay 2: release WHY',
  does: "said in bay 2 as the foreman's; any word but a gate's",
};

/** Names of people and secrets: that they were set is told, never what they are. */
const SECRET: ReadonlySet<string> = new Set(['pin', 'link']);

/** Names of groups that say nothing by themselves. */
const GROUPS: ReadonlySet<string> = new Set(['values', 'choices', 'accounts', 'settings']);

/** Changes as they are told, field by field. */
function told(changes: readonly RegisterChange[]): readonly ToldChange[] {
  return changes
    .flatMap((one) => (one.before === null || one.after === null ? [one] : fields(one)))
    .map(({ at, before, after }) => {
      const [, ...way] = at.length > 1 && typeof at[1] !== 'string' ? at : ['', ...at];
      const of = way.flatMap((step) => (typeof step === 'string' ? [] : [step.is])).join(' ');
      const field = way.filter((step) => typeof step === 'string' && !GROUPS.has(step)).join(' ');
      const secret = way.some((step) => typeof step === 'string' && SECRET.has(step));
      const shown = (value: Json) => (secret && value !== null ? 'set' : value);
      return { of, field, before: shown(before), after: shown(after) };
    });
}

function fields(change: RegisterChange): readonly RegisterChange[] {
  const { file, at, before, after } = change;
  // A value is told whole, with its source.
  if (at.includes('values')) return [change];
  return changesBetween(file, before, after, at).map((one) => {
    if (!Array.isArray(one.before) || !Array.isArray(one.after)) return one;
    const [old, now]: readonly [readonly Json[], readonly Json[]] = [one.before, one.after];
    const gone = old.filter((item) => !now.some((other) => same(item, other)));
    const come = now.filter((item) => !old.some((other) => same(item, other)));
    const some = (list: readonly Json[]) => (list.length === 0 ? null : list);
    return { ...one, before: some(gone), after: some(come) };
  });
}

function bayRows({ bays }: Register, lanes: ReadonlyMap<string, Lane>) {
  return [...bays.values()].map(({ id, label }) => {
    const lane = lanes.get(id);
    return { bay: id, label, job: lane?.job ?? null, flow: lane?.flow ?? null, shut: lane?.shut ?? null };
  });
}
