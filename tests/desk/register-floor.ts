import { openRoom } from '../../src/channel/script/room.js';
import { scriptChannel } from '../../src/channel/script/script-channel.js';
import { settled } from '../../src/channel/script/walk.js';
import { VirtualClock } from '../../src/desk/clock.js';
import { Desk } from '../../src/desk/desk.js';
import type { FlowSource } from '../../src/desk/flow-source.js';
import { openFolderShop } from '../../src/desk/shops.js';
import type { Input } from '../../src/job/input.js';
import { openMemoryDisk } from '../../src/journal/memory-disk.js';
import { writeDemo } from '../../src/shop/demo/workshop.js';
import type { DocumentName } from '../../src/shop/documents.js';
import type { Files } from '../../src/shop/files.js';
import { openRegister } from '../../src/shop/folder.js';
import type { Register } from '../../src/shop/register.js';
import { memoryFiles } from '../shop/memory-files.js';
import { MORNING } from './floor.js';

const FOLDER = 'register';

/** A desk on a register that is a folder of documents, journal and documents on one disk that can lose its power. */
export class RegisterFloor {
  readonly disk = openMemoryDisk();
  readonly clock = new VirtualClock(MORNING);
  readonly room = openRoom();
  readonly channel = scriptChannel({ name: 'script', room: this.room, now: () => this.clock.now() });
  readonly files: Files = memoryFiles(this.disk);
  private count = 0;
  private open: { readonly desk: Desk; readonly register: () => Register } | null = null;

  private constructor(
    private readonly flows: FlowSource,
    private readonly seenFiles: (files: Files) => Files,
  ) {}

  static async open(flows: FlowSource, seenFiles = (files: Files) => files): Promise<RegisterFloor> {
    const floor = new RegisterFloor(flows, seenFiles);
    await writeDemo(FOLDER, floor.files);
    await floor.start();
    return floor;
  }

  get desk(): Desk {
    if (this.open === null) throw new Error('the desk is not open');
    return this.open.desk;
  }

  get register(): Register {
    if (this.open === null) throw new Error('the desk is not open');
    return this.open.register();
  }

  async start(): Promise<void> {
    const { disk, clock, channel, flows } = this;
    const opened = await openFolderShop(openRegister(FOLDER, this.seenFiles(this.files)));
    if (!opened.ok) throw new Error('there is no good register');
    const { shop } = opened;
    this.open = { desk: await Desk.open({ disk, clock, channel, shop, flows }), register: shop.register };
    await settled();
  }

  input(who: string, words: string, bay = 'foreman'): Input {
    const seen = this.room.posts(bay).at(-1)?.place ?? this.room.start;
    return {
      ...{ key: `script:${++this.count}`, bay, by: who, name: who, via: 'script', saidAt: this.clock.now() },
      ...{ seen, marks: {}, body: { is: 'text', text: words } },
    };
  }

  async say(who: string, words: string, bay = 'foreman'): Promise<void> {
    await this.send(this.input(who, words, bay));
  }

  async send(input: Input): Promise<void> {
    await this.desk.receive(input);
    await settled();
  }

  async tick(): Promise<void> {
    await this.desk.tick();
    await settled();
  }

  /** The power goes and comes back. */
  async crash(): Promise<void> {
    this.disk.crash();
    await this.start();
  }

  async text(name: DocumentName): Promise<string> {
    return (await this.files.read(`${FOLDER}/${name}`)) ?? '';
  }

  /** Somebody saves a document by hand, one text in it replaced. */
  async edit(name: DocumentName, find: string, put: string): Promise<void> {
    const text = await this.text(name);
    if (!text.includes(find)) throw new Error(`${name} has no ${find}`);
    await this.files.write(`${FOLDER}/${name}`, text.replace(find, put));
    await this.files.syncFolder(FOLDER);
  }

  posts(thread = 'foreman'): readonly string[] {
    return this.room
      .posts(thread)
      .map(({ post }) =>
        post.lines
          .map((line) => line.map((part) => (typeof part === 'string' ? part : '@')).join(''))
          .join('\n'),
      );
  }

  /** Lines of the shop journal that agreed a change. */
  get agreed(): number {
    const journal = [...this.disk.files].filter(([path]) => /^shop\/.*\.jsonl$/.test(path));
    return journal
      .map(([, { bytes }]) => bytes.toString().split('"is":"changed"').length - 1)
      .reduce((a, b) => a + b, 0);
  }
}
