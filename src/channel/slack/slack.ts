import type { Receiver } from '@slack/bolt';
import type { Clock } from '../../desk/clock.js';
import type { Channel } from '../../desk/port.js';
import type { Disk } from '../../journal/disk.js';
import { type Board, boardOf } from '../../record/board.js';
import type { Register } from '../../shop/register.js';
import { makeApp } from './app.js';
import { CatchUp } from './catch-up.js';
import { Charts } from './charts.js';
import { answerCommand } from './command.js';
import { Coverage } from './coverage.js';
import type { DeskView } from './desk-view.js';
import { giver } from './give.js';
import { goneTeller } from './gone.js';
import { Hands } from './hands.js';
import { Home } from './home.js';
import { Identity } from './identity.js';
import { Intake } from './intake.js';
import { Ledger } from './ledger.js';
import { givenLines, type Lines, openLines } from './lines.js';
import { Outgoing } from './outgoing.js';
import { People } from './people.js';
import { Redraw } from './redraw.js';
import { roomsLately } from './rooms.js';
import type { SlackSettings } from './settings.js';
import { roomState } from './shared.js';
import { SlackChannel } from './slack-channel.js';
import { Uploads } from './upload.js';
import { atMost, pause } from './waiting.js';
import { openWeb, type Send } from './web.js';
import { whisperer } from './whisper.js';

export type SlackParts = {
  readonly settings: SlackSettings;
  readonly disk: Disk;
  readonly clock: Clock;
  readonly register: () => Register;
  /** When the program was last alive, ms since 1970; null at its first start. */
  readonly lastAlive: number | null;
  /** Words for the console. The same words are told once. */
  readonly report: (words: string) => void;
  /** Words for somebody who looks at the page beside it; also told to the console. */
  readonly alarm?: (words: string) => void;
  /** For tests: how calls go out, how events come in, how patient a socket is. */
  readonly fetch?: typeof fetch;
  readonly send?: Send;
  readonly receiver?: Receiver;
  readonly pingMs?: number;
  readonly timeoutMs?: number;
};

/** The messaging channel: open it, give its `channel` to the desk, then start it with the desk. */
export type Slack = {
  readonly channel: Channel;
  /** Listens from now on. Settles at once; `ready` settles when what was missed has been read. */
  start(desk: DeskView): { readonly ready: Promise<void> };
  /** What time makes due: sockets, redrawing, uploads, the board. Call it once a second; it never fails. */
  tick(): Promise<void>;
  /** Takes no more words, lets go what is under way, closes its files. */
  stop(): Promise<void>;
  describe(): string;
};

const INIT_FIRST_MS = 1000;
const INIT_LONGEST_MS = 15_000;
/** An event is not kept waiting for what was missed for longer: it would be sent again. */
const HOLD_MS = 2000;
const LEARN_MS = 10_000;

