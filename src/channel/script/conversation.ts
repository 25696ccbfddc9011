import { type Clock, VirtualClock } from '../../desk/clock.js';
import type { Desk } from '../../desk/desk.js';
import { NotTaken } from '../../desk/port.js';
import type { FolderShop } from '../../desk/shops.js';
import { printRegisterFault, type RegisterFault } from '../../shop/fault.js';
import { HELP } from './banner.js';
import { readCommand, type Spoken } from './command.js';
import { type Made, photoInput, reactionInput, speakerOf, tapInput, textInput } from './inputs.js';
import type { Room } from './room.js';
import { personCalled } from './script.js';
import { labelOf } from './transcript.js';
import { walkClock } from './walk.js';

/** A conversation in the terminal: who speaks, where, and what it is spoken to with. */
export type Talk = {
  readonly desk: Desk;
  readonly clock: Clock;
  readonly shop: FolderShop;
  readonly room: Room;
  /** The channel that inputs say they came through. */
  readonly via: string;
  readonly state: { who: string; thread: string };
  readonly print: (...texts: readonly string[]) => void;
  readonly showNew: () => void;
  readonly prefix: string;
  inputs: number;
  /** Faults of the register that were printed last. */
  faults: string;
};

/** Does what a typed line asks for; `quit` when it ends the conversation. */
export async function takeLine(talk: Talk, line: string): Promise<'quit' | null> {
  const { state, shop, print, room } = talk;
  await lookAtRegister(talk);
  const register = shop.register();
  const command = readCommand(line, (who) => personCalled(register, who) !== null);
  if (command === null) return null;
  switch (command.do) {
    case 'quit':
      return 'quit';
    case 'help':
      print(...HELP);
      return null;
    case 'as': {
      state.who = personCalled(register, command.who)?.id ?? command.who;
      const known = personCalled(register, command.who) !== null;
      print(known ? `You are ${state.who} now.` : `You are ${state.who} now, a guest: not in the register.`);
      return null;
    }
    case 'thread':
      if (command.thread !== 'foreman' && command.thread !== 'shop' && !register.bays.has(command.thread)) {
        print(`There is no bay ${command.thread}. There is: ${[...register.bays.keys()].join(', ')}.`);
        return null;
      }
      state.thread = command.thread;
      print(`Thread now: ${labelOf(register, command.thread)}.`);
      return null;
    case 'clock':
      if (!(talk.clock instanceof VirtualClock)) {
        print('The clock on the wall cannot be turned.');
        return null;
      }
      await walkClock(talk.desk, talk.clock, talk.clock.now() + command.ms);
      return null;
    case 'unknown':
      print(command.problem);
      return null;
    case 'speak':
      return speak(talk, command.who ?? state.who, command.what, madeOf(talk, command.what, room));
  }
}

function madeOf({ state, shop }: Talk, what: Spoken, room: Room): Made | null {
  const { zone } = shop.register().shop;
  switch (what.is) {
    case 'text':
      return textInput(room, state.thread, what.text, null);
    case 'tap':
      return tapInput(room, state.thread, zone, { label: what.label, on: null });
    case 'reaction':
      return reactionInput(room, state.thread, zone, { name: what.name, on: null });
    case 'photo':
      return photoInput(room, state.thread, what.name);
  }
}

async function speak(talk: Talk, who: string, what: Spoken, made: Made | null): Promise<null> {
  const { state, clock, room, via, desk, print, showNew, shop } = talk;
  if (made === null) {
    print(what.is === 'tap' ? `No post here has the button "${what.label}".` : 'There is no post here yet.');
    return null;
  }
  const { by, name } = speakerOf(shop.register(), who);
  const key = `${via}:${talk.prefix}${++talk.inputs}`;
  room.say(state.thread, who, shownAs(what), clock.now());
  showNew();
  try {
    await desk.receive({ key, bay: state.thread, by, name, via, saidAt: clock.now(), ...made });
  } catch (error) {
    if (!(error instanceof NotTaken)) throw error;
    print('That was not kept: the disk did not take it. It has had no effect; say it again.');
  }
  return null;
}

function shownAs(what: Spoken): string {
  switch (what.is) {
    case 'text':
      return what.text;
    case 'tap':
      return `[${what.label}]`;
    case 'reaction':
      return `(${what.name})`;
    case 'photo':
      return `(photo ${what.name})`;
  }
}

/** Takes over what was edited in the register by hand, and says once what is wrong with it. */
async function lookAtRegister(talk: Talk): Promise<void> {
  const faults = faultLines(await talk.shop.refresh());
  const text = faults.join('\n');
  if (text !== talk.faults && text !== '') {
    talk.print('The register was edited and has faults; the one before stays in use:', ...faults);
  }
  talk.faults = text;
}

/** Faults of the register as lines. */
export const faultLines = (faults: readonly RegisterFault[]) =>
  faults.map((fault) => `  ${printRegisterFault(fault)}`);
