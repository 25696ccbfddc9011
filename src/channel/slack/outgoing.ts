import type { OutPost } from '../../desk/port.js';
import type { Flow } from '../../flow/flow.js';
import type { Job } from '../../job/job.js';
import { sayQuestion } from '../../talk/say.js';
import { type Drawn, drawPost, recordText, withLine } from './blocks.js';
import type { Charts } from './charts.js';
import type { DeskView } from './desk-view.js';
import type { Ledger } from './ledger.js';
import { instantOf, type Stamp, stampOf } from './place.js';
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
      readonly charts: Charts;
      readonly report: (words: string) => void;
      readonly zone: () => string;
    },
  ) {}

  /**
   * Whoever tapped while nobody listened was shown a fault and no more. The question that still stands says so, its
   * buttons drawn anew. `since`: from when on everything is heard again, ms since 1970.
   */
  tapsLost(desk: DeskView, since: number): void {
    const { ledger, redraw } = this.parts;
    for (const { id } of desk.bays()) {
      const [job, flow] = [desk.jobOf(id), desk.flowOf(id)];
      const thread = job === null ? null : ledger.threadOf(job.id);
      if (job === null || flow === null || thread === null) continue;
      const shown =
        this.shown.get(`${thread.channel}:${thread.root}`) ?? this.asked(job, flow, thread.channel);
      if (shown === null || instantOf(shown.ts) >= since) continue;
      redraw.put({
        ...shown,
        drawn: withLine(shown.drawn, 'I was away. A tap from then did not count: tap again.'),
      });
    }
  }

  /** The open question of a job and where it stands, after a start; null where it has no buttons. */
  private asked(job: Job, flow: Flow, channel: string): Shown | null {
    const place = job.asked === null ? undefined : job.places[job.asked.seq];
    const post = place === undefined ? null : sayQuestion(job, flow);
    if (place === undefined || post === null || post.buttons.length === 0) return null;
    const look = { zone: this.parts.zone(), again: false, job: job.id, person: job.holder };
    return { channel, ts: stampOf(place), drawn: drawPost(post, look) };
  }

  delivered({ post, bay, job }: OutPost, { channel, thread }: Target, ts: Stamp, drawn: Drawn): void {
    const { ledger, redraw, uploads, charts, zone, report } = this.parts;
    charts.remember(bay);
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
    if (job === null) return;
    charts
      .show(job, { channel, thread }, true)
      .catch((error) => report(`The charts of ${job} could not be drawn: ${String(error)}`));
  }
}
