import { join } from 'node:path';
import { type Clock, VirtualClock, wallClock } from '../../desk/clock.js';
import { Desk } from '../../desk/desk.js';
import { dueCalendar } from '../../desk/due-calendar.js';
import type { FlowSource } from '../../desk/flow-source.js';
import { poke } from '../../desk/poke.js';
import { openFolderShop } from '../../desk/shops.js';
import type { Disk } from '../../journal/disk.js';
import { openNodeDisk } from '../../journal/node-disk.js';
import { boardOf } from '../../record/board.js';
import { printRegisterFault, type RegisterFault } from '../../shop/fault.js';
import { openRegister } from '../../shop/folder.js';
import type { Register } from '../../shop/register.js';
import { writePractice } from '../script/workshop.js';
import { homeInJournal, type OpenBeside, severalChannels } from '../several.js';
import { type Door, urlOf } from './door.js';
import { floorChannel } from './floor-channel.js';
import { isLoopback } from './guard.js';
import { helloOf, isDemo } from './hello.js';
import { openLedger } from './ledger.js';
import type { Live } from './live.js';
import { restoreLost } from './lost-posts.js';
import { openPeople } from './people.js';
import { sweepPhotos } from './photos.js';
import { watchRegister } from './register-watch.js';
import { startServer } from './server.js';
import { openSessions } from './sessions.js';
import { openSubscribers } from './subscribers.js';

export type FloorParts = {
  /** The data folder, locked by whoever calls. */
  readonly data: string;
  readonly flows: FlowSource;
  /** Already listening; closed with the floor, and by a floor that does not open. */
  readonly door: Door;
  readonly host: string;
  readonly print: (...lines: readonly string[]) => void;
  /** Wall time unless a clock turned by hand is given. */
  readonly clock?: Clock;
  /** The disk under `data`, unless a test gives another. */
  readonly disk?: Disk;
  /** Another channel beside the page: jobs started there live there, and the page is their board. */
  readonly beside?: OpenBeside;
};

export type Floor = {
  /** The address to open. */
  readonly url: string;
  readonly port: number;
  readonly desk: Desk;
  /** Ends in order: pages let go, what is under way ended, files closed. */
  close(): Promise<void>;
};

/** Why the floor page was not opened, in lines for the console, each with what to do. */
export class FloorError extends Error {
  constructor(readonly lines: readonly string[]) {
    super(lines.join('\n'));
    this.name = 'FloorError';
  }
}

/**
 * Opens the floor page on a data folder: the register, the demo workshop if there is none, the desk, the server.
 *
 * @throws {FloorError}
 */
export async function openFloor(parts: FloorParts): Promise<Floor> {
  try {
    return await opened(parts);
  } catch (error) {
    await parts.door.close();
    throw error;
  }
}

