import { join } from 'node:path';
import { clearLine, createInterface, cursorTo, type Interface } from 'node:readline';
import { type Clock, VirtualClock, wallClock } from '../../desk/clock.js';
import { Desk } from '../../desk/desk.js';
import type { FlowSource } from '../../desk/flow-source.js';
import { poke } from '../../desk/poke.js';
import { openFolderShop } from '../../desk/shops.js';
import { openNodeDisk } from '../../journal/node-disk.js';
import { openRegister } from '../../shop/folder.js';
import type { Register } from '../../shop/register.js';
import { banner, STEPS_OUT } from './banner.js';
import { faultLines, type Talk, takeLine } from './conversation.js';
import { openRoom } from './room.js';
import { scriptChannel } from './script-channel.js';
import { labelOf, openTranscript } from './transcript.js';
import { writePractice } from './workshop.js';

export type TerminalParts = {
  /** The data folder, locked by whoever calls. */
  readonly data: string;
  readonly flows: FlowSource;
  readonly input: NodeJS.ReadableStream & { readonly isTTY?: boolean };
  readonly output: NodeJS.WritableStream & { readonly isTTY?: boolean };
  /** Wall time unless a clock turned by hand is given. */
  readonly clock?: Clock;
};

/**
 * The interactive terminal: the channel of the scripts, spoken to line by line. Ends at `/quit` or at the end of the
 * input, and gives the exit code: 1 when the register of the data folder cannot be read.
 */
export async function runTerminal(parts: TerminalParts): Promise<number> {
  const { data, flows, input, output, clock = wallClock } = parts;
  const onScreen = output.isTTY === true && input.isTTY === true;
  let lines: Interface | null = null;

  const print = (...texts: readonly string[]): void => {
    if (onScreen && lines !== null) {
      cursorTo(output, 0);
      clearLine(output, 0);
    }
    for (const text of texts) output.write(`${text}\n`);
    if (onScreen) lines?.prompt(true);
  };

  const folder = join(data, 'register');
  const fresh = await writePractice(folder, clock.now());
  const opened = await openFolderShop(openRegister(folder));
  if (!opened.ok) {
    print(
      `The register in ${folder} has faults. Correct them and start again:`,
      ...faultLines(opened.faults),
    );
    return 1;
  }
  const { shop, faults } = opened;
  if (faults.length > 0) {
    print(`The register in ${folder} has faults. The last good one is in force:`, ...faultLines(faults));
  }

  // A new room on old data: its places have to come after those that the journals know.
  const prefix = `${String(clock.now()).padStart(14, '0')}.`;
  const room = openRoom(prefix);
  const { zone } = shop.register().shop;
  const show = openTranscript({
    zone,
    width: Math.max(6, ...[...shop.register().people.keys()].map((id) => id.length)),
    label: (thread) => labelOf(shop.register(), thread),
    ...(onScreen ? { strong: (text: string) => `\u001b[1m${text}\u001b[0m` } : {}),
  });
  let shown = 0;
  const showNew = () => {
    const entries = room.entries.slice(shown);
    shown = room.entries.length;
    // On a screen what was typed stands there already.
    const wanted = entries.filter((entry) => !onScreen || entry.is !== 'said');
    if (wanted.length > 0) print(...wanted.flatMap(show));
  };
  const channel = scriptChannel({
    name: 'terminal',
    room,
    now: () => clock.now(),
    forgets: true,
    arrived: showNew,
  });

  const register = shop.register();
  const state = {
    who: firstSpeaker(register),
    thread: [...register.bays.keys()][0] ?? 'shop',
  };
  const promptText = () => `${labelOf(shop.register(), state.thread).toLowerCase()}, ${state.who}: `;

  print(...banner({ data, fresh, register, now: clock.now(), flows: flows.startable(), ...state }));
  const desk = await Desk.open({ disk: openNodeDisk(data), clock, channel, shop, flows });
  if (desk.reports.length > 0) print('Found at the start:', ...desk.reports.map((report) => `  ${report}`));
  const time = clock instanceof VirtualClock ? null : poke(desk);

  const talk: Talk = {
    desk,
    clock,
    shop,
    room,
    via: channel.name,
    state,
    print,
    showNew,
    prefix,
    inputs: 0,
    faults: '',
  };
  lines = createInterface({
    input,
    output: onScreen ? output : undefined,
    terminal: onScreen,
    crlfDelay: 1000,
  });
  lines.setPrompt(promptText());
  lines.on('SIGINT', () => lines?.close());
  if (onScreen) lines.prompt();
  try {
    for await (const line of lines) {
      if ((await takeLine(talk, line)) === 'quit') break;
      lines.setPrompt(promptText());
      if (onScreen) lines.prompt();
    }
  } finally {
    time?.stop();
    lines.close();
    lines = null;
    await desk.close();
  }
  print(...STEPS_OUT);
  return 0;
}

/** A technician who is not the foreman as well: the foreman cannot release what he holds himself. */
function firstSpeaker({ people }: Register): string {
  const working = [...people.values()].filter(({ roles }) => roles.includes('technician'));
  const one = working.find(({ roles }) => !roles.includes('foreman')) ?? working[0];
  return one?.id ?? 'guest';
}
