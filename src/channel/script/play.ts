import { DateTime } from 'luxon';
import { VirtualClock } from '../../desk/clock.js';
import { Desk } from '../../desk/desk.js';
import type { FlowSource } from '../../desk/flow-source.js';
import { NotTaken } from '../../desk/port.js';
import { memoryShop } from '../../desk/shops.js';
import type { Flow } from '../../flow/flow.js';
import type { Input } from '../../job/input.js';
import type { Job } from '../../job/job.js';
import { type MemoryDisk, openMemoryDisk } from '../../journal/memory-disk.js';
import type { Register } from '../../shop/register.js';
import { failureOf } from './check.js';
import { type Made, photoInput, reactionInput, speakerOf, tapInput, textInput } from './inputs.js';
import { type Act, isAct, isCheck, type ScriptLine } from './line.js';
import { openRoom } from './room.js';
import type { Script } from './script.js';
import { scriptChannel } from './script-channel.js';
import { type Look, labelOf, printThread } from './transcript.js';
import { nextTime, settled, tickKept, walkClock } from './walk.js';

export type Failure = {
  readonly file: string;
  readonly line: number;
  readonly written: string;
  readonly problem: string;
  /** The thread that was looked at, up to this line. */
  readonly thread: readonly string[];
};

/** What a script came to. */
export type Played = {
  readonly checks: number;
  readonly failures: readonly Failure[];
  /** All threads, as lines. */
  readonly thread: readonly string[];
};

/** Scripts begin on a Monday morning unless they say otherwise; the demo workshop's dates suit it. */
export const DEFAULT_START = '2026-03-02 08:00';

