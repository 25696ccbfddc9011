import { readdirSync, readFileSync } from 'node:fs';
import { textInput } from '../../src/channel/script/inputs.js';
import { openRoom, type Room } from '../../src/channel/script/room.js';
import { type ScriptChannel, scriptChannel } from '../../src/channel/script/script-channel.js';
import { printThread } from '../../src/channel/script/transcript.js';
import { settled, walkClock } from '../../src/channel/script/walk.js';
import { readWorkshop } from '../../src/channel/script/workshop.js';
import { VirtualClock } from '../../src/desk/clock.js';
import { Desk } from '../../src/desk/desk.js';
import type { FlowSource } from '../../src/desk/flow-source.js';
import { openFlows } from '../../src/desk/flows.js';
import { PATIENCE, type Patience } from '../../src/desk/patience.js';
import type { Channel } from '../../src/desk/port.js';
import type { ShopPort } from '../../src/desk/shop-port.js';
import { memoryShop } from '../../src/desk/shops.js';
import type { FlowText } from '../../src/flow/load.js';
import type { Input } from '../../src/job/input.js';
import type { Disk } from '../../src/journal/disk.js';
import { type MemoryDisk, openMemoryDisk } from '../../src/journal/memory-disk.js';
import type { Register } from '../../src/shop/register.js';

/** Monday 2 March 2026, 08:00 in the demo workshop, for which its dates were written. */
export const MORNING = Date.UTC(2026, 2, 2, 8);
export const MINUTE = 60_000;

export type FloorParts = {
  readonly flows: FlowSource;
  /** What the desk sees of the disk. */
  readonly seenDisk?: (disk: MemoryDisk) => Disk;
  /** What the desk sees of the channel. */
  readonly seenChannel?: (channel: ScriptChannel) => Channel;
  readonly shop?: ShopPort;
  readonly patience?: Patience;
};

/** A workshop around a desk. All but the desk outlives it, as the disk and the platform outlive a program. */
export class Floor {
  readonly disk = openMemoryDisk();
  readonly clock = new VirtualClock(MORNING);
  readonly room: Room = openRoom();
  readonly channel = scriptChannel({ name: 'script', room: this.room, now: () => this.clock.now() });
  flows: FlowSource;
  private count = 0;
  private open: Desk | null = null;
  private readonly shop: ShopPort;

  private constructor(
    readonly register: Register,
    private readonly parts: FloorParts,
  ) {
    this.flows = parts.flows;
    this.shop = parts.shop ?? memoryShop(register);
  }

  static async open(parts: FloorParts): Promise<Floor> {
    const floor = new Floor(parts.shop?.register() ?? (await demoRegister()), parts);
    await floor.start();
    return floor;
  }

  get desk(): Desk {
    if (this.open === null) throw new Error('the desk is not open');
    return this.open;
  }

  /** An input as its sender would send it now. */
  input(who: string, words: string, more: Partial<Input> = {}): Input {
    const bay = more.bay ?? '1';
    const name = this.register.people.get(who)?.name ?? who;
    const made = textInput(this.room, bay, words, null);
    return {
      ...{ key: `script:${++this.count}`, bay, by: who, name, via: 'script', saidAt: this.clock.now() },
      ...made,
      ...more,
    };
  }

  /** Says something and waits until the desk has dealt with it, word to other bays included. */
  async say(who: string, words: string, more: Partial<Input> = {}): Promise<void> {
    await this.send(this.input(who, words, more));
  }

  async send(input: Input): Promise<void> {
    await this.desk.receive(input);
    await settled();
  }

  later(minutes: number): Promise<void> {
    return walkClock(this.desk, this.clock, this.clock.now() + minutes * MINUTE);
  }

  /** The power goes and comes back. What was not flushed is gone. */
  async crash(tear?: (unsynced: number) => number): Promise<void> {
    this.disk.crash(tear);
    await this.start();
  }

  /** The program is ended in order and started again. */
  async restart(): Promise<void> {
    await this.desk.close();
    await this.start();
  }

  async start(): Promise<void> {
    const { clock, shop, flows } = this;
    const disk = this.parts.seenDisk?.(this.disk) ?? this.disk;
    const channel = this.parts.seenChannel?.(this.channel) ?? this.channel;
    const { patience = PATIENCE } = this.parts;
    this.open = await Desk.open({ disk, clock, channel, shop, flows, patience });
    await settled();
  }

  /** The posts of a thread as they read, oldest first. */
  posts(thread = '1'): string[] {
    return this.room.posts(thread).map(({ post, again }) => {
      const lines = post.lines.map((line) =>
        line.map((part) => (typeof part === 'string' ? part : '@')).join(''),
      );
      return [...(again ? ['(again)'] : []), ...lines].join('\n');
    });
  }

  lastPost(thread = '1'): string {
    return this.posts(thread).at(-1) ?? '';
  }

  /** All threads as printed. */
  thread(): string {
    const look = { zone: this.register.shop.zone, width: 8, label: (id: string) => id };
    return printThread(this.room.entries, look, null).join('\n');
  }

  /** Text of the one file in a folder of the data folder. */
  journal(folder = 'open'): string {
    const found = [...this.disk.files].filter(
      ([path]) => path.startsWith(`${folder}/`) && path.endsWith('.jsonl'),
    );
    return found.map(([, { bytes }]) => bytes.toString()).join('');
  }
}

/** The words of a journal's inputs, oldest first. */
export function wordsIn(journal: string): string[] {
  return journal
    .split('\n')
    .filter((line) => line !== '')
    .flatMap((line) => (JSON.parse(line) as { words?: string }).words ?? []);
}

export async function demoRegister(): Promise<Register> {
  const checked = await readWorkshop('demo');
  if (!checked.ok) throw new Error('the demo workshop has faults');
  return checked.register;
}

/** The flows of this repository. */
export function flowTexts(root = process.cwd()): FlowText[] {
  const folder = `${root}/flows`;
  return readdirSync(folder)
    .filter((name) => name.endsWith('.yaml'))
    .sort()
    .map((name) => ({ name, text: readFileSync(`${folder}/${name}`, 'utf8') }));
}

/** A source of flows that were proved elsewhere. */
export async function provedFlows(files: readonly FlowText[]): Promise<FlowSource> {
  const { source } = await openFlows(files, { has: async () => true, keep: async () => undefined });
  return source;
}