async function opened(parts: FloorParts): Promise<Floor> {
  const { data, flows, print, clock = wallClock } = parts;
  const folder = join(data, 'register');
  const fresh = await writePractice(folder, clock.now());
  const read = await openFolderShop(openRegister(folder));
  if (!read.ok) {
    throw new FloorError([
      `The register in ${folder} has faults. Correct them and start again:`,
      ...faultLines(read.faults),
    ]);
  }
  const { shop, faults } = read;
  if (faults.length > 0)
    print(`The register in ${folder} has faults. The last good one is in force:`, ...faultLines(faults));
  const refused = refusedAddress(parts.host, shop.register());
  if (refused !== null) throw new FloorError([refused]);

  const disk = parts.disk ?? openNodeDisk(data);
  const ledger = await openLedger(disk, clock.now());
  const sessions = await openSessions(disk);
  const people = openPeople(() => shop.register(), sessions, clock);
  let live: Live | null = null;
  const page = floorChannel(ledger, clock, (bay) => live?.changed(bay));
  const lastAlive = Number((await disk.read('alive'))?.toString() ?? '') || null;
  const alarm = (words: string) => {
    const post = { to: 'foreman', kind: 'alert', lines: [[words]], buttons: [], visit: null } as const;
    const key = `beside:${clock.now()}`;
    void page.deliver({ key, bay: 'foreman', job: null, post, again: false }).catch(() => undefined);
  };
  const beside = await parts.beside?.({ disk, clock, register: () => shop.register(), lastAlive, alarm });
  const homeOf = homeInJournal(disk);
  const channel = beside === undefined ? page : severalChannels([page, beside.channel], homeOf);
  const desk = await Desk.open({ disk, clock, channel, shop, flows });
  if (desk.reports.length > 0) print('Found at the start:', ...desk.reports.map((report) => `  ${report}`));
  await restoreLost(desk, ledger, disk, beside === undefined ? null : homeOf);
  beside?.start(desk);
  // What a full disk does not let go of now is tried again at the next start.
  await sweepPhotos(disk, clock.now()).catch(() => 0);

  const refresh = watchRegister(folder, async () => {
    const found = faultLines(await shop.refresh());
    if (found.length > 0)
      print('The register was edited and has faults; the one before stays in use:', ...found);
    live?.changed(null);
  });
  const board = () => {
    const bays = desk.bays().map(({ id, label }) => {
      return { bay: id, label, job: desk.jobOf(id), flow: desk.flowOf(id), shut: desk.shutOf(id) };
    });
    return boardOf(bays, clock.now());
  };
  const time =
    clock instanceof VirtualClock
      ? null
      : poke({
          tick: async () => {
            await beside?.tick();
            await desk.tick();
            live?.changed(null);
          },
        });
  live = startServer({
    ...{ desk: () => desk, ledger, people, sessions, flows, clock, disk, board, door: parts.door },
    register: () => shop.register(),
    refresh: refresh.now,
    calendar: () => dueCalendar(shop, clock.now()),
    subscribers: openSubscribers(),
    hello: (speaker) =>
      helloOf({ register: shop.register(), flows, speaker, now: clock.now(), first: ledger.last === '' }),
    report: (words) => print(words),
  });
  print(...greeting({ data, fresh, register: shop.register(), flows }));
  return {
    url: urlOf(parts.host, parts.door.port),
    port: parts.door.port,
    desk,
    close: async () => {
      refresh.stop();
      time?.stop();
      live?.close();
      await parts.door.close();
      await beside?.stop();
      await desk.close();
      await ledger.close();
    },
  };
}

/** Why nothing may listen on this address with the register of a folder; null when it may. */
export async function addressRefusal(data: string, host: string): Promise<string | null> {
  if (isLoopback(host)) return null;
  const read = await openFolderShop(openRegister(join(data, 'register')));
  if (read.ok) return refusedAddress(host, read.shop.register());
  return (
    `BAYWARDEN_HOST: ${host} can be reached from other computers, and there is no register with PINs yet. ` +
    'Take BAYWARDEN_HOST out for the first start; npm run preflight says what is missing.'
  );
}

/** Nobody can be told apart without a PIN, so nothing but this computer may reach the page before all have one. */
function refusedAddress(host: string, { people, secrets }: Register): string | null {
  if (isLoopback(host)) return null;
  const without = [...people.keys()].filter((id) => (secrets.get(id)?.pin ?? null) === null);
  if (without.length === 0) return null;
  return (
    `BAYWARDEN_HOST: ${host} can be reached from other computers, and without a PIN: ${without.join(', ')}. ` +
    `Give each one: baywarden pin ${without[0]}. Or take BAYWARDEN_HOST out: the page then opens on this computer only.`
  );
}

function faultLines(faults: readonly RegisterFault[]): readonly string[] {
  return faults.map((fault) => `  ${printRegisterFault(fault)}`);
}

type Greeting = {
  readonly data: string;
  readonly fresh: boolean;
  readonly register: Register;
  readonly flows: FlowSource;
};

/** What the console says once the page answers: what it runs on, and what to do next. */
function greeting({ data, fresh, register, flows }: Greeting): readonly string[] {
  const demo = isDemo(register);
  const none = flows.startable().length === 0;
  return [
    `  shop    ${register.shop.name}${demo ? ': invented, people, cars and values. Never work on a car with them.' : ''}`,
    `  data    ${data}${fresh ? ', made just now with a demo workshop' : ''}`,
    ...(demo
      ? [
          `  yours   edit ${join(data, 'register')}/*.json, all faults are told at once; then npm run preflight`,
        ]
      : []),
    ...(none ? ['  flows   none can be started: npm run flows says why'] : []),
    '  end     Ctrl-C; the jobs stay where they are',
  ];
}
