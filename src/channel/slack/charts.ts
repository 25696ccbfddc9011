import type { Clock } from '../../desk/clock.js';
import type { Flow } from '../../flow/flow.js';
import { foldAll } from '../../job/fold.js';
import type { Disk } from '../../journal/disk.js';
import { openStore } from '../../journal/store.js';
import type { Picture } from '../../record/picture.js';
import { picturesOf } from '../../record/pictures.js';
import { printChart } from './chart.js';
import type { DeskView } from './desk-view.js';
import { cut, LIMITS } from './limits.js';
import type { Uploads } from './upload.js';

export type ChartsParts = {
  readonly disk: Disk;
  readonly clock: Clock;
  readonly desk: () => Pick<DeskView, 'jobOf' | 'flowOf'> | null;
  readonly uploads: Uploads;
};

/** The pictures of a job, drawn and shown in its thread. */
export class Charts {
  /** Flows of the jobs that were spoken of: at its end a job has none in its bay any more. */
  private readonly flows = new Map<string, Flow>();

  constructor(private readonly parts: ChartsParts) {}

  /** Keeps the flow of the job in this bay for its end. */
  remember(bay: string): void {
    const desk = this.parts.desk();
    const [job, flow] = [desk?.jobOf(bay), desk?.flowOf(bay)];
    if (job != null && flow != null) this.flows.set(job.id, flow);
  }

  /** What a job has to show so far, in words; none while nothing can be drawn. */
  async of(job: string): Promise<readonly Picture[]> {
    const flow = this.flows.get(job);
    // Only read: the desk's own store is the one that writes.
    const journal = flow === undefined ? null : await openStore(this.parts.disk).read(job);
    if (flow === undefined || journal === null) return [];
    return picturesOf(foldAll(job, journal.lines), flow, journal.lines, this.parts.clock.now());
  }

  /** Draws all of it and sends it up; gives what it shows, and whether files can be shown here. At the end of a job its flow is let go. */
  async show(
    job: string,
    { channel, thread }: { readonly channel: string; readonly thread: string },
    end = false,
  ): Promise<{ readonly able: boolean; readonly pictures: readonly Picture[] }> {
    const pictures = await this.of(job);
    if (end) this.flows.delete(job);
    for (const picture of pictures) {
      const bytes = await printChart(picture);
      const [name, alt] = [`${job}-${picture.id}.png`, cut(picture.alt, LIMITS.altText)];
      const comment = `${picture.title}. ${picture.alt}`;
      this.parts.uploads.add({ channel, thread, name, bytes, comment, alt });
    }
    return { able: this.parts.uploads.able, pictures };
  }
}
