import { join } from 'node:path';
import { type Clock, wallClock } from '../../desk/clock.js';
import { Desk } from '../../desk/desk.js';
import type { FlowSource } from '../../desk/flow-source.js';
import { poke } from '../../desk/poke.js';
import { openFolderShop } from '../../desk/shops.js';
import { openNodeDisk } from '../../journal/node-disk.js';
import { printRegisterFault } from '../../shop/fault.js';
import { openRegister } from '../../shop/folder.js';
import { writePractice } from '../script/workshop.js';
import type { SlackSettings } from './settings.js';
import { openSlack } from './slack.js';

export type RunParts = {
  /** The data folder, locked by whoever calls. */
  readonly data: string;
  readonly flows: FlowSource;
  readonly settings: SlackSettings;
  readonly print: (...lines: readonly string[]) => void;
  /** Settles when the program shall end. */
  readonly ended: Promise<void>;
  readonly clock?: Clock;
};

/** How often an edit of the register is looked for, ms. */
const REFRESH_MS = 10_000;

/** The messaging channel alone on a data folder. Ends when told to; gives the exit code. */
export async function runSlack({
  data,
  flows,
  settings,
  print,
  ended,
  clock = wallClock,
}: RunParts): Promise<number> {
  const folder = join(data, 'register');
  await writePractice(folder, clock.now());
  const read = await openFolderShop(openRegister(folder));
  if (!read.ok) {
    print(
      `The register in ${folder} has faults. Correct them and start again:`,
      ...read.faults.map(printRegisterFault),
    );
    return 1;
  }
  const { shop } = read;
  const disk = openNodeDisk(data);
  const alive = Number((await disk.read('alive'))?.toString() ?? '');
  const slack = await openSlack({
    settings,
    disk,
    clock,
    register: () => shop.register(),
    lastAlive: alive > 0 ? alive : null,
    report: (words) => print(words),
  });
  const desk = await Desk.open({ disk, clock, channel: slack.channel, shop, flows });
  if (desk.reports.length > 0) print('Found at the start:', ...desk.reports.map((report) => `  ${report}`));
  let refreshedAt = clock.now();
  const time = poke({
    tick: async () => {
      await slack.tick();
      if (clock.now() - refreshedAt > REFRESH_MS) {
        refreshedAt = clock.now();
        for (const fault of await shop.refresh()) print(printRegisterFault(fault));
      }
      await desk.tick();
    },
  });
  const { ready } = slack.start(desk);
  void ready.then(() => print(`Baywarden listens in Slack: ${slack.describe()}.`));
  await ended;
  time.stop();
  await slack.stop();
  await desk.close();
  return 0;
}