export async function openSlack(parts: SlackParts): Promise<Slack> {
  const { settings, clock, register, disk } = parts;
  const told = new Set<string>();
  const report = (words: string) => {
    if (told.has(words)) return;
    told.add(words);
    parts.report(words);
  };
  const gone = goneTeller((words) => {
    report(words);
    parts.alarm?.(words);
  });
  const now = () => clock.now();
  const files = parts.fetch ?? fetch;
  const ledger = await Ledger.open(disk);
  const web = openWeb({
    token: settings.botToken,
    apiUrl: settings.apiUrl,
    ...(parts.timeoutMs === undefined ? {} : { timeoutMs: parts.timeoutMs }),
    ...(parts.send === undefined ? {} : { send: parts.send }),
  });
  const identity = new Identity(web);
  const coverage = new Coverage(parts.lastAlive);
  const shared = new Set<string>();
  const rooms = roomsLately(register, settings);
  const zone = () => register().shop.zone;
  const labelOf = (bay: string) => register().bays.get(bay)?.label ?? bay;
  const people = new People(web, register, now);
  const whisper = whisperer(web);
  const redraw = new Redraw(web, now);
  let desk: DeskView | null = null;
  const uploads = new Uploads({
    web,
    now,
    fetch: files,
    report,
    cannot: ({ channel, thread }) => {
      report(
        'This workspace takes no files from the bot (scope files:write). Records stay in the data folder.',
      );
      const text = 'I may not upload files here. The whole record is kept in the workshop’s data folder.';
      void web.call('chat.postMessage', { channel, thread_ts: thread, text }).catch(() => undefined);
    },
  });
  const charts = new Charts({ disk, clock, desk: () => desk, uploads });
  const outgoing = new Outgoing({ ledger, redraw, uploads, charts, zone, report });
  const channel = new SlackChannel({
    ...{ web, clock, identity, ledger, rooms, zone, labelOf, report },
    jobOf: (bay) => desk?.jobOf(bay) ?? null,
    callsWhom: () => people.foremen(),
    delivered: (...sent) => outgoing.delivered(...sent),
    refused: gone,
  });
  const board = (): Board => boardOf(baysOf(desk), now());
  const home = new Home({ web, ledger, now, board, zone });
  let closeLines: (() => Promise<void>) | null = null;
  let tickLines = async (): Promise<void> => undefined;
  let describe = () => 'not connected';
  let stopped = false;
  let catchUp: CatchUp | null = null;

  const start = (opened: DeskView): { readonly ready: Promise<void> } => {
    desk = opened;
    const give = giver(opened, ledger);
    const here = { desk: opened, clock, identity, ledger, people, whisper, give };
    const coveredSince = () => coverage.since;
    const isShared = (room: string) => shared.has(room);
    const hands = new Hands({
      ...here,
      ...{ coveredSince, isShared },
      redraw: (...post) => redraw.add(...post),
    });
    const intake = new Intake({
      ...here,
      ...{ rooms, report, charts, hands, coveredSince, isShared, gone },
      photos: { disk, fetch: files, token: settings.botToken, apiUrl: settings.apiUrl },
      homeOpened: (user) => home.opened(user),
    });
    const hear = (room: string, message: Parameters<Intake['message']>[1]) =>
      intake.message(room, message, true);
    const back = () => outgoing.tapsLost(opened, coverage.since);
    const missed = new CatchUp({ web, coverage, ledger, rooms, desk: opened, hear, report, back }, now);
    catchUp = missed;
    const found = () => void missed.run();
    const { pingMs } = parts;
    const probe = () => web.call('auth.test', {});
    const on = {
      settings,
      clock,
      coverage,
      report,
      found,
      probe,
      ...(pingMs === undefined ? {} : { pingMs }),
    };
    const lines: Lines = parts.receiver === undefined ? openLines(on) : givenLines(on, parts.receiver);
    const app = makeApp({
      settings,
      receiver: lines.receiver,
      ...(parts.fetch === undefined ? {} : { fetch: parts.fetch }),
      event: async (body) => {
        if (missed.owes) await atMost(HOLD_MS, missed.run());
        await intake.event(body);
      },
      tap: (tap) => hands.tap(tap),
      command: (command) => answerCommand({ intake, rooms, rows: () => board().rows, zone }, command),
      report,
    });
    const connect = async (): Promise<void> => {
      for (let wait = INIT_FIRST_MS; !stopped; wait = Math.min(INIT_LONGEST_MS, wait * 2)) {
        try {
          await app.init();
          await identity.ask();
          break;
        } catch (error) {
          report(
            `Slack does not answer yet: ${error instanceof Error ? error.message : error}. It is tried again.`,
          );
          await pause(wait);
        }
      }
      if (stopped) return;
      for (const room of rooms().all) if ((await roomState(web, room)).state === 'shared') shared.add(room);
      // Who is a guest is known before anybody speaks.
      await atMost(LEARN_MS, people.learn());
      closeLines = () => lines.stop();
      await lines.start(app);
      tickLines = () => lines.tick(app);
      describe = () => lines.describe();
      await missed.run();
    };
    return { ready: connect() };
  };

  return {
    channel,
    start,
    tick: async () => {
      await tickLines();
      await catchUp?.run();
      void redraw.run();
      void uploads.run();
      void home.run();
    },
    stop: async () => {
      stopped = true;
      await closeLines?.();
      await atMost(HOLD_MS, Promise.all([redraw.run(), uploads.run(), home.run()]));
      await ledger.close();
    },
    describe: () => describe(),
  };
}

function baysOf(desk: DeskView | null) {
  return (desk?.bays() ?? []).map(({ id, label }) => ({
    bay: id,
    label,
    job: desk?.jobOf(id) ?? null,
    flow: desk?.flowOf(id) ?? null,
  }));
}
