import type { OutPost } from '../../desk/port.js';
import { type Drawn, recordText } from './blocks.js';
import type { Ledger } from './ledger.js';
import type { Stamp } from './place.js';
import type { Redraw } from './redraw.js';
import type { Target } from './slack-channel.js';
import type { Uploads } from './upload.js';

type Shown = { readonly channel: string; readonly ts: Stamp; readonly drawn: Drawn };

/** What follows from a post that has arrived: old buttons go, the record goes up, the ledger learns of an alert. */
export class Outgoing {
  /** The post with buttons that stands last in each thread. */
  private readonly shown = new Map<string, Shown>();

  constructor(
    private readonly parts: {
      readonly ledger: Ledger;
      readonly redraw: Redraw;
      readonly uploads: Uploads;
      readonly zone: () => string;
    },
  ) {}

  delivered({ post, bay, job }: OutPost, { channel, thread }: Target, ts: Stamp, drawn: Drawn): void {
    const { ledger, redraw, uploads, zone } = this.parts;
    if (post.to !== 'bay' && thread === null) void ledger.note({ is: 'alert', channel, ts, bay });
    if (thread === null) return;
    const key = `${channel}:${thread}`;
    const before = this.shown.get(key);
    const asks = drawn.blocks.some(({ type }) => type === 'actions');
    if (before !== undefined && (asks || post.visit !== null || post.kind === 'summary')) {
      redraw.add(before.channel, before.ts, before.drawn);
      this.shown.delete(key);
    }
    if (asks) this.shown.set(key, { channel, ts, drawn });
    const record = recordText(post, zone());
    if (record === '') return;
    const name = `${job ?? 'job'}.txt`;
    const comment = 'The whole record, as text.';
    uploads.add({ channel, thread, name, bytes: Buffer.from(record), comment });
  }
}