/** Plays a script on a fresh desk, a disk in memory and a clock turned by hand. */
export async function play(
  script: Script,
  register: Register,
  flows: FlowSource,
  disk: MemoryDisk = openMemoryDisk(),
): Promise<Played> {
  const { zone } = register.shop;
  const said = script.lines.findLast(({ does }) => does?.do === 'at')?.does;
  const start = DateTime.fromFormat(said?.do === 'at' ? said.local : DEFAULT_START, 'yyyy-MM-dd HH:mm', {
    zone,
  });
  const clock = new VirtualClock(start.toMillis());
  const shop = memoryShop(register);
  const room = openRoom();
  const channel = scriptChannel({ name: 'script', room, now: () => clock.now() });
  // The first word of each gate's set: a script may not change with every comma of a flow.
  const draw = () => 0;
  const openDesk = () => Desk.open({ disk, clock, channel, shop, flows, draw });
  let desk = await openDesk();

  const firstBay = [...register.bays.keys()][0] ?? '';
  let thread = firstBay;
  let bay = firstBay;
  const inputs: { readonly input: Input; readonly who: string; readonly shows: string }[] = [];
  /** Jobs that ended, for checks after a restart, and the flow that each of them ran on. */
  const ended = new Map<string, Job>();
  const flowOf = new Map<string, Flow>();
  let mark = 0;
  let closedBefore = new Map<string, ReadonlySet<string>>();
  let checks = 0;
  const failures: Failure[] = [];

  const look: Look = { zone, width: widthOf(script, register), label: (id) => labelOf(register, id) };

  const jobOf = (id: string): Job | null => desk.lastJobOf(id) ?? ended.get(id) ?? null;

  const remember = () => {
    for (const { id } of desk.bays()) {
      const job = desk.lastJobOf(id);
      const flow = desk.flowOf(id);
      if (job !== null && flow !== null) flowOf.set(job.id, flow);
      if (job?.mode === 'done' || job?.mode === 'called-off') ended.set(id, job);
    }
  };

  const fail = ({ file, line, written }: ScriptLine, problem: string) => {
    failures.push({ file, line, written, problem, thread: printThread(room.entries, look, thread) });
  };

  const send = async (input: Input, who: string, shows: string): Promise<void> => {
    room.say(input.bay, who, shows, clock.now());
    try {
      await desk.receive(input);
    } catch (error) {
      if (!(error instanceof NotTaken)) throw error;
      room.remark('(not kept)');
    }
    await settled();
  };

  const does = async (who: string, made: Made, shows: string): Promise<void> => {
    const key = `script:${inputs.length + 1}`;
    const { by, name } = speakerOf(register, who);
    const input = { key, bay: thread, by, name, via: channel.name, saidAt: clock.now(), ...made };
    inputs.push({ input, who, shows });
    await send(input, who, shows);
  };

  const act = async (what: Act): Promise<string | null> => {
    switch (what.do) {
      case 'pass':
        await walkClock(desk, clock, clock.now() + what.ms);
        return null;
      case 'say': {
        const marked = what.mark === null || what.mark === 'bot' ? '' : `(${what.mark}) `;
        await does(what.who, textInput(room, thread, what.text, what.mark), `${marked}${what.text}`);
        return null;
      }
      case 'tap': {
        const made = tapInput(room, thread, zone, what);
        if (made === null)
          return `No post in ${look.label(thread)} has the button "${what.label}"${onWords(what.on)}.`;
        await does(what.who, made, `[${what.label}]${onWords(what.on)}`);
        return null;
      }
      case 'react': {
        const made = reactionInput(room, thread, zone, what);
        if (made === null) return `There is no post in ${look.label(thread)} to react to${onWords(what.on)}.`;
        await does(what.who, made, `(${what.name})${onWords(what.on)}`);
        return null;
      }
      case 'photo':
        await does(what.who, photoInput(room, thread, what.name), `(photo ${what.name})`);
        return null;
      case 'again': {
        const before = inputs.at(-what.back);
        if (before === undefined) return `There are only ${inputs.length} inputs so far.`;
        await send(before.input, before.who, `${before.shows} (again)`);
        return null;
      }
      case 'channel':
        room.note(`channel ${what.to}`, clock.now());
        channel.state = what.to;
        if (what.to === 'up') await tickKept(desk);
        return null;
      case 'disk':
        room.note(`disk ${what.to}`, clock.now());
        disk.full = what.to === 'full';
        if (what.to === 'ok') await tickKept(desk);
        return null;
      case 'restart':
        room.note('restart', clock.now());
        disk.crash();
        desk = await openDesk();
        await settled();
        return null;
    }
  };

  const lineDone = async (line: ScriptLine): Promise<void> => {
    const { clock: to, does: what } = line;
    if (isAct(line)) {
      mark = room.entries.length;
      closedBefore = new Map(
        desk.bays().map(({ id }) => [id, new Set(Object.keys(jobOf(id)?.closed ?? {}))]),
      );
    }
    if (to !== null) await walkClock(desk, clock, nextTime(clock.now(), to, zone));
    if (what === null) return remember();
    if (what.do === 'chapter') room.chapter(what.text, clock.now());
    else if (what.do === 'bay') {
      thread = what.thread;
      if (register.bays.has(thread)) bay = thread;
    } else if (isCheck(what)) {
      checks++;
      const job = jobOf(bay);
      const problem = failureOf(what, {
        zone,
        label: look.label(thread),
        posts: room.posts(thread),
        fresh: room.posts(thread, mark),
        bay,
        job,
        flow: flowOf.get(job?.id ?? '') ?? null,
        closedBefore: closedBefore.get(bay) ?? new Set(),
      });
      if (problem !== null) fail(line, problem);
    } else if (what.do !== 'shop' && what.do !== 'at' && what.do !== 'like') {
      const problem = await act(what);
      if (problem !== null) fail(line, problem);
    }
    remember();
  };

  for (const line of script.lines) {
    try {
      await lineDone(line);
    } catch (error) {
      fail(
        line,
        `The program broke here: ${error instanceof Error ? (error.stack ?? error.message) : error}`,
      );
      break;
    }
  }
  return { checks, failures, thread: printThread(room.entries, look, null) };
}

const onWords = (on: string | null) => (on === null ? '' : ` on "${on}"`);

function widthOf(script: Script, register: Register): number {
  const names = script.lines.flatMap(({ does }) => (does !== null && 'who' in does ? [does.who.length] : []));
  return Math.max(6, ...names, ...[...register.people.keys()].map((id) => id.length));
}
